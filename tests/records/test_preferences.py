"""The keeper's choices, and amounts shown and typed in their units."""

import pytest

from fairtank.errors import InputError


@pytest.fixture
def us(shelf):
    """Units of the United States, and degrees Fahrenheit."""
    from fairtank.records.services.shelf_settings import preferences_store
    from fairtank.records.services.trail import KEEPER
    from fairtank.web.amounts import forget

    forget()
    preferences_store(by=KEEPER, given={"measures": "us", "temperature": "degF"})
    yield
    forget()


@pytest.fixture
def metric(shelf):
    """Nothing was chosen."""
    from fairtank.web.amounts import forget

    forget()
    yield
    forget()


def test_choices_are_kept_and_told_in_the_trail_once(shelf):
    from fairtank.records.models import Change
    from fairtank.records.selectors.preferences import Preferences, keeper_name, preferences
    from fairtank.records.services.shelf_settings import preferences_store
    from fairtank.records.services.trail import KEEPER

    assert preferences() == Preferences()
    for _ in range(2):
        preferences_store(by=KEEPER, given={"keeper_name": "  Ada  of the cellar ", "keep_gps": True})
    assert keeper_name() == "Ada of the cellar"
    assert [change.said for change in Change.objects.all()] == ["Changed whether photos keep the place where they were taken.",
                                                                "Changed your name."]
    preferences_store(by=KEEPER, given={"keeper_name": ""})
    assert keeper_name() == "keeper"


@pytest.mark.parametrize(("given", "said"), [
    ({"measures": "stones"}, "metric or us"), ({"colour": "red"}, "one of keeper_name"), ({"keeper_name": "x" * 61}, "61 characters long"),
    ({"keep_gps": 1}, "False or True"),
])  # fmt: skip
def test_what_cannot_be_chosen_is_refused(shelf, given, said):
    from fairtank.records.services.shelf_settings import preferences_store
    from fairtank.records.services.trail import KEEPER

    with pytest.raises(InputError, match=said):
        preferences_store(by=KEEPER, given=given)


def test_a_choice_that_is_no_longer_known_counts_as_none(shelf):
    from fairtank.records.models import Setting
    from fairtank.records.selectors.preferences import preferences

    Setting.objects.create(key="measures", value="stones")
    assert preferences().measures == "metric"


@pytest.mark.parametrize(("value", "unit", "shown"), [
    (45, "L", "45 L"), (450.0, "mm", "450 mm"), (-3.5, "degC", "−3.5 °C"), (1, "piece", "1 piece"), (4, "piece", "4 pieces"),
    (None, "L", ""), (0.4, "", "0.4"), (7, "dKH", "7 dKH"),
])  # fmt: skip
def test_without_a_choice_amounts_are_as_they_are_stored(metric, value, unit, shown):
    from fairtank.web.amounts import amount

    assert amount(value, unit).replace("\N{NO-BREAK SPACE}", " ") == shown


@pytest.mark.parametrize(("value", "unit", "shown"), [
    # by the definitions: 3.785411784 L to the US gallon, 25.4 mm to the inch, 0.45359237 kg to the pound
    (37.85411784, "L", "10 US gal"), (609.6, "mm", "24 in"), (4.5359237, "kg", "10 lb"), (25.0, "degC", "77 °F"), (20, "mg/L", "20 mg/L"),
    (29.5735295625, "mL", "1 US fl oz"), (1000, "mm", "39.37 in"), (0.1, "kg", "0.2205 lb"),
])  # fmt: skip
def test_us_units_are_those_of_their_definitions(us, value, unit, shown):
    from fairtank.web.amounts import amount

    assert amount(value, unit).replace("\N{NO-BREAK SPACE}", " ") == shown


@pytest.mark.parametrize(("typed", "unit", "stored"), [
    ("24", "mm", 609.6), ("600 mm", "mm", 600.0), ("10 gal", "L", 37.85411784), ("77", "degC", 25.0), ("25 °C", "degC", 25.0),
    ("10 imp gal", "L", 45.4609), ("1,5", "mm", 38.1), ("", "mm", None), ("3", "piece", 3.0),
])  # fmt: skip
def test_what_is_typed_is_stored_in_the_unit_of_storage(us, typed, unit, stored):
    from fairtank.web.amounts import amount_typed

    assert amount_typed(typed, unit) == (stored if stored is None else pytest.approx(stored))


def test_a_field_that_was_left_alone_keeps_what_is_stored_to_the_last_digit(us):
    from fairtank.web.amounts import amount_typed, as_typed

    for value in (450.0, 32.8, 1 / 3, 1234.5678):
        assert amount_typed(as_typed(value, "mm"), "mm", value) == value


@pytest.mark.parametrize("typed", ["a handful", "3 kg", "3 gal", "1,2,3"])
def test_what_is_no_amount_of_that_sort_is_refused(metric, typed):
    from fairtank.web.amounts import amount_typed

    with pytest.raises(InputError):
        amount_typed(typed, "mm")


def test_a_page_asks_for_the_choices_once(metric):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.web.amounts import amount

    with CaptureQueriesContext(connection) as asks:
        for value in range(100):
            amount(value, "L")
    assert len(asks) == 1
