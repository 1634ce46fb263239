"""Compartments that share water."""

import pytest

from fairtank.errors import DesignError
from fairtank.finding import UnitSummary
from fairtank.inference.series.tanks import Sharing, averaged_by_tank, has_uncounted_compartments, sharing_of, unit_word
from fairtank.trial import Unit
from inference.trials import plan_of

NESTED = tuple(Unit(f"{tank}{part}", arm, tank=tank, compartment=part) for tank, arm in (("A", "R"), ("B", "C")) for part in "123")
CROSSED = tuple(Unit(f"A{part}", arm, tank="A", compartment=str(part)) for part, arm in enumerate("RCRCRC"))


def test_compartments_of_one_tank_and_one_arm_are_averaged():
    plan = plan_of(units=NESTED, shared_water=True)
    assert sharing_of(plan) == Sharing(averaged=True)
    assert unit_word(plan) == "tank"


def test_compartments_with_water_of_their_own_are_units():
    plan = plan_of(units=NESTED)
    assert sharing_of(plan) == Sharing()
    assert unit_word(plan) == "compartment"


def test_tanks_that_each_hold_both_arms_compare_their_compartments():
    assert sharing_of(plan_of(units=CROSSED, shared_water=True)) == Sharing(within=True)


def test_shared_water_without_compartments_means_nothing():
    assert sharing_of(plan_of(shared_water=True)) == Sharing()
    assert unit_word(plan_of(shared_water=True)) == "tank"


def test_a_mixture_of_both_is_refused():
    plan = plan_of(units=(*CROSSED, Unit("B1", "R", tank="B")), shared_water=True)
    with pytest.raises(DesignError, match="share water, and A holds both arms while another tank holds only one"):
        sharing_of(plan)


def test_several_tanks_that_hold_both_arms_are_told_in_the_plural():
    second = tuple(Unit(f"B{part}", arm, tank="B") for part, arm in enumerate("RC"))
    plan = plan_of(units=(*CROSSED, *second, Unit("D1", "R", tank="D")), shared_water=True)
    with pytest.raises(DesignError, match="share water, and A, B hold both arms while another tank holds only one"):
        sharing_of(plan)


def compartment(unit, arm, z, days=40, clipped=0, spoilt=None):
    return UnitSummary(unit, arm, z, days, spoilt, z, clipped)


def test_a_tank_is_the_mean_of_its_usable_compartments():
    plan = plan_of(units=NESTED, shared_water=True)
    tanks = averaged_by_tank(plan, [
        compartment("A1", "R", 1.0), compartment("A2", "R", 2.0, days=30, clipped=3),
        compartment("A3", "R", None, days=9, spoilt="A3 leaked."),
        *(compartment(f"B{part}", "C", None, days=part, spoilt=f"B{part} leaked.") for part in (1, 2, 3)),
    ])
    assert tanks == (UnitSummary("A", "R", 1.5, 30, None, 1.5, 3), UnitSummary("B", "C", None, 3, "B1 leaked. B2 leaked. B3 leaked."))


def test_compartments_counted_as_tanks_are_noticed_where_a_tank_has_one_arm():
    assert has_uncounted_compartments(plan_of(units=NESTED))
    assert not has_uncounted_compartments(plan_of(units=NESTED, shared_water=True))
    assert not has_uncounted_compartments(plan_of(units=CROSSED))
    assert not has_uncounted_compartments(plan_of())
