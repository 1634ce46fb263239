"""The shelf in the pages: an empty one teaches, trials stand there with where they are, what was taken away comes back."""

import re
from datetime import date, timedelta

import pytest
from tests.web.planned_trials import page_text, planned_trial


def test_an_empty_shelf_teaches_and_offers_a_plan_and_an_example(asked):
    page = page_text(asked.get("/"))
    assert "Your shelf is empty" in page
    assert "Plan my first trial" in page
    assert "See a finished invented trial" in page


def test_a_trial_is_begun_and_its_plan_comes_next(asked):
    from fairtank.records.models import Trial

    answer = asked.post("/trials/new/")
    trial = Trial.objects.get()
    assert answer.status_code == 303
    assert answer["Location"] == f"/trials/{trial.slug}/plan/"
    assert "Being planned" in page_text(asked.get("/"))


def test_the_finished_example_is_taken_in_once_and_has_its_finding(asked):
    from fairtank.records.models import Trial

    first, again = asked.post("/trials/example/"), asked.post("/trials/example/")
    assert first["Location"] == again["Location"]
    trial = Trial.objects.get()
    assert trial.is_example
    page = page_text(asked.get(first["Location"]))
    assert "invented" in page
    assert "There is a finding." in page
    shelf = page_text(asked.get("/"))
    assert '<p class="found">' in shelf


def test_what_is_taken_away_can_be_brought_back(asked):
    from fairtank.records.models import Trial

    trial = planned_trial()
    address = trial.get_absolute_url()
    assert asked.post(f"{address}take-away/").status_code == 303
    assert asked.get(address).status_code == 404
    assert trial.title in page_text(asked.get("/trials/taken-away/"))
    assert asked.post(f"/trials/taken-away/{trial.slug}/")["Location"] == address
    assert asked.get(address).status_code == 200
    assert [change.verb for change in Trial.objects.get().trail.all()][:2] == ["bring back", "remove"]


def test_a_planned_trial_is_renamed_in_the_text_of_its_plan_alone(asked):
    from fairtank.records.models import Document, Trial

    trial = planned_trial()
    before = Document.objects.get(trial=trial, path="trial.toml").text
    asked.post(f"{trial.get_absolute_url()}rename/", {"title": 'Half "the" feed'})
    after = Document.objects.get(trial=trial, path="trial.toml").text
    assert Trial.objects.get().title == 'Half "the" feed'
    assert [line for line in after.splitlines() if line not in before.splitlines()] == ['title = "Half \\"the\\" feed"']


@pytest.mark.parametrize("title", ["", "x" * 121, "a\x07b"])
def test_a_title_that_cannot_be_used_is_refused_and_stays_in_its_field(asked, title):
    trial = planned_trial()
    page = asked.post(f"{trial.get_absolute_url()}rename/", {"title": title})
    assert page.status_code == 422
    assert "The title is" in page_text(page)


def test_where_a_trial_stands_is_told_in_words(shelf):
    from fairtank.records.models import Trial
    from fairtank.records.selectors.shelf import stands_words

    today = date(2026, 11, 26)
    running = Trial(title="a", planned=True, start=today - timedelta(days=12), days=42)
    assert stands_words(running, today, is_drawn=True) == ("running", "Running: day 12 of 42, to 2026-12-26.")
    assert stands_words(Trial(title="b"), today, is_drawn=False)[0] == "planning"
    coming = Trial(title="c", planned=True, start=today + timedelta(days=1), days=42)
    assert stands_words(coming, today, is_drawn=False)[1] == "Planned; the lot was not drawn yet. Day 0 is tomorrow."
    over = Trial(title="d", planned=True, start=today - timedelta(days=43), days=42)
    assert stands_words(over, today, is_drawn=True) == ("ended", "Ended on 2026-11-25. Not judged here yet.")


def test_the_arms_of_a_blinded_trial_are_shown_only_when_asked_for(asked):
    trial = planned_trial()
    address = trial.get_absolute_url()
    asked.post(f"{address}draw/", {"seed": "482915", "sure": "yes"})
    hidden, shown = page_text(asked.get(address)), page_text(asked.get(f"{address}?arms=shown"))
    assert 'class="arm"' not in hidden
    assert shown.count('class="arm"') == 4
    assert "dashed line" in shown


def test_no_page_speaks_of_commands_or_their_options(asked):
    trial = planned_trial()
    base = trial.get_absolute_url()
    for route in ("", "plan/", "even/", "equal/", "show/", "draw/", "seal/", "schedule/"):
        body = re.sub(r"<script.*?</script>|<[^>]*>", " ", page_text(asked.get(f"{base}{route}")).split("<main")[1])
        assert re.findall(r" --[a-z]+|fairtank [a-z]+ |[a-z]+\.csv", body) == [], route


def test_the_shelf_asks_as_few_questions_of_the_database_for_many_trials_as_for_two(asked):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.models import Trial

    def queries():
        with CaptureQueriesContext(connection) as asks:
            asked.get("/")
        return len(asks)

    Trial.objects.bulk_create(Trial(title=f"t{number}", slug=f"t{number}") for number in range(2))
    few = queries()
    Trial.objects.bulk_create(Trial(title=f"u{number}", slug=f"u{number}") for number in range(60))
    assert queries() == few <= 5


def test_a_date_and_a_percentage_in_a_sentence_stay_in_one_line_and_what_was_typed_stays_a_text():
    from fairtank.web.templatetags.words import whole_dates

    assert whole_dates("4.6 % or, in days, 7 %") == "4.6&nbsp;% or, in days, 7&nbsp;%"
    assert whole_dates("<b> from 2026-06-30, code 12026-06-301.") == \
        '&lt;b&gt; from <span class="nowrap">2026-06-30</span>, code 12026-06-301.'
