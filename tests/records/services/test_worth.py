"""What a folder's trial takes: by its own schedule or the proposed one; prices of setup.toml compare the designs."""

import json
from dataclasses import replace

import pytest

from fairtank.chore import Chore
from fairtank.inference.foresight.showing import Prices
from fairtank.planning.care import Care, spending_of
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.services.detecting import detect_json, takes_told, trial_detect
from fairtank.records.services.worth import prices_from, trial_care, worth_told
from fairtank.trial import Unit
from inference.trials import plan_of
from planning.setups import midday


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A plan of six tanks with a build that has prices."""
    root, setup = tmp_path_factory.mktemp("built") / "trial", midday()
    arms = dict(setup.arms)
    plan = replace(plan_of(3, 3, expect="less"), units=tuple(Unit(unit, arms[unit], tank=tank) for unit, tank in setup.places), days=36)
    write_folder(root, plan, setup=setup)
    return root


@pytest.fixture(scope="module")
def detected(built):
    return trial_detect(root=built)


def test_without_a_schedule_the_proposed_one_is_counted_and_called_so(built):
    care = trial_care(read_folder(built))
    assert care.work.is_proposed
    assert care.work.work_h > 1


def test_the_keepers_own_schedule_counts_where_there_is_one(built):
    folder = replace(read_folder(built), chores=(Chore("photos", "Photos", "photo", "FREQ=DAILY", minutes=6),))
    care = trial_care(folder)
    assert (care.work.is_proposed, care.work.busiest_minutes) == (False, 6)
    assert worth_told(folder)[0].startswith("What it takes: ")


def test_prices_of_the_build_compare_the_designs_and_are_told(built, detected):
    spending = spending_of(midday())
    plan = detected.showing.plan
    assert plan.cost == pytest.approx(6 * spending.per_tank + plan.days * spending.per_day)
    assert takes_told(detected)[-1].startswith("Costs are from setup.toml: ")
    document = json.loads(detect_json(detected))
    assert document["takes"]["spending"]["currency"] == "crowns"
    assert document["takes_text"][0].startswith("What it takes: ")


def test_given_prices_take_the_place_of_those_of_the_build(built):
    given = trial_detect(root=built, prices=Prices(80, 1.5))
    assert given.showing.plan.cost == 6 * 80 + 1.5 * given.showing.plan.days
    assert not any("setup.toml" in text for text in takes_told(given)[-1:])


def test_a_build_without_any_price_gives_no_prices():
    assert prices_from(Care(None, None)) is None
    spending = spending_of(midday())
    assert prices_from(Care(None, replace(spending, has_prices=False))) is None
    assert prices_from(Care(None, replace(spending, per_tank=0.0, per_day=0.0))) is None
    assert prices_from(Care(None, spending)) == Prices(spending.per_tank, spending.per_day)


def test_a_bare_folder_says_what_is_missing(tmp_path):
    write_folder(tmp_path / "trial", plan_of(3, 3))
    told = worth_told(read_folder(tmp_path / "trial"))
    assert told[-1] == "What it costs cannot be told: there is no setup.toml with prices."
