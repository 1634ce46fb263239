"""Days of one tank are no replicates, however they are dressed up."""

import pytest

from fairtank.errors import DesignError
from fairtank.inference import compare, judge
from fairtank.trial import Series, Unit
from inference.trials import level, measure, plan_of

NO_REPLICATES = r"Days, photos or readings of one tank are no replicates: .*, so the tank counts once\."


def judged(units, days_of, **more):
    """The finding on units whose values stand on the given days."""
    series = [Series(unit.key, "cover", days, tuple(10.0 + number for _ in days))
              for number, unit in enumerate(units) for days in [days_of(unit)]]
    return compare(plan_of(units=tuple(units), **more), measure(), series)


def test_units_that_stand_in_one_tank_and_are_no_compartments_are_refused():
    units = [Unit(f"{arm}-{number}", arm, tank=f"tank {arm}") for arm in "RC" for number in range(1, 6)]
    said = r"^Units R-1, R-2, R-3, R-4 and 1 more stand in one tank \(tank R\) under one arm and are not told apart as its compartments\. "
    with pytest.raises(DesignError, match=said + NO_REPLICATES + r" List the tank as one \[\[unit\]\]"):
        judged(units, lambda unit: tuple(range(43)))


@pytest.mark.parametrize("parts", [("a", "a", "b"), ("a", "", "b"), ("", "", "")])
def test_a_compartment_that_is_named_twice_or_not_at_all_is_refused(parts):
    units = [Unit(f"{arm}{number}", arm, tank=arm, compartment=part) for arm in "RC" for number, part in enumerate(parts)]
    with pytest.raises(DesignError, match=NO_REPLICATES):
        judged(units, lambda unit: tuple(range(43)))


def test_the_whole_trial_is_refused_with_it():
    units = tuple(Unit(f"{arm}{number}", arm, tank=arm) for arm in "RC" for number in range(3))
    with pytest.raises(DesignError, match=NO_REPLICATES):
        judge(plan_of(units=units), [level(unit.key, 10) for unit in units])


def test_compartments_with_names_and_water_of_their_own_are_units():
    units = [Unit(f"{arm}{part}", arm, tank=arm, compartment=part) for arm in "RC" for part in "123"]
    finding = judged(units, lambda unit: tuple(range(43)))
    assert (finding.n_reference, finding.n_changed) == (3, 3)


def test_compartments_that_share_water_are_one_tank_and_pass():
    units = [Unit(f"{tank}{number}", tank[0], tank=tank) for tank in ("R1", "R2", "R3", "C1", "C2", "C3") for number in range(2)]
    finding = judged(units, lambda unit: tuple(range(43)), shared_water=True)
    assert (finding.n_reference, finding.n_changed) == (3, 3)


@pytest.mark.parametrize("shape", ["{arm} day {day}", "{arm}-day{day}", "tank{arm}.Day.{day}", "{arm}_{day}", "{arm}{day}"])
def test_units_named_by_the_day_of_their_only_value_are_refused(shape):
    units = [Unit(shape.format(arm=arm, day=day), arm) for arm in "RC" for day in (7, 14, 21, 28)]
    days = iter([7, 14, 21, 28] * 2)
    first = units[0].key
    with pytest.raises(DesignError, match=rf"^Units {first}, .* are named by days and have a value on one day each\. {NO_REPLICATES}"):
        judged(units, lambda unit: (next(days),))


def test_units_called_days_are_refused_also_when_their_values_were_all_put_on_the_last_day():
    units = [Unit(f"{arm} day {day}", arm) for arm in "RC" for day in (7, 14, 21)]
    with pytest.raises(DesignError, match=NO_REPLICATES):
        judged(units, lambda unit: (42,))


@pytest.mark.parametrize("day", [42, 2])
def test_tanks_with_numbers_that_were_read_once_on_the_same_day_are_tanks(day):
    units = [Unit(f"{arm}{number}", arm) for arm in "RC" for number in (1, 2, 3)]
    finding = compare(plan_of(units=tuple(units)), measure(), [level(unit.key, 10 + number, days=[day], ready_made=True)
                                                               for number, unit in enumerate(units)])
    assert (finding.reading_day, finding.n_reference, finding.n_changed) == (day, 3, 3)


def test_in_rounds_a_tank_comes_back():
    units = tuple(Unit(f"{tank}{number}", "RC"[(number + place) % 2], tank=tank, round=str(number))
                  for number in range(1, 5) for place, tank in enumerate("AB"))
    series = [level(unit.key, 10 + number + 3 * (unit.arm == "C")) for number, unit in enumerate(units)]
    assert compare(plan_of(kind="rounds", units=units), measure(), series).n_changed == 4
