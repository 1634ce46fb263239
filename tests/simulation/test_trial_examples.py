"""The example trials: invented and said to be so, of every design, and such that a keeper could have kept them."""

import pytest

from fairtank.errors import InputError
from fairtank.inference.earlier.classes import tank_class, window_class
from fairtank.simulation.trials import EXAMPLES, example_trial
from fairtank.trial import DESIGN_KINDS


@pytest.fixture(params=EXAMPLES)
def example(request):
    return example_trial(request.param, 3)


def test_there_is_one_of_every_design():
    assert {example_trial(name)[0].kind for name in EXAMPLES} == set(DESIGN_KINDS)


def test_no_two_tell_the_same_story_or_show_the_same_tanks():
    found = [example_trial(name) for name in EXAMPLES]
    assert len({plan.title for plan, _, _ in found}) == len({series[0].values for _, series, _ in found}) == len(EXAMPLES)


def test_it_says_that_it_is_invented(example):
    plan, _, earlier = example
    assert "(invented example" in plan.title
    assert plan.disclosure.startswith("Invented")
    assert all(entry.trial.startswith("invented") for entry in earlier)


def test_other_tanks_than_the_usual_ones_have_a_title_of_their_own():
    for name in EXAMPLES:
        usual = example_trial(name)[0].title
        assert usual.endswith("(invented example)")
        assert example_trial(name, 7)[0].title == f"{usual[:-1]}, seed 7)"


def test_the_arms_of_two_changes_are_called_by_what_they_have():
    plan = example_trial("two_changes")[0]
    assert {arm.key: arm.name for arm in plan.arms} == {"N": "neither", "S": "short light", "F": "floating plants", "B": "both"}
    assert {arm.key: arm.changes for arm in plan.arms}["S"] == ("short light",)


def test_it_has_its_words_and_a_series_for_every_unit(example):
    plan, series, _ = example
    assert all((plan.question, plan.change, plan.reference, plan.rationale, plan.keeper, plan.place))
    assert all(arm.name for arm in plan.arms)
    assert [one.unit for one in series] == [unit.key for unit in plan.units]
    assert {one.measure for one in series} == {plan.measures[0].key}


def test_values_are_cover_on_days_of_the_trial(example):
    plan, series, _ = example
    for one in series:
        assert 0 <= min(one.days) <= max(one.days) <= plan.days
        assert list(one.days) == sorted(set(one.days))
        assert all(0 < value < 100 and round(value, 1) == value for value in one.values)


def test_the_same_seed_gives_the_same_trial_and_another_deals_and_grows_anew():
    for name in EXAMPLES:
        assert example_trial(name, 4) == example_trial(name, 4)
        assert example_trial(name, 4)[1] != example_trial(name, 5)[1]
    lots = {tuple(unit.arm for unit in example_trial("side_by_side", seed)[0].units) for seed in range(10)}
    assert len(lots) > 3


def test_pairs_keep_one_of_each_arm_and_a_drawn_start_lies_in_its_window():
    for seed in range(5):
        pairs = example_trial("pairs", seed)[0]
        assert all({first.arm, second.arm} == {"R", "C"} and first.pair == second.pair
                   for first, second in zip(pairs.units[::2], pairs.units[1::2], strict=True))
        drawn = example_trial("drawn_start", seed)[0]
        assert drawn.start_window[0] <= drawn.drawn_day <= drawn.start_window[1]


def test_earlier_tanks_are_of_the_kind_that_the_trial_asks_for():
    for name in EXAMPLES:
        plan, _, earlier = example_trial(name)
        assert bool(earlier) == (name in ("two_each", "one_each_earlier"))
        for entry in earlier:
            assert (entry.measure, entry.scale, entry.summary) == (plan.measures[0].key, "logit", "mean")
            assert entry.window_class == window_class(plan.days + 1)
            assert entry.tank_class == tank_class(plan.tank_litres)


def test_an_unknown_example_is_refused_with_those_there_are():
    with pytest.raises(InputError, match="design is maze; accepted: side_by_side, two_each, one_each"):
        example_trial("maze")
