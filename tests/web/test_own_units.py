"""Gallons, inches and Fahrenheit where the keeper chose them: shown and typed in the pages, never stored."""

import html
import re

import pytest
from tests.web.judged_trials import shelved, text_of


@pytest.fixture
def in_us_units(shelf):
    from fairtank.records.models import Setting
    from fairtank.web.amounts import forget

    for key, value in (("measures", "us"), ("temperature", "degF")):
        Setting.objects.create(key=key, value=value)
    forget()
    yield
    forget()


@pytest.fixture
def trial(in_us_units, tmp_path):
    return shelved(tmp_path / "glasses", day=5, values=False, readings=1)


def page_of(asked, address):
    answer = asked.get(address)
    assert answer.status_code == 200
    return html.unescape(text_of(answer))


def test_readings_are_shown_and_typed_in_the_keepers_unit_and_kept_in_that_of_storage(asked, trial):
    from fairtank.records.models import Reading

    there = f"/trials/{trial.slug}/readings/"
    page = page_of(asked, f"{there}?quantity=temperature")
    assert re.search(r'name="unit_of_measure" value="([^"]*)"', page)[1] == "°F"
    assert "Values in °F." in page
    sent = {"entry": "row-1", "quantity": "temperature", "unit_of_measure": "°F", "on": re.search(r'name="on" value="([^"]*)"', page)[1],
            "value-0": "77", "value-1": "78,8", "at": "00:01"}
    assert asked.post(f"{there}add/", sent).status_code in (302, 303)
    kept = Reading.objects.filter(trial=trial, day=5).values_list("unit__key", "value", "unit_of_measure")
    assert set(kept) == {("T1", 25.0, "°C"), ("T2", 26.0, "°C")}
    assert "temperature 77 °F" in re.sub(r"\s+", " ", page_of(asked, f"/trials/{trial.slug}/diary/"))


def test_a_round_asks_and_takes_in_the_keepers_unit(asked, trial):
    from fairtank.records.models import Reading

    page = page_of(asked, f"/trials/{trial.slug}/round/")
    assert 'data-measured="°F"' in page
    assert 'data-measured="°C"' not in page
    entry = {"entry": "e1", "kind": "reading", "unit": "T1", "quantity": "temperature", "value": "77", "unit_of_measure": "°F",
             "sure": True}
    told = asked.post(f"/trials/{trial.slug}/round/entries/", {"round": {"key": "r-1", "day": 5, "late": ""}, "entries": [entry]},
                      content_type="application/json")
    assert told.json()["answers"][0]["state"] == "stored", told.json()
    assert Reading.objects.filter(trial=trial, day=5).values_list("value", "unit_of_measure").get() == (25.0, "°C")


def test_an_entry_that_is_stored_as_it_was_shown_keeps_its_last_digit(asked, trial):
    from fairtank.records.models import Reading

    row = Reading.objects.filter(trial=trial).order_by("pk").first()
    there = f"/trials/{trial.slug}/diary/readings/{row.pk}/"
    fields = dict(re.findall(r'<input type="\w+"[^>]*? name="(\w+)" value="([^"]*)"', page_of(asked, there)))
    assert fields["unit_of_measure"] == "°F"
    asked.post(there, {**fields, "units": "T1", "reason": "the thermometer was another", "method": "other thermometer"})
    now = Reading.objects.get(pk=row.pk)
    assert (now.value, now.unit_of_measure, now.method) == (row.value, "°C", "other thermometer")


@pytest.mark.parametrize(("text", "unit", "kept"), [
    ("77", "°F", ("25", "°C")), ("-40", "°F", ("-40", "°C")), ("<50", "°F", ("<10", "°C")), ("many", "°F", ("many", "°F")),
    ("7", "mg/L", ("7", "mg/L")), ("1", "in", ("2.54", "cm"))])
def test_a_typed_reading_is_kept_in_the_unit_of_storage(in_us_units, text, unit, kept):
    from fairtank.web.amounts import reading_kept

    assert reading_kept(text, unit) == kept


def test_who_chose_metric_units_keeps_what_was_typed(shelf):
    from fairtank.web.amounts import forget, reading_kept

    forget()
    assert reading_kept("77", "°F") == ("77", "°F")


def test_rulers_of_level_have_both(in_us_units):
    from fairtank import build
    from fairtank.records.selectors.tanks import tank_shown

    tank = build.Tank("T1", 600, 300, 360, 6, 330)
    both, metric = tank_shown(tank, with_us=True).picture, tank_shown(tank).picture
    assert "33.0 cm (13.0 in)" in both.svg
    assert "US gal)" in both.description
    assert "US gal" not in metric.svg
