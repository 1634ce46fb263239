"""The schedule in the pages: days as a list, chores changed one by one, days that slip, a file for the calendar."""

import pytest
from tests.web.planned_trials import page_text, planned_trial


@pytest.fixture
def address(asked):
    """Of a planned trial's schedule."""
    return f"{planned_trial().get_absolute_url()}schedule/"


def _chores():
    from fairtank.records.models import Trial
    from fairtank.records.selectors.trial_state import papers_of

    return papers_of(Trial.objects.get()).schedule[0]


def test_the_days_are_told_as_the_command_tells_them(asked, address):
    page = page_text(asked.get(address))
    assert "Day 0 of 42, Saturday 2026-12-12" in page
    assert "18:00 Photos" in page
    assert "Day 42 of 42" not in page
    assert "Day 42 of 42" in page_text(asked.get(f"{address}?days=all"))


def test_a_chore_is_added_changed_and_taken_out(asked, address):
    new = {"title": "Wipe the front pane", "kind": "clean", "every": "every 3 days", "at": "19:00", "minutes": "5", "units": "T1, T2"}
    assert asked.post(f"{address}chore/", new).status_code == 303
    added = next(chore for chore in _chores() if chore.title == "Wipe the front pane")
    assert (added.rule, added.units, added.minutes) == ("FREQ=DAILY;INTERVAL=3", ("T1", "T2"), 5.0)
    form = page_text(asked.get(f"{address}chore/?key={added.key}"))
    assert 'value="every 3 days"' in form
    asked.post(f"{address}chore/", {**new, "key": added.key, "every": "on Monday"})
    assert next(chore for chore in _chores() if chore.key == added.key).rule == "FREQ=WEEKLY;BYDAY=MO"
    asked.post(f"{address}chore/remove/", {"key": added.key})
    assert added.key not in [chore.key for chore in _chores()]


def test_what_cannot_be_read_is_refused_at_its_field_and_stays_there(asked, address):
    before = _chores()
    page = asked.post(f"{address}chore/", {"title": "Wipe", "kind": "clean", "every": "now and then", "at": "25:00", "units": "T9"})
    text = page_text(page)
    assert page.status_code == 422
    for field, typed in (("every", "now and then"), ("at", "25:00"), ("units", "T9")):
        assert f'id="wrong-{field}"' in text
        assert f'value="{typed}"' in text
    assert _chores() == before


def test_days_slip_only_with_a_reason(asked, address):
    refused = asked.post(f"{address}slip/", {"day": "3", "by_days": "2", "reason": ""})
    assert refused.status_code == 422
    assert "The reason is left out" in page_text(refused)
    assert asked.post(f"{address}slip/", {"day": "3", "by_days": "2", "reason": "ill in bed"}).status_code == 303
    page = page_text(asked.get(address))
    assert "ill in bed" in page
    assert "[moved from day 3]" in page


def test_the_calendar_is_the_one_that_the_command_writes(asked, address, tmp_path):
    from fairtank.records.models import Trial
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.scheduling import trial_schedule

    root = trial_export(trial=Trial.objects.get(), root=tmp_path / "same")
    files = trial_schedule(root=root, out=tmp_path / "out", day="0").files
    assert files is not None
    answer = asked.get(f"{address}calendar.ics")
    assert answer["Content-Type"].startswith("text/calendar")
    assert answer.content == files.calendar.read_bytes()


def test_the_page_asks_as_few_questions_of_the_database_however_much_was_done(asked, address):
    from datetime import datetime

    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.models import Reading, Trial

    def queries():
        with CaptureQueriesContext(connection) as asks:
            asked.get(address)
        return len(asks)

    few = queries()
    trial = Trial.objects.get()
    unit = trial.units.first()
    many = (Reading(trial=trial, unit=unit, taken_at=datetime(2026, 12, 12, 18), day=number % 40, quantity="KH", value=4.0)
            for number in range(400))
    Reading.objects.bulk_create(many)
    assert queries() == few <= 8
