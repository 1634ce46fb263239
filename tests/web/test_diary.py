"""The diary and the readings: by day and tank, changed, taken back, brought back, with what it means for the judging."""

import pytest
from tests.web.round_trials import NOW, _asked, _taken_in, fill, queries  # noqa: F401 - fixtures

DIARY, READINGS = "/trials/small/diary/", "/trials/small/readings/"


def first_reading():
    from fairtank.records.models import Reading

    return Reading.objects.filter(trial__slug="small", quantity="temperature").first()


def test_entries_stand_by_day_and_tank_the_newest_first(asked):
    page = asked.get(DIARY).content.decode()
    assert page.index("Day 9 of 42") < page.index("Day 6 of 42")
    assert "temperature 24.6 °C" in page
    only = asked.get(DIARY, {"unit": "T2", "kind": "events"}).content.decode()
    assert "There is nothing of this kind yet." in only
    assert "24.6" not in asked.get(DIARY, {"unit": "T2"}).content.decode()


def test_queries_do_not_grow_with_rows(asked):
    diary, readings = queries(asked, DIARY), queries(asked, READINGS)
    fill("small", days=10)
    assert (queries(asked, DIARY), queries(asked, READINGS)) == (diary, readings)
    assert queries(asked, f"{DIARY}?unit=T1") <= diary + 2, "events of one tank are picked by hand"
    assert (diary <= 17, readings <= 8) == (True, True)


def test_older_days_are_on_further_pages(asked):
    fill("small", days=10)
    page = asked.get(DIARY).content.decode()
    assert "Earlier days" in page
    assert "Day 0 of 42" not in page
    assert "Day 0 of 42" in asked.get(DIARY, {"before": "3"}).content.decode()
    assert asked.get(DIARY, {"before": "²"}).status_code == 200


def test_an_entry_is_changed_with_its_reason_and_taken_back_and_brought_back(asked):
    from fairtank.records.models import Change

    row = first_reading()
    address = f"{DIARY}readings/{row.pk}/"
    fields = {"on": "2026-03-01", "time": "18:10", "units": "T1", "quantity": "temperature", "unit_of_measure": "°C", "method": ""}
    assert 'value="24.6"' in asked.get(address).content.decode()
    assert asked.post(address, {**fields, "value": "24,1", "reason": "misread"}).status_code == 302
    row.refresh_from_db()
    assert (row.value, Change.objects.first().before["value"], Change.objects.first().said[-7:]) == (24.1, 24.6, "misread")
    wrong = asked.post(address, {**fields, "value": "warm"})
    assert (wrong.status_code, "Warm is not a number" in wrong.content.decode()) == (422, True)
    page = asked.post(address, {"take_back": "1"}, follow=True).content.decode()
    assert 'Taken back: temperature 24.1 °C in T1. <a href="/trials/small/diary/#taken-back">Undo</a>' in page
    assert "Taken back: temperature" not in asked.get(DIARY).content.decode(), "it is told once"
    assert asked.get(address).status_code == 404
    assert "Brought back" in asked.post(f"{address}back/", follow=True).content.decode()
    assert asked.get(address).status_code == 200


def test_an_entry_of_another_trial_is_not_there(asked):
    assert asked.get(f"/trials/blind/diary/readings/{first_reading().pk}/").status_code == 404
    assert asked.post(f"/trials/blind/diary/readings/{first_reading().pk}/back/").status_code == 404
    assert asked.get(f"{DIARY}users/1/").status_code == 404


def test_a_deviation_says_what_it_means_and_is_listed(asked):
    page = asked.get(f"{DIARY}add/").content.decode()
    assert "These days do not count" in page
    sent = {"entry": "e" * 32, "on": "2026-03-12", "at": "", "until": "2026-03-13", "units": ["T1"], "kind": "failure", "note": "Lamp out.",
            "effect": "exclude_window"}
    late = asked.post(f"{DIARY}add/", sent)
    assert (late.status_code, "why it comes later" in late.content.decode()) == (422, True)
    assert asked.post(f"{DIARY}add/", {**sent, "late": "was away"}).status_code == 302
    assert asked.post(f"{DIARY}add/", {**sent, "late": "was away"}).status_code == 302
    listed = asked.get(f"{DIARY}deviations/").content.decode()
    assert listed.count("Lamp out.") == 1
    assert "Entered later: was away" in asked.get(DIARY).content.decode()


def test_an_empty_list_of_deviations_teaches(asked):
    assert "Everything counts so far." in asked.get(f"{DIARY}deviations/").content.decode()


@pytest.mark.parametrize("sent", [{}, {"on": "x"}, {"on": "2026-03-13", "at": "25:99", "note": "n"},
                                  {"on": "2026-03-13", "note": "n", "effect": "no"}, {"on": "2026-03-13", "note": "n", "units": ["T1;T2"]},
                                  {"on": "0001-01-01", "note": "n", "late": "l"}])
def test_an_event_that_cannot_be_is_refused_in_words(asked, sent):
    from fairtank.records.models import Event

    answer = asked.post(f"{DIARY}add/", sent)
    assert (answer.status_code, "accepted" in answer.content.decode() or "day" in answer.content.decode()) == (422, True)
    assert not Event.objects.exists()


def test_a_row_of_readings_is_entered_at_once_and_what_is_doubtful_asked(asked):
    from fairtank.records.models import Reading

    sent = {"entry": "e" * 32, "quantity": "temperature", "unit_of_measure": "°C", "on": "2026-03-13", "value-0": "24,5", "value-1": "7.7"}
    answer = asked.post(f"{READINGS}add/", sent)
    assert (answer.status_code, "7.7 °C? The last was" in answer.content.decode()) == (422, True)
    assert [row.value for row in Reading.objects.filter(day=12)] == [24.5]
    told = asked.post(f"{READINGS}add/", {**sent, "sure-1": "on"}, follow=True).content.decode()
    assert "2 readings stored." in told
    assert [row.value for row in Reading.objects.filter(day=12)] == [24.5, 7.7]


def test_an_earlier_row_keeps_its_reason_and_all_can_be_taken_along(asked):
    from fairtank.records.models import Round

    sent = {"entry": "f" * 32, "new_quantity": "nitrate", "unit_of_measure": "mg/L", "on": "2026-03-11", "value-0": "5"}
    assert "why it comes later" in asked.post(f"{READINGS}add/", sent).content.decode()
    assert asked.post(f"{READINGS}add/", {**sent, "late": "on paper"}).status_code == 302
    assert Round.objects.get().late_reason == "on paper"
    text = asked.get(f"{READINGS}readings.csv").content.decode()
    assert text.splitlines()[0] == "unit,taken_at,quantity,value,unit_of_measure,method,below_detection"
    assert text.splitlines()[-1] == "T1,2026-03-11T12:00:00,nitrate,5,mg/L,,false"


def test_a_round_is_offered_while_the_trial_runs_and_not_when_it_is_over(asked, monkeypatch):
    from datetime import date

    from django.utils import timezone

    from fairtank.records.models import Trial
    from fairtank.web import visitors

    monkeypatch.setattr(visitors, "now_of", lambda request: NOW)
    nothing, button = "/trials/small/diary/?kind=photos", "Begin a round"
    assert button in asked.get(nothing).content.decode()
    Trial.objects.filter(slug="small").update(closed_at=timezone.now())
    assert button not in asked.get(nothing).content.decode()
    Trial.objects.filter(slug="small").update(closed_at=None, start=date(2026, 1, 1))
    assert button not in asked.get(nothing).content.decode()
