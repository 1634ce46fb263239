"""The plan in the pages: a question on a page, answers kept and changed, the plan made, or taken as a text."""

import pytest
from tests.web.planned_trials import ANSWERS, page_text, planned_trial


@pytest.fixture
def begun(asked):
    """A trial whose questions begin with a template."""
    from fairtank.records.models import Trial

    asked.post("/trials/new/")
    trial = Trial.objects.get()
    asked.post(f"{trial.get_absolute_url()}plan/template/", {"template": "feeding"})
    return trial


def _kept(trial):
    from fairtank.records.services.shelf_planning import questions_of

    trial.refresh_from_db()
    return questions_of(trial).planning


def test_an_answer_is_kept_and_the_next_question_comes(asked, begun):
    address = f"{begun.get_absolute_url()}plan/"
    assert "What is the one change that some tanks get?" in page_text(asked.get(address))
    answer = asked.post(f"{address}answer/", {"key": "change", "answer": "half of the food"})
    assert answer.status_code == 303
    assert _kept(begun).told.text("change") == "half of the food"
    page = page_text(asked.get(answer["Location"]))
    assert "What do the other tanks get instead?" in page
    assert "half of the food" in page
    assert begun.title == "Half of the food"


def test_an_answer_that_cannot_be_used_is_refused_at_its_field_and_stays_there(asked, begun):
    address = f"{begun.get_absolute_url()}plan/"
    asked.post(f"{address}proposals/")
    asked.post(f"{address}proposals/")
    assert _kept(begun).step.key == "tanks"
    page = asked.post(f"{address}answer/", {"key": "tanks", "answer": "a few"})
    text = page_text(page)
    assert page.status_code == 422
    assert "“a few” is not a whole number." in text
    assert 'value="a few"' in text
    assert "tanks" not in _kept(begun).told.answers


def test_an_earlier_answer_is_changed_and_the_later_ones_stay(asked, begun):
    address = f"{begun.get_absolute_url()}plan/"
    asked.post(f"{address}proposals/")
    page = page_text(asked.get(f"{address}questions/?at=reference"))
    assert "Keep this answer" in page
    asked.post(f"{address}answer/", {"key": "reference", "answer": "all of it, as ever"})
    told = _kept(begun).told
    assert told.text("reference") == "all of it, as ever"
    assert told.text("question")


def test_ticks_are_read_as_several_answers(asked, begun):
    address = f"{begun.get_absolute_url()}plan/"
    asked.post(f"{address}proposals/")
    asked.post(f"{address}answer/", {"key": "moves", "answer": ["doses", "flow"]})
    assert _kept(begun).told.names("moves") == ("doses", "flow")
    asked.post(f"{address}answer/", {"key": "moves"})
    assert _kept(begun).told.names("moves") == ()


def test_a_question_that_is_not_asked_is_refused(asked, begun):
    page = asked.post(f"{begun.get_absolute_url()}plan/answer/", {"key": "lamp_age", "answer": "3"})
    assert page.status_code == 422
    assert "The question is not asked now" in page_text(page)


def test_the_plan_is_made_from_the_answers_and_told_in_words(asked, begun):
    from fairtank.records.models import Document

    Document.objects.update_or_create(trial=begun, path="plan-answers.toml", defaults={"content": ANSWERS.encode()})
    address = begun.get_absolute_url()
    for _ in range(5):
        asked.post(f"{address}plan/proposals/")
    assert "Every question is answered" in page_text(asked.get(f"{address}plan/"))
    made = asked.post(f"{address}plan/make/")
    begun.refresh_from_db()
    assert made["Location"] == f"{begun.get_absolute_url()}plan/"
    assert begun.planned
    assert not begun.slug.startswith("a-new-trial")
    page = page_text(asked.get(made["Location"]))
    assert "4 tanks: 2 with the change, 2 without." in page
    assert "The plan is made." in page
    assert asked.get("/trials/a-new-trial/plan/questions/").status_code == 200, "the way back in the browser leads to it too"


def test_an_unfinished_plan_is_not_made(asked, begun):
    page = asked.post(f"{begun.get_absolute_url()}plan/make/")
    assert page.status_code == 422
    assert "an answer to every question" in page_text(page)
    begun.refresh_from_db()
    assert not begun.planned


def test_a_plan_of_a_text_is_taken_or_every_problem_is_listed(asked):
    from fairtank.records.models import Document

    trial = planned_trial()
    address = f"{trial.get_absolute_url()}plan/text/"
    text = Document.objects.get(trial=trial, path="trial.toml").text
    wrong = asked.post(address, {"text": text.replace("days = 42", 'days = "many"').replace('kind = "side_by_side"', 'kind = "sideways"')})
    told = page_text(wrong)
    assert wrong.status_code == 422
    assert "for 2 reasons" in told
    assert "sideways" in told
    assert asked.post(address, {"text": text.replace("days = 42", "days = 35"), "reason": "shorter"}).status_code == 303
    trial.refresh_from_db()
    assert trial.days == 35
    assert trial.trail.first().said == "Changed the text of the plan: shorter."


def test_questions_of_a_plan_that_was_changed_elsewhere_are_closed_and_lend_their_answers_to_a_new_trial(asked):
    from fairtank.records.models import Trial

    trial = planned_trial()
    address = trial.get_absolute_url()
    asked.post(f"{address}draw/", {"seed": "7", "sure": "yes"})
    assert "The questions are closed" in page_text(asked.get(f"{address}plan/questions/"))
    assert asked.post(f"{address}plan/answer/", {"key": "weeks", "answer": "3"}).status_code == 422
    again = asked.post(f"{address}plan/again/")
    new = Trial.objects.exclude(pk=trial.pk).get()
    assert again["Location"] == f"/trials/{new.slug}/plan/questions/"
    assert _kept(new).told.answers == _kept(trial).told.answers


def test_pictures_of_covers_are_those_that_a_question_shows(asked):
    assert asked.get("/plan/covers/canopy-height.jpg").status_code == 404


def test_with_a_template_a_whole_part_is_taken_from_its_first_question_on_and_all_answers_are_seen_at_the_end(asked, begun):
    address = f"{begun.get_absolute_url()}plan/"
    assert "Take what is proposed for the rest of this part" in asked.get(f"{address}questions/").content.decode()
    for _ in range(5):
        assert asked.post(f"{address}proposals/").status_code == 303
    page = asked.get(f"{address}questions/").content.decode()
    assert "Every question is answered" in page
    assert page.count("<details open>") == 5
