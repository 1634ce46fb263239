"""The paragraph with the numbers put in: every sum in it can be redone from what is printed."""

import math
import re
from datetime import date

import numpy as np
import pytest
from invented_trials import finding
from judged_trials import ARMS, BACK, found

from checking import every
from fairtank.inference import judge
from fairtank.publish.explain import how_computed
from fairtank.publish.phrases import plain_text
from fairtank.trial import Arm, MeasureChoice, Plan, Series, Unit

NUMBER = r"−?\d+(?:\.\d+)?"
DESIGNS = [("side_by_side", "mean"), ("side_by_side", "slope"), ("run_in", "change"), ("swap", "swap"), ("pairs", "mean"),
           ("rounds", "mean")]
SIGNED = r"(?:(?<![\d.) ])−|(?<=^)−)?\d+(?:\.\d+)?"  # a minus behind a number or a space is a sign of the sum
# `left = right`, where the left side holds numbers and signs only.
SUM = re.compile(rf"([\d.√()²/×+− ]+) = ({NUMBER})")


def half_place(text: str) -> float:
    return 0.5 * 10.0 ** -len(text.partition(".")[2])


def value_of(expression: str, numbers: list[float]) -> float:
    """The expression with its numbers replaced in their order."""
    left = iter(numbers)
    code = re.sub(SIGNED, lambda _: f"({next(left)!r})", expression)
    return eval(code.replace("√", "math.sqrt").replace("²", "**2").replace("×", "*").replace("−", "-"), {"math": math})


def check_sums(text: str) -> int:
    """Every sum holds within what the rounding of its numbers allows; answers how many there were."""
    text = re.sub(r"√(\d+)", r"√(\1)", text)
    sums = SUM.findall(text)
    for left, right in sums:
        left = left.strip(" .")
        printed = re.findall(SIGNED, left)
        numbers = [float(one.replace("−", "-")) for one in printed]
        middle = value_of(left, numbers)
        slack = half_place(right)
        for place, one in enumerate(printed):
            if "." in one:  # counts are exact
                moved = [*numbers[:place], numbers[place] + half_place(one), *numbers[place + 1:]]
                slack += abs(value_of(left, moved) - middle)
        assert abs(middle - float(right.replace("−", "-"))) <= slack * 1.05 + 1e-12, f"{left} = {right}"
    return len(sums)


@every(("kind", "summary"), DESIGNS)
@every("scale", ["logit", "log", "identity"])
def test_every_sum_can_be_redone_from_the_printed_numbers(kind, summary, scale):
    one = found(kind, scale, summary, n=(5, 5), sd=0.4)
    text = plain_text(how_computed(one))
    assert one.low is not None
    # standard error, half-width, both ends, and but for pairs and rounds the difference
    assert check_sums(text) >= (4 if kind in ("pairs", "rounds") else 5), text


def test_the_ends_printed_are_those_of_the_finding():
    one = found(n=(4, 4), sd=0.4)
    low, high = re.search(rf"runs from .* = ({NUMBER}) to .* = ({NUMBER})\.", plain_text(how_computed(one))).groups()
    assert float(low.replace("−", "-")) == pytest.approx(one.low, abs=half_place(low) * 1.01)
    assert float(high.replace("−", "-")) == pytest.approx(one.high, abs=half_place(high) * 1.01)


def test_a_finding_that_is_alone_shows_the_sum_behind_its_tipping_spread():
    text = plain_text(how_computed(found(n=(1, 1))))
    assert "no interval was computed" in text
    assert "(1.96 × √(1/1 + 1/1)) = " in text
    assert check_sums(text) >= 2


def test_a_threshold_counts_its_cases_and_the_lot():
    text = plain_text(how_computed(found(summary="threshold", threshold=18.0, n=(4, 4), effect=-1.2, sd=0.2)))
    assert text.startswith("Each of four tanks under the dark break was held against each of 4 under the 8 h block, 4 × 4 = 16 cases: ")
    assert "Of 70 ways in which the lot could have fallen, 2 give a score at least as far from 0: 2 / 70 = 2.9 %." in text


def test_a_spoilt_finding_was_not_computed():
    assert how_computed(finding(grade="spoilt")) == ""


def test_many_units_are_not_listed():
    assert "all of them stand in the table of tanks" in plain_text(how_computed(found(n=(10, 10))))


def several(kind, arms, effects, *, n=3, **more):
    """The findings of a trial with more than two arms."""
    rng, units, series = np.random.default_rng(2), [], []
    for arm, effect in zip(arms, effects, strict=True):
        for place in range(1, n + 1):
            units.append(Unit(f"{arm.key}{place}", arm.key, **({"block": str(place)} if more.get("blocks") else {})))
            shift = rng.normal(0, 0.3)
            series.append(Series(units[-1].key, "algae_cover", tuple(range(43)), tuple(
                BACK["logit"](-2.0 + shift + effect + rng.normal(0, 0.05)) for _ in range(43))))
    choice = MeasureChoice("algae_cover", "primary", "mean", "logit", 0.4, title="Algae cover", unit_of_measure="%")
    plan = Plan("Invented", date(2026, 3, 1), 42, kind, arms, tuple(units), (choice,), drawn=True, dose_unit=more.get("dose_unit", ""))
    return judge(plan, tuple(series))


DOSES = tuple(Arm(key, role, f"{dose} mL a day", dose=float(dose)) for key, role, dose in
              (("A", "reference", 0), ("B", "changed", 1), ("C", "changed", 2), ("D", "changed", 4)))
WAYS = (Arm("N", "reference", "neither"), Arm("L", "changed", "light", changes=("light",)), Arm("F", "changed", "feed", changes=("feed",)),
        Arm("B", "changed", "both", changes=("light", "feed")))


def test_a_ladder_sums_up_its_line():
    (one,) = several("ladder", DOSES, (0.0, -0.2, -0.5, -0.9), dose_unit="mL")
    text = plain_text(how_computed(one))
    assert check_sums(text) == 4
    assert text.endswith("%).")


@pytest.mark.parametrize(("n", "blocks", "sums"), [(3, False, 4), (4, True, 5)])
def test_two_changes_sum_up_their_four_ways(n, blocks, sums):
    first, second = several("two_changes", WAYS, (0.0, -0.8, 0.1, -0.9), n=n, blocks=blocks)
    for one in (first, second):
        assert check_sums(plain_text(how_computed(one))) == sums
    assert "The two ways with light lie at" in how_computed(first)
    assert ("blocks give 4 such differences" in how_computed(first)) is blocks


def test_several_arms_say_that_their_comparisons_share_the_promise():
    for one in several("side_by_side", (*ARMS, Arm("D", "changed", "6 h block")), (0.0, -0.8, -0.2)):
        text = plain_text(how_computed(one))
        assert "(more than for one comparison alone: 2 of them share the promise)" in text
        assert check_sums(text) == 5


def test_a_drawn_start_counts_the_draws():
    rng, series = np.random.default_rng(1), []
    for unit, effect in (("T1", 0.0), ("T2", -1.5)):
        series.append(Series(unit, "algae_cover", tuple(range(61)), tuple(
            BACK["logit"](-2.0 + effect * (day >= 25) + rng.normal(0, 0.2)) for day in range(61))))
    choice = MeasureChoice("algae_cover", "primary", "mean", "logit", title="Algae cover", unit_of_measure="%")
    plan = Plan("Invented", date(2026, 3, 1), 60, "drawn_start", ARMS, (Unit("T1", "R"), Unit("T2", "C")), (choice,), drawn=True,
                start_window=(18, 40), drawn_day=25, expect="less")
    text = plain_text(how_computed(judge(plan, tuple(series))[0]))
    assert "any of 23 days: 2 × 23 = 46 draws." in text
    assert check_sums(text) == 3


def test_an_arm_twice_as_large_is_named_as_the_reason_for_so_few_degrees_of_freedom():
    reason = "(one less than the smaller arm has, because the other is twice as large or more)"
    text = how_computed(found("side_by_side", n=(3, 6)))
    assert f"On 2 degrees of freedom {reason} the" in plain_text(text)
    assert reason not in how_computed(found("side_by_side", n=(4, 4)))
