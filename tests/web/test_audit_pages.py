"""The audit: points are drawn, answered by a form or in parts of the page, taken back; tank and day stay hidden."""

import pytest
from tests.web.measured_trial import _trial, page  # noqa: F401 - a fixture


@pytest.fixture
def drawn(asked, trial):
    asked.post(f"/trials/{trial.slug}/audit/draw", {"points": "4"})
    return trial


def _answer(asked, trial, number, answer, **headers):
    return asked.post(f"/trials/{trial.slug}/audit/{number}/answer", {"answer": answer}, headers=headers)


def test_before_points_are_drawn_the_page_says_what_they_are_for(asked, trial):
    text = page(asked, trial, "audit/")
    assert "Random points tell" in text
    assert 'value="200"' in text


@pytest.mark.parametrize("typed", ["", "0", "1", "-3", "many", "999999999999"])
def test_a_number_of_points_that_cannot_be_is_refused_with_what_is_accepted(asked, trial, typed):
    answer = asked.post(f"/trials/{trial.slug}/audit/draw", {"points": typed}, follow=True)
    assert "accepted: 2 to 5000" in answer.content.decode()


def test_a_point_is_shown_without_its_tank_and_its_day(asked, drawn):
    text = page(asked, drawn, "audit/")
    main = text[text.index("<main"):text.index("<details")]
    assert "0 of 4 answered." in main
    assert not any(word in main for word in ("T1", "T2", "photos/", "dark break", "day "))
    assert asked.get(f"/trials/{drawn.slug}/audit/1/picture").content[:2] == b"\xff\xd8"
    page(asked, drawn, "audit/9/picture", status=404)


def test_answers_lead_from_point_to_point_and_the_last_can_be_taken_back(asked, drawn):
    assert _answer(asked, drawn, 1, "plant").status_code == 303
    part = _answer(asked, drawn, 2, "unsure", hx_request="true").content.decode()
    assert part.startswith('<section id="point"')
    assert "2 of 4 answered." in part
    asked.post(f"/trials/{drawn.slug}/audit/undo")
    assert "1 of 4 answered." in page(asked, drawn, "audit/")


def test_whoever_gave_themselves_a_name_goes_from_point_to_point_too(asked, drawn):
    asked.post("/settings/keep/", {"keeper_name": "Ada of the cellar"})
    _answer(asked, drawn, 1, "plant")
    assert "1 of 4 answered." in page(asked, drawn, "audit/")


def test_an_answer_that_is_none_changes_nothing(asked, drawn):
    from fairtank.records.models import AuditPoint

    answer = asked.post(f"/trials/{drawn.slug}/audit/1/answer", {"answer": "fish"}, follow=True)
    assert "The answer is fish" in answer.content.decode()
    assert not AuditPoint.objects.exists()


def test_a_list_of_points_that_was_changed_is_told_and_not_used(asked, drawn):
    from fairtank.records.models import Document

    kept = Document.objects.get(trial=drawn, path="audit/points.csv")
    kept.content = kept.text.replace("photos/T1", "photos/T2").encode()
    kept.save()
    assert "changed since the points were drawn" in page(asked, drawn, "audit/", status=422)
    assert asked.post(f"/trials/{drawn.slug}/audit/undo").status_code == 303


def test_when_all_are_answered_the_photos_are_to_be_measured_with_the_answers(asked, drawn):
    for number in range(1, 4):
        _answer(asked, drawn, number, "plant")
    last = _answer(asked, drawn, 4, "algae", hx_request="true")
    assert last.headers["HX-Redirect"] == f"/trials/{drawn.slug}/audit/"
    text = page(asked, drawn, "audit/")
    assert "All 4 points are answered." in text
    assert "The photos are to be measured with these answers" in text
    assert "Work it out" in text
