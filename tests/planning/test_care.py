"""What a trial takes: minutes by its schedule, money, electricity and water by its build, checked by hand."""

from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Money
from fairtank.chore import Chore
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.care import care_of, spending_of, work_of
from fairtank.planning.costs import shopping_list
from inference.trials import plan_of
from planning.setups import midday

PLAN = replace(plan_of(3, 3), days=41)
DAILY = Chore("photos", "Photos", "photo", "FREQ=DAILY", minutes=6)
WEEKLY = Chore("water", "Water change", "water_change", "FREQ=WEEKLY", from_day=6, minutes=42)


@pytest.mark.published(entry="work_of", source="arithmetic", where="42 days at 6 min and 6 times 42 min are 504 min, 8.4 h; by hand")
def test_minutes_of_two_chores_are_summed_over_all_days():
    work = work_of(PLAN, (DAILY, WEEKLY))
    assert (work.days, work.busiest_day, work.busiest_minutes) == (42, 6, 48)
    assert agrees(work.minutes_per_day, "12.0")
    assert agrees(work.minutes_per_week, "84.0")
    assert agrees(work.work_h, "8.4")


def test_a_chore_counts_between_its_own_days_only():
    work = work_of(PLAN, (replace(DAILY, from_day=10, until_day=13),))
    assert agrees(work.work_h * 60, "24.0")
    assert work.busiest_day == 10


def test_chores_without_minutes_are_named_and_nothing_is_made_up():
    assert work_of(PLAN, (DAILY, replace(WEEKLY, minutes=0))).untimed == ("Water change",)
    assert work_of(PLAN, (replace(WEEKLY, minutes=0),)) is None
    assert work_of(PLAN, ()) is None


def test_twice_the_minutes_are_twice_the_work():
    one, two = (work_of(PLAN, (replace(DAILY, minutes=minutes), WEEKLY)) for minutes in (3, 6))
    assert agrees((two.work_h - one.work_h) * 60, "126.0")


def test_spending_is_that_of_the_shopping_list():
    setup = midday()
    shopping, spending = shopping_list(setup, build_sheet(setup)), spending_of(setup)
    assert (spending.purchases, spending.energy_cost, spending.currency) == (shopping.purchases, shopping.running.cost_trial, "crowns")
    assert spending.per_tank == pytest.approx(shopping.purchases / 6)
    assert spending.per_day * setup.weeks * 7 == pytest.approx(shopping.running.cost_trial)
    assert (spending.has_prices, spending.is_at_least) == (True, shopping.purchases > 0 and bool(spending.unpriced))


@pytest.mark.published(entry="water_l", source="arithmetic", where="a first fill and five weekly changes of 30 % in 37 days: 2.5 fills")
def test_water_is_that_of_the_first_fill_and_of_every_change():
    setup = midday()
    fill_l = spending_of(replace(setup, water=())).water_l
    assert agrees(spending_of(setup).water_l / fill_l, "2.50")
    assert spending_of(replace(setup, weeks=2)).water_l < spending_of(setup).water_l


def test_what_has_no_price_is_named_and_not_taken_for_nothing():
    setup = replace(midday(), materials=tuple(replace(one, price=None) for one in midday().materials), money=Money())
    spending = spending_of(setup)
    assert spending.is_at_least
    assert "peat and clay base, dry" in spending.unpriced
    assert spending.energy_cost is None


def test_without_a_build_nothing_is_said_of_money_and_a_build_that_cannot_be_made_gives_its_reason():
    assert care_of(PLAN, (DAILY,), None).spending is None
    for water_mm in (5, -1, 1e9):
        care = care_of(PLAN, (DAILY,), replace(midday(), tanks=tuple(replace(tank, water_mm=water_mm) for tank in midday().tanks)))
        assert care.spending is None
        assert care.reason
        assert care.work is not None
