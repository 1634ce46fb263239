"""The smallest difference that matters, moved between what a keeper sees and the scale of judging."""

import math

import pytest

from checking import every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.inference.series.scales import Scale
from fairtank.planning.wizard.margins import margin_of


@every("scale", ["logit", "log", "identity"])
@every("level", [3.0, 10.0, 50.0, 88.0])
@every("difference", [0.5, 2.0, 2.7])
def test_a_margin_is_the_step_that_the_judging_sees(scale, level, difference):
    judged = Scale(scale)
    for expect, sign in (("more", 1), ("less", -1)):
        found = margin_of(scale, level, difference, expect)
        assert found.margin == pytest.approx(abs(judged.forward(level + sign * difference) - judged.forward(level)), rel=1e-12)
        assert judged.back(judged.forward(level) + sign * found.margin) == pytest.approx(level + sign * difference, rel=1e-9)
        assert found.down < level < found.up


@pytest.mark.parametrize("scale", ["logit", "log"])
def test_either_way_takes_the_smaller_step(scale):
    both = [margin_of(scale, 10.0, 5.0, expect).margin for expect in ("more", "less")]
    assert margin_of(scale, 10.0, 5.0, "either").margin == min(both)


def test_steps_of_one_size_weigh_more_near_the_ends_of_a_cover():
    steps = [margin_of("logit", level, 4.0, "more").margin for level in (2.0, 5.0, 10.0, 30.0, 48.0)]
    assert steps == sorted(steps, reverse=True)
    assert margin_of("logit", 20.0, 5.0, "more").margin == pytest.approx(margin_of("logit", 80.0, 5.0, "less").margin)


def test_on_the_scale_of_amounts_only_the_ratio_counts():
    assert margin_of("log", 15.0, 3.0, "more").margin == pytest.approx(math.log(1.2))
    assert margin_of("log", 150.0, 30.0, "more").margin == pytest.approx(math.log(1.2))


@pytest.mark.parametrize(("scale", "level", "difference", "expect"), [
    ("logit", 10, 10, "less"), ("logit", 98, 3, "more"), ("log", 5, 5, "less")])
def test_a_difference_that_leads_off_the_scale_is_refused(scale, level, difference, expect):
    with pytest.raises(OutOfRangeError, match=r"the smallest difference that matters is .*; accepted: at most"):
        margin_of(scale, level, difference, expect)


@pytest.mark.parametrize("difference", [0, -1, math.inf, math.nan])
def test_a_difference_of_nothing_is_refused(difference):
    with pytest.raises(OutOfRangeError, match="a number above 0"):
        margin_of("identity", 0.0, difference, "either")


def test_an_unknown_scale_is_refused():
    with pytest.raises(InputError, match="logit, log or identity"):
        margin_of("root", 1.0, 1.0, "more")
