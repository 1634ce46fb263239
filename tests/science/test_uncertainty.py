"""What reading errors do to a result: exact cases, printed formulas, the share of intervals that hold the truth, and refusals."""

import doctest
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from checking import agrees
from fairtank import registry
from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Entry, Input, ReadingError
from fairtank.science import uncertainty
from fairtank.science.ranges import plain, within
from fairtank.science.uncertainty import band_of, coverage_factor, interval_of

PROBE, TEST = ReadingError(0.1, instrument="probe"), ReadingError(0.5, instrument="drop test")
PH = Input("ph", "pH", "", 0, 14, error=PROBE)
KH = Input("kh", "carbonate hardness (KH)", "dKH", 0, 30, error=TEST, figure_from=1.0)
A, B = Input("a", "first", "g", -100, 100, error=ReadingError(3.0)), Input("b", "second", "g", -100, 100, error=ReadingError(4.0))


@dataclass(frozen=True)
class Pair:
    sum: float
    of_ph: float
    word: str


def entry_of(function, *inputs, key="invented"):
    return Entry("calculator", key, "Invented", "mg/L", (), "", function, inputs=inputs)


def gas(kh, ph):
    return plain(3.4 * within(KH, kh) * 10 ** (7.0 - within(PH, ph)))


def gas_one_by_one(kh, ph):
    return 3.4 * float(kh) * 10 ** (7.0 - float(ph))


GAS = entry_of(gas, KH, PH)
FINE_KH = replace(KH, figure_from=None)
SUM = entry_of(lambda a, b: plain(within(A, a) + within(B, b)), A, B)


def errors(kind, **sizes):
    return {name: ReadingError(size, kind) for name, size in sizes.items()}


def half_width(entry, given, errors_, level=0.95):
    known = interval_of(entry, given, errors_, level)[""]
    assert known.high - known.value == pytest.approx(known.value - known.low, rel=1e-9)
    return known.high - known.value


# Exact cases

@pytest.mark.published(source="arithmetic", where="variance of an even spread over -a to a: a squared by 3", entry="interval_of")
def test_a_reading_right_to_within_a_leaves_95_hundredths_of_a_on_either_side():
    known = interval_of(entry_of(lambda a: 2.0 * a, A), {"a": 10.0})[""]
    assert known.way == "linear"
    assert (known.value, known.shares) == (20.0, (("a", 1.0),))
    assert known.high - 20.0 == pytest.approx(0.95 * 2 * 3.0, rel=2e-4)
    assert 20.0 - known.low == pytest.approx(0.95 * 2 * 3.0, rel=2e-4)


@pytest.mark.published(source="arithmetic", where="normal quantile 1.95996 and 2.57583", entry="interval_of")
@pytest.mark.parametrize(("level", "printed"), [(0.95, "1.960"), (0.99, "2.576"), (0.6827, "1.000")])
def test_a_normal_reading_leaves_the_normal_interval(level, printed):
    assert agrees(half_width(SUM, {"a": 1.0, "b": 2.0}, {"a": ReadingError(1.0, "standard"), "b": None}, level), printed)


@pytest.mark.published(source="arithmetic", where="3-4-5: independent standard deviations add by squares", entry="interval_of")
def test_two_normal_readings_add_by_squares():
    known = interval_of(SUM, {"a": 1.0, "b": 2.0}, errors("standard", a=3.0, b=4.0))[""]
    assert known.high - known.value == pytest.approx(5 * 1.959964, rel=1e-4)
    assert dict(known.shares) == pytest.approx({"a": 9 / 25, "b": 16 / 25})
    assert [name for name, _ in known.shares] == ["b", "a"]


@pytest.mark.published(source="arithmetic", where="triangle: P(|S| > s) = ((2a - s) / 2a) squared, so s = 2a (1 - sqrt 0.05)",
                       entry="coverage_factor")
def test_two_even_readings_of_one_size_make_a_triangle():
    assert half_width(SUM, {"a": 1.0, "b": 2.0}, errors("within", a=1.0, b=1.0)) == pytest.approx(2 * (1 - math.sqrt(0.05)), rel=2e-4)


@pytest.mark.published(source="arithmetic", where="trapezium of half widths 4 and 3: tail (7 - s) squared / 96 is 0.025",
                       entry="coverage_factor")
def test_two_even_readings_of_two_sizes_make_a_trapezium():
    assert half_width(SUM, {"a": 1.0, "b": 2.0}, errors("within", a=3.0, b=4.0)) == pytest.approx(7 - math.sqrt(0.025 * 96), rel=2e-4)


@pytest.mark.published(source="arithmetic", where="four even errors of variance 1: 2 sqrt 3 (2 - 0.6^(1/4)) = 3.88, by the sum's corner",
                       entry="coverage_factor")
def test_four_even_errors_leave_less_than_a_normal_one():
    factor = float(coverage_factor(np.full((4, 1), 0.25), np.full(4, True))[0])
    assert agrees(2 * factor, "3.88")
    assert 2 * factor == pytest.approx(2 * math.sqrt(3) * (2 - 0.6**0.25), rel=2e-4)


def test_the_coverage_factor_of_a_mixture_is_that_of_many_draws():
    chance = np.random.default_rng(3)
    for shares in ([0.9, 0.1], [0.5, 0.5], [0.2, 0.8]):
        even = math.sqrt(shares[0]) * chance.uniform(-math.sqrt(3), math.sqrt(3), 400_000)
        drawn = np.abs(even + math.sqrt(shares[1]) * chance.standard_normal(400_000))
        factor = float(coverage_factor(np.array(shares)[:, None], np.array([True, False]))[0])
        assert np.mean(drawn <= factor) == pytest.approx(0.95, abs=0.001)


@pytest.mark.published(source="arithmetic", where="relative errors of a product: sqrt((2.303 x 0.1)^2 + (0.5 / 4)^2) = 26 %",
                       entry="interval_of")
def test_the_slopes_of_the_gas_give_the_known_relative_error():
    known = interval_of(GAS, {"kh": 4.0, "ph": 6.6}, errors("standard", kh=0.005, ph=0.001))[""]  # a hundredth: straight
    assert known.way == "linear"
    relative = (known.high - known.low) / 2 / 1.959964 / known.value
    assert agrees(10_000 * relative, "26")


@pytest.mark.published(source="arithmetic", where="the same two errors in full, by many draws of 2.303 s and s / KH", entry="interval_of")
def test_draws_of_the_gas_are_lopsided_and_spread_by_a_quarter():
    known = interval_of(GAS, {"kh": 4.0, "ph": 6.6}, errors("standard", kh=0.5, ph=0.1))[""]
    assert known.way == "draws"
    chance = np.random.default_rng(8)
    drawn = 3.4 * chance.normal(4.0, 0.5, 400_000) * 10 ** (7.0 - chance.normal(6.6, 0.1, 400_000))
    assert drawn.std() / known.value == pytest.approx(0.26, abs=0.02)
    assert (known.low, known.high) == pytest.approx(np.quantile(drawn, [0.025, 0.975]).tolist(), rel=0.02)
    assert known.high - known.value > 1.2 * (known.value - known.low)
    assert dict(known.shares)["ph"] == pytest.approx(0.23026**2 / (0.23026**2 + 0.125**2), abs=0.02)


# Straight or bent

def test_a_formula_counts_as_straight_while_it_leaves_the_line_by_less_than_a_twentieth():
    """10^-x is off its tangent line by ln(10) a / 2 of the way at a: 5 % of the half width (0.95 a) where a is 0.041."""
    decades = entry_of(lambda ph: plain(10.0 ** -within(PH, ph)), PH)
    ways = [interval_of(decades, {"ph": 6.6}, errors("within", ph=size))[""].way for size in (0.03, 0.038, 0.045, 0.1)]
    assert ways == ["linear", "linear", "draws", "draws"]


def test_at_the_border_of_straight_and_bent_both_ways_agree_within_the_last_printed_digit():
    decades = entry_of(lambda ph: plain(10.0 ** (8 - within(PH, ph))), PH)
    below, above = (interval_of(decades, {"ph": 7.0}, errors("within", ph=size))[""] for size in (0.0399, 0.0415))
    assert (below.way, above.way) == ("linear", "draws")
    grown = 0.0415 / 0.0399
    assert (above.value - above.low) / (below.value - below.low) == pytest.approx(grown, abs=0.05)
    assert (above.high - above.value) / (below.high - below.value) == pytest.approx(grown, abs=0.05)


@pytest.mark.parametrize("size", [0.01, 0.03, 0.0399])
def test_the_linear_way_leaves_out_nearly_as_much_on_either_side(size):
    """An end may lie a twentieth of the half width off: 2.3 in a hundred more beyond it than the 2.5 that are meant, or as many fewer."""
    decades = entry_of(lambda ph: plain(10.0 ** (8 - within(PH, ph))), PH)
    known = interval_of(decades, {"ph": 7.0}, errors("within", ph=size))[""]
    assert known.way == "linear"
    truth = 10.0 ** (1 - size * np.linspace(-1, 1, 200_001))
    below, above = np.mean(truth < known.low), np.mean(truth > known.high)
    assert 0.025 - 0.023 < below <= above < 0.025 + 0.023
    assert below + above == pytest.approx(0.05, abs=0.003)
    assert "leaves out nearly as much on either side" in " ".join(interval_of.__doc__.split())


def test_a_valley_is_seen_although_it_is_flat_at_the_reading():
    square = entry_of(lambda a: plain(within(A, a) ** 2), A)
    known = interval_of(square, {"a": 0.0})[""]
    assert known.way == "draws"
    assert known.low == 0.0
    assert known.high == pytest.approx((0.975 * 3.0) ** 2, rel=0.01)  # a square below s: |a| below its root


def test_two_readings_that_only_act_together_are_seen():
    product = entry_of(lambda a, b: plain(within(A, a) * within(B, b)), A, B)
    assert interval_of(product, {"a": 1.0, "b": 1.0})[""].way == "draws"


def test_no_interval_reaches_beyond_what_the_readings_allow():
    """Straight lines through 0.5 ± 0.5 and a second reading would end below nothing."""
    known = interval_of(entry_of(gas, FINE_KH, PH), {"kh": 0.5, "ph": 6.8}, errors("within", kh=0.5, ph=0.1))[""]
    assert known.way == "draws"
    assert 0.0 < known.low < 0.3
    double = entry_of(lambda a, b: plain(2.0 * within(A, a) * within(B, b)), A, B)
    straight = interval_of(double, {"a": 10.0, "b": 10.0}, errors("within", a=0.1, b=0.1))[""]
    assert straight.way == "linear"
    assert 2 * 9.9**2 < straight.low < straight.high < 2 * 10.1**2


@pytest.mark.parametrize("kind", ["within", "standard"])
def test_near_the_end_of_its_range_a_reading_is_cut_there(kind):
    double = entry_of(lambda kh: plain(2.0 * within(KH, kh)), FINE_KH)
    known = interval_of(double, {"kh": 0.2}, errors(kind, kh=0.5))[""]
    assert known.way == "draws"
    assert 0.0 <= known.low < 0.1
    if kind == "within":  # even from 0 to 0.7
        assert (known.low, known.high) == pytest.approx((0.025 * 1.4, 0.975 * 1.4), abs=0.02)
    else:  # half a bell above 0
        chance = np.random.default_rng(1)
        bell = chance.normal(0.2, 0.5, 400_000)
        assert (known.low, known.high) == pytest.approx((2 * np.quantile(bell[bell >= 0], [0.025, 0.975])).tolist(), abs=0.03)


def test_the_interval_holds_its_own_value_even_at_the_end_of_a_range():
    known = interval_of(GAS, {"kh": 0.0, "ph": 6.6})[""]
    assert known.low == 0.0


def test_the_same_reading_gives_the_same_interval_each_time():
    assert interval_of(GAS, {"kh": 4.0, "ph": 6.6}) == interval_of(GAS, {"kh": 4.0, "ph": 6.6})


def test_a_function_for_single_numbers_gets_fewer_draws_and_nearly_the_same_interval():
    many, few = (interval_of(entry_of(function, KH, PH), {"kh": 4.0, "ph": 6.6})[""] for function in (gas, gas_one_by_one))
    assert few.way == "draws"
    assert (few.low, few.high) == pytest.approx((many.low, many.high), rel=0.04)


def test_places_that_the_calculator_refuses_are_left_out_of_the_draws():
    entry = registry.entry("calculator", "pore_water_l")
    known = interval_of(entry, {"mass_kg": 5.0, "bulk_density_kg_l": 2.4, "particle_density_kg_l": 2.5},
                        errors("within", bulk_density_kg_l=0.2))[""]
    assert known.way == "draws"
    assert 0.0 <= known.low < known.value < known.high
    assert known.high == pytest.approx(5 / 2.2 - 2.0, rel=0.05)


# Coverage

@pytest.mark.parametrize(("kind", "size"), [("within", 0.1), ("standard", 0.1), ("within", 0.02)])
def test_19_of_20_intervals_hold_the_truth(kind, size):
    """Truth fixed, readings scattered around it: the interval of the reading holds the true value of the formula 19 times in 20."""
    chance = np.random.default_rng(12)
    true_ph, count = 7.1, 1500
    off = chance.uniform(-size, size, count) if kind == "within" else chance.normal(0, size, count)
    band = band_of(GAS, {"kh": 5.0}, {"ph": true_ph + off}, {"kh": None, **errors(kind, ph=size)})[""]
    held = np.mean((band.low <= gas(5.0, true_ph)) & (gas(5.0, true_ph) <= band.high))
    assert held == pytest.approx(0.95, abs=0.02)


def test_19_of_20_intervals_of_two_readings_hold_the_truth():
    chance = np.random.default_rng(13)
    count = 1500
    readings = {"kh": 5.0 + chance.uniform(-0.5, 0.5, count), "ph": 7.1 + chance.normal(0, 0.05, count)}
    band = band_of(GAS, {}, readings, {"kh": TEST, "ph": ReadingError(0.05, "standard")})[""]
    assert np.mean((band.low <= gas(5.0, 7.1)) & (gas(5.0, 7.1) <= band.high)) == pytest.approx(0.95, abs=0.02)


# Which errors count

def test_the_usual_error_of_an_input_counts_and_a_given_one_takes_its_place():
    usual, better = interval_of(GAS, {"kh": 4.0, "ph": 6.6})[""], interval_of(GAS, {"kh": 4.0, "ph": 6.6}, errors("within", ph=0.02))[""]
    assert usual.high - usual.low > 1.4 * (better.high - better.low)
    assert usual.shares[0][0] == "ph"
    assert better.shares[0][0] == "kh"


def test_without_any_error_there_is_no_interval():
    assert interval_of(GAS, {"kh": 4.0, "ph": 6.6}, {"kh": None, "ph": None}) == {}
    assert interval_of(GAS, {"kh": 4.0, "ph": 6.6}, {"kh": None, "ph": ReadingError(0.0)}) == {}
    assert interval_of(registry.entry("calculator", "tap_share"), {"tap": 14, "pure": 0.2, "target": 5}) == {}


def test_an_input_that_was_left_out_has_no_error():
    entry = registry.entry("calculator", "oxygen_saturation_mg_l")
    assert [name for name, _ in interval_of(entry, {"temp_c": 20.0})[""].shares] == ["temp_c"]
    assert {name for name, _ in interval_of(entry, {"temp_c": 20.0, "pressure_atm": 1.0})[""].shares} == {"temp_c", "pressure_atm"}


def test_a_relative_error_grows_with_the_reading():
    double = entry_of(lambda a: 2.0 * a, A)
    widths = [half_width(double, {"a": value}, {"a": ReadingError(0.1, "within", True)}) for value in (10.0, -20.0)]
    assert widths == pytest.approx([0.95 * 2, 0.95 * 4], rel=2e-4)


def test_a_relative_error_never_falls_below_its_least():
    """±25 %, at least ±2: 2 up to a reading of 8, then a quarter of it, whatever its sign."""
    double = entry_of(lambda a: 2.0 * a, A)
    quarter = ReadingError(0.25, "within", True, least=2.0)
    widths = [half_width(double, {"a": value}, {"a": quarter}) for value in (0.0, 4.0, -8.0, 40.0)]
    assert widths == pytest.approx([0.95 * 4, 0.95 * 4, 0.95 * 4, 0.95 * 20], rel=2e-4)
    scatter = half_width(double, {"a": 1.0}, {"a": replace(quarter, kind="standard")})
    assert scatter == pytest.approx(1.959964 * 4, rel=1e-4)


def test_only_the_parts_that_a_reading_moves_have_an_interval():
    both = entry_of(lambda a, ph: Pair(2.0 * a, 10.0**-ph, "so"), Input("a", "first", "g", -100, 100), PH)
    told = interval_of(both, {"a": 4.0, "ph": 7.0})
    assert list(told) == ["of_ph"]


def test_below_its_limit_a_reading_gives_an_interval_and_no_figure():
    assert interval_of(GAS, {"kh": 1.0, "ph": 6.6})[""].value is not None
    known = interval_of(GAS, {"kh": 0.9, "ph": 6.6})[""]
    assert known.value is None
    assert known.low < gas(0.9, 6.6) < known.high
    assert interval_of(GAS, {"kh": 0.9, "ph": 6.6}, {"kh": None})[""].value == gas(0.9, 6.6)


@pytest.mark.parametrize("kind", ["within", "standard"])
def test_a_reading_too_coarse_for_a_figure_that_may_mean_nothing_at_all_begins_with_nothing(kind):
    """Of 0.4 ± 0.5 nobody knows whether there is any, of 0.9 ± 0.25 there is; the interval of a falling formula ends there instead."""
    falling = entry_of(lambda kh: plain(5.0 - 2.0 * within(KH, kh)), KH)
    none, some = ({"kh": 0.4}, errors(kind, kh=0.5)), ({"kh": 0.9}, errors(kind, kh=0.25))
    assert interval_of(GAS, {**none[0], "ph": 6.6}, none[1])[""].low == 0.0
    assert interval_of(falling, *none)[""].high == 5.0
    assert interval_of(GAS, {**some[0], "ph": 6.6}, some[1])[""].low > 0.5
    assert interval_of(falling, *some)[""].high < 4.5
    high = interval_of(GAS, {**none[0], "ph": 6.6}, none[1])[""].high
    assert high == interval_of(entry_of(gas, FINE_KH, PH), {**none[0], "ph": 6.6}, none[1])[""].high, "nothing is taken off the other end"


def test_a_part_that_the_coarse_reading_does_not_move_keeps_its_figure():
    both = entry_of(lambda kh, ph: Pair(kh, 10.0**-ph, "so"), KH, PH)
    told = interval_of(both, {"kh": 0.5, "ph": 7.0})
    assert (told["sum"].value, told["of_ph"].value) == (None, 1e-7)


def test_every_input_with_a_limit_for_figures_declares_an_error_too():
    for entry in registry.entries("calculator"):
        for declared in entry.inputs:
            assert declared.figure_from is None or declared.error is not None, f"{entry.key}: {declared.name}"


# Several points

def test_a_band_is_the_interval_at_each_point():
    places = np.array([6.0, 6.6, 7.4])
    band = band_of(GAS, {"kh": 4.0}, {"ph": places})[""]
    for index, ph in enumerate(places):
        known = interval_of(GAS, {"kh": 4.0, "ph": float(ph)})[""]
        assert band.values[index] == pytest.approx(known.value)
        assert (band.low[index], band.high[index]) == pytest.approx((known.low, known.high), rel=0.01)


def test_a_band_is_smooth_and_its_coarse_points_have_no_figure():
    band = band_of(GAS, {"ph": 7.0}, {"kh": np.linspace(0.5, 6.0, 56)})[""]
    assert np.isnan(band.values).sum() == 5
    assert (np.diff(band.low) >= 0).all()
    assert (np.diff(band.high) > 0).all()


def test_a_band_of_a_function_for_single_numbers_is_nearly_the_same():
    places = {"ph": np.linspace(6.0, 7.0, 5)}
    many, few = (band_of(entry_of(function, KH, PH), {"kh": 4.0}, places)[""] for function in (gas, gas_one_by_one))
    assert few.low == pytest.approx(many.low, rel=0.04)


# Refusals

@pytest.mark.parametrize(("wrong", "told"), [
    ({"salt": PROBE}, r"reading error of is salt; accepted: kh, ph"),
    ({"ph": ReadingError(0.1, "about")}, r"kind of the reading error of ph is about; accepted: within, standard"),
    ({"ph": ReadingError(-0.1)}, r"reading error of ph is -0\.1; accepted: above 0, below 14"),
    ({"ph": ReadingError(14.0)}, r"reading error of ph is 14; accepted: above 0, below 14"),
    ({"kh": ReadingError(1.0, "within", True)}, r"reading error of kh is 1; accepted: above 0, below 1"),
    ({"kh": ReadingError(math.nan)}, r"reading error of kh is nan dKH; accepted: above 0, below 30 dKH"),
    ({"kh": ReadingError(0.2, relative=True, least=-1.0)}, r"least reading error of kh is -1 dKH; accepted: 0 or more, below 30 dKH"),
    ({"kh": ReadingError(0.2, relative=True, least=30.0)}, r"least reading error of kh is 30 dKH; accepted: 0 or more, below 30 dKH"),
    ({"ph": ReadingError(0.1, least=0.2)}, r"least reading error of ph is 0\.2; accepted: 0, since the error itself is not relative"),
])  # fmt: skip
def test_an_error_that_cannot_be_one_is_refused(wrong, told):
    with pytest.raises(InputError, match=told):
        interval_of(GAS, {"kh": 4.0, "ph": 6.6}, wrong)


def test_an_error_of_a_list_is_refused():
    entry = registry.entry("calculator", "excess_green")
    with pytest.raises(InputError, match="rgb with a reading error is not a single number; accepted: one number"):
        interval_of(entry, {"rgb": [1, 2, 3]}, {"rgb": ReadingError(1.0)})


def test_an_error_of_an_input_that_was_left_out_is_refused():
    entry = registry.entry("calculator", "oxygen_saturation_mg_l")
    with pytest.raises(InputError, match="pressure_atm with a reading error is left out; accepted: one number"):
        interval_of(entry, {"temp_c": 20.0}, {"pressure_atm": ReadingError(0.01)})


def test_where_the_calculator_refuses_every_other_reading_there_is_no_interval():
    def only_here(a):
        if float(a) != 1.0:
            raise OutOfRangeError("a", a, "1")
        return 5.0

    assert interval_of(entry_of(only_here, A), {"a": 1.0}) == {}


def test_a_part_that_is_no_number_at_some_readings_is_told_by_those_where_it_is():
    def sometimes(a):
        return {"day": 2.0 * float(a) if float(a) > 0 else None}

    known = interval_of(entry_of(sometimes, A), {"a": 1.0}, errors("within", a=3.0))["day"]
    assert known.way == "draws"
    assert (known.low, known.high) == pytest.approx((0.2, 7.8), abs=0.2)


@pytest.mark.parametrize("level", [0.4, 1.0, math.nan])
def test_a_level_outside_its_range_is_refused(level):
    with pytest.raises(InputError, match=r"level is .*; accepted: 0\.5 to 0\.9999"):
        interval_of(GAS, {"kh": 4.0, "ph": 6.6}, level=level)


def test_a_reading_that_the_calculator_refuses_is_refused_by_it():
    with pytest.raises(OutOfRangeError, match=r"ph is 15\.0; accepted: 0 to 14"):
        interval_of(GAS, {"kh": 4.0, "ph": 15.0})


def test_the_examples_give_what_they_show_however_arrays_are_printed():
    """The colour library switches numpy to an older way of printing for the whole process."""
    with np.printoptions(legacy="1.13"):
        assert doctest.testmod(uncertainty).failed == 0


def test_the_number_of_draws_keeps_the_ends_steady():
    """Another seed moves an end by less than a fortieth of the half width: about the last figure that is printed."""
    ends = []
    for seed in (1, 2, 3):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(uncertainty, "_SEED", seed)
            uncertainty._normal_draws.cache_clear()
            known = interval_of(GAS, {"kh": 4.0, "ph": 6.6}, {"ph": ReadingError(0.05, "standard")})[""]
        uncertainty._normal_draws.cache_clear()
        ends.append((known.low, known.high))
    half = (ends[0][1] - ends[0][0]) / 2
    assert np.ptp(np.array(ends), axis=0).max() < half / 40
