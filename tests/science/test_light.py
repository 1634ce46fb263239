"""From lux to growth: printed factors, closed forms against numerical integrals, and what any light must do."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees, every
from fairtank import registry
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import light, spectra

PANELS = st.tuples(st.floats(0.05, 2), st.floats(0.05, 2), st.floats(0.05, 5))


@pytest.mark.published(entry="lux_per_ppfd", source="thimijan1983", where="lux per µmol m-2 s-1, 400 to 700 nm")
@pytest.mark.parametrize(("source", "printed"), [
    ("sunlight", "54"), ("blue_sky", "52"), ("cool_white_fluorescent", "74"), ("metal_halide", "71"), ("high_pressure_sodium", "82"),
    ("incandescent", "50"),
])
def test_the_factor_of_a_lamp_equals_the_printed_one(source, printed):
    assert agrees(light.lux_per_ppfd(source), printed)


@pytest.mark.published(entry="ppfd_from_lux", source="thimijan1983", where="sunlight 54; a maker's table prints 40,800 lux for 200 µmol")
def test_sunlight_of_200_umol_is_10800_lux_not_40800():
    assert agrees(light.ppfd_from_lux(10800, "sunlight"), "200.00")


@pytest.mark.published(entry="ppfd_from_lux", source="cie018", where="147.2 lux per µmol at 555 nm, 6.90 at 450 nm")
def test_a_wavelength_may_be_a_number_or_its_text():
    assert agrees(1000 / light.ppfd_from_lux(1000, 555), "147.2")
    assert agrees(1000 / light.ppfd_from_lux(1000, "450"), "6.90")
    assert light.ppfd_from_lux(1000, "450.0") == light.ppfd_from_lux(1000, 450)


def test_lux_and_wavelengths_may_be_arrays():
    assert isinstance(light.ppfd_from_lux(5400, "sunlight"), float)
    assert light.ppfd_from_lux([0, 5400], "sunlight").tolist() == [0.0, 100.0]
    both = light.ppfd_from_lux([1000, 1000], [450, 660])
    assert both == pytest.approx([light.ppfd_from_lux(1000, 450), light.ppfd_from_lux(1000, 660)])


def test_a_phone_reading_is_declared_to_be_off():
    (lux,) = [given for given in registry.entry("calculator", "ppfd_from_lux").inputs if given.name == "lux"]
    assert lux.error == registry.ReadingError(light.PHONE_ERROR, "within", relative=True, instrument="phone lux meter")
    assert 0.1 <= light.PHONE_ERROR <= 0.5


@pytest.mark.parametrize("call", [light.lux_per_ppfd, lambda word: light.ppfd_from_lux(1000, word)])
def test_coloured_leds_have_no_one_factor(call):
    with pytest.raises(InputError, match=r"source is mixed_led; accepted: .* mislead: measure with a quantum sensor, or ask for the range"):
        call("mixed_led")
    offered = {found.name: found.choices for found in registry.entry("calculator", "ppfd_from_lux").inputs}["source"]
    assert {"mixed_led", "white_led", "sunlight", "D65"} <= set(offered), "who has such a lamp must find it, to be told why"


@pytest.mark.as_it_was("the range of mixed LEDs and the error of a phone are common practice, no source, 2026-11-25")
def test_ppfd_range_from_lux_spans_lamp_and_meter():
    found = light.ppfd_range_from_lux(3000, "mixed_led")
    assert (found.low_umol, found.high_umol) == pytest.approx((0.7 * 3000 / 60, 1.3 * 3000 / 30))


@given(source=st.sampled_from([key for key, found in spectra.SOURCES.items() if found.lux_per_ppfd]), error=st.floats(0, 0.5),
       lux=st.floats(1, 100000))
def test_the_range_holds_the_plain_answer_and_grows_with_the_meter(source, error, lux):
    found, plain = light.ppfd_range_from_lux(lux, source, error), light.ppfd_from_lux(lux, source)
    assert found.low_umol <= plain * (1 + 1e-12)
    assert plain <= found.high_umol * (1 + 1e-12)
    assert light.ppfd_range_from_lux(lux, source, error + 0.1).high_umol >= found.high_umol
    assert light.ppfd_range_from_lux(lux, 555, 0).low_umol == light.ppfd_range_from_lux(lux, 555, 0).high_umol


@pytest.mark.published(entry="daily_light_mol_m2", source="arithmetic", where="PPFD x hours x 3600 / 10^6, worked by hand")
@pytest.mark.parametrize(("ppfd", "hours", "printed"), [(50, 8, "1.44"), (100, 8, "2.88"), (30, 6, "0.648"), (150, 10, "5.40")])
def test_light_per_day_equals_the_hand_worked_days(ppfd, hours, printed):
    assert agrees(light.daily_light_mol_m2(ppfd, hours), printed)


@pytest.mark.published(entry="hours_from_daily_light", source="arithmetic", where="the same days, solved for the hours")
@pytest.mark.parametrize(("daily", "ppfd", "printed"), [(1.44, 50, "8.00"), (2.88, 100, "8.00"), (0.648, 30, "6.00"), (5.40, 150, "10.00")])
def test_hours_equal_the_hand_worked_days(daily, ppfd, printed):
    assert agrees(light.hours_from_daily_light(daily, ppfd), printed)


@given(ppfd=st.floats(1, 3000), hours=st.floats(0, 24))
def test_hours_undo_light_per_day(ppfd, hours):
    assert light.hours_from_daily_light(light.daily_light_mol_m2(ppfd, hours), ppfd) == pytest.approx(hours, rel=1e-9)


@pytest.mark.published(entry="panel_share", source="arithmetic", where="cosine law over the rectangle, scipy.integrate.dblquad")
@pytest.mark.parametrize(("length", "width", "distance", "printed"), [(.6, .2, .3, ".2570"), (.6, .2, .6, ".0901"), (.1, .1, 1, ".003173")])
def test_the_share_of_a_panel_equals_a_numerical_integral(length, width, distance, printed):
    from scipy.integrate import dblquad

    def ray(y, x):
        """Share of the light of one point of the face: cosine at the face, cosine at the leaf, square of the way."""
        return distance**2 / (np.pi * (x**2 + y**2 + distance**2) ** 2)

    summed, _ = dblquad(ray, -length / 2, length / 2, -width / 2, width / 2, epsabs=1e-12)
    share = light.panel_share(length, width, distance)
    assert agrees(share, printed)
    assert share == pytest.approx(summed, rel=1e-8)


@pytest.mark.published(entry="inverse_square_error", source="arithmetic", where="length x width / (pi distance^2) over the integral above")
@pytest.mark.parametrize(("length", "width", "distance", "inverse_square", "share"), [
    (.6, .2, .3, ".4244", .2570150), (.6, .2, .6, ".1061", .0900851), (.1, .1, 1, ".003183", .00317253),
])
def test_the_inverse_square_rule_is_as_wrong_as_worked_by_hand(length, width, distance, inverse_square, share):
    error = light.inverse_square_error(length, width, distance)
    assert agrees((1 + error) * light.panel_share(length, width, distance), inverse_square)
    assert error == pytest.approx(length * width / (np.pi * distance**2) / share - 1, abs=1e-5)


@given(panel=PANELS)
def test_a_panel_dims_with_distance_and_does_not_care_how_it_is_turned(panel):
    length, width, distance = panel
    share = light.panel_share(length, width, distance)
    assert 0 < share < 1
    assert light.panel_share(length, width, 1.1 * distance) < share
    assert light.panel_share(width, length, distance) == pytest.approx(share, rel=1e-12)
    assert light.panel_share(3 * length, 3 * width, 3 * distance) == pytest.approx(share, rel=1e-12), "only proportions matter"
    assert light.inverse_square_error(length, width, distance) > 0


@given(length=st.floats(0.05, 2), shape=st.floats(0.01, 1))
def test_from_five_times_the_longest_side_on_the_inverse_square_rule_is_less_than_2_percent_off(length, shape):
    assert light.inverse_square_error(length, max(shape * length, 0.001), 5 * length) < 0.02


def test_right_at_its_face_a_panel_gives_all_its_light():
    assert light.panel_share(1, 1, 0.001) == pytest.approx(1, abs=1e-4)


@pytest.mark.published(entry="light_at_depth_share", source="arithmetic", where="exp(-K z) by hand")
@pytest.mark.parametrize(("attenuation", "depth", "printed"), [(.5, .30, ".8607"), (2, .30, ".5488"), (5, .45, ".1054")])
def test_the_light_left_at_a_depth_equals_the_hand_worked_waters(attenuation, depth, printed):
    assert agrees(light.light_at_depth_share(attenuation, depth), printed)


@pytest.mark.published(entry="mean_light_share", source="arithmetic", where="(1 - exp(-K H)) / (K H) by hand, and as a numerical integral")
def test_the_mean_light_over_a_depth_equals_the_integral_of_the_light_left():
    from scipy.integrate import quad

    assert agrees(light.mean_light_share(2, .30), ".7520")
    for attenuation, depth in ((0.1, 0.05), (2, 0.3), (10, 0.6)):
        summed, _ = quad(lambda z, k=attenuation: light.light_at_depth_share(k, z), 0, depth)
        assert light.mean_light_share(attenuation, depth) == pytest.approx(summed / depth, rel=1e-10)


def test_clear_or_shallow_water_keeps_all_its_light():
    assert light.mean_light_share(0, 0.3) == 1.0
    assert light.mean_light_share([0, 2], [0.3, 0]).tolist() == [1.0, 1.0]
    assert light.mean_light_share(1e-9, 0.3) == pytest.approx(1 - 1.5e-10, abs=1e-14)
    assert light.light_at_depth_share(0, 0.3) == 1.0


@given(attenuation=st.floats(0.01, 10), depth=st.floats(0.01, 2))
def test_the_mean_lies_between_surface_and_bottom(attenuation, depth):
    assert light.light_at_depth_share(attenuation, depth) < light.mean_light_share(attenuation, depth) < 1


@pytest.mark.published(entry="photosynthesis", source="jassby1976", where="Pm tanh(alpha I / Pm), Pm 10, alpha 0.1; monod, smith alike")
@pytest.mark.parametrize(("umol", "jassby_platt", "monod", "smith"), [
    (25, "2.449", "2.000", "2.425"), (50, "4.621", "3.333", "4.472"), (100, "7.616", "5.000", "7.071"), (200, "9.640", "6.667", "8.944"),
])
def test_the_three_curves_equal_the_worked_rates(umol, jassby_platt, monod, smith):
    for model, printed in (("jassby_platt", jassby_platt), ("monod", monod), ("smith", smith)):
        assert agrees(light.photosynthesis(model, umol, 10, 0.1), printed)


@given(model=st.sampled_from(["jassby_platt", "monod", "smith"]), umol=st.floats(0, 2000), maximum=st.floats(0.1, 100),
       slope=st.floats(0.001, 1), lost=st.floats(0, 10))
def test_a_curve_starts_in_the_dark_rises_and_stays_below_its_maximum(model, umol, maximum, slope, lost):
    rate = light.photosynthesis(model, umol, maximum, slope)
    assert light.photosynthesis(model, 0, maximum, slope) == 0
    assert rate <= min(maximum, slope * umol) + 1e-12 * maximum
    assert light.photosynthesis(model, umol + 10, maximum, slope) >= rate - 1e-12 * maximum
    assert light.photosynthesis(model, umol, maximum, slope, lost) == pytest.approx(rate - lost, abs=1e-9)
    assert light.photosynthesis(model, 1e-3 * maximum / slope, maximum, slope) == pytest.approx(1e-3 * maximum, rel=2e-3)


def test_arrays_give_arrays():
    assert light.photosynthesis("monod", [0, 100], 10, 0.1).tolist() == [0.0, 5.0]
    assert light.daily_light_mol_m2([50, 100], 8).shape == (2,)
    assert light.panel_share([.6, .3], .2, [[.3], [.6]]).shape == (2, 2)
    assert light.ppfd_range_from_lux([0, 3000], "white_led").low_umol.shape == (2,)


@every(("call", "sentence"), [
    (lambda: light.ppfd_from_lux(-1, "sunlight"), r"lux is -1\.0 lux; accepted: 0 to 300000 lux"),
    (lambda: light.ppfd_from_lux(1000, 300), r"source is 300\.0 nm; accepted: 400 to 700 nm"),
    (lambda: light.ppfd_from_lux(1000, "800"), r"source is 800\.0 nm"),
    (lambda: light.ppfd_range_from_lux(1000, "mixed_led", 0.95), r"meter_error_fraction is 0\.95; accepted: 0 to 0\.9"),
    (lambda: light.daily_light_mol_m2(50, 25), r"hours is 25\.0 h; accepted: 0 to 24 h"),
    (lambda: light.hours_from_daily_light(1, 0), r"ppfd_umol is 0\.0 .* more than 0\. A dark lamp"),
    (lambda: light.hours_from_daily_light(10, 50), r"daily_light_mol_m2 is 10\.0 .* in 24 hours\. It would take 55\.6 hours a day"),
    (lambda: light.panel_share(0, 1, 1), r"length_m is 0\.0 m; accepted: 0\.001 to 10 m"),
    (lambda: light.inverse_square_error(1, 1, 0), r"distance_m is 0\.0 m; accepted: 0\.001 to 100 m"),
    (lambda: light.mean_light_share(-1, 1), r"attenuation_per_m is -1\.0 1/m; accepted: 0 to 50 1/m"),
    (lambda: light.light_at_depth_share(1, 11), r"depth_m is 11\.0 m; accepted: 0 to 10 m"),
    (lambda: light.photosynthesis("monod", 10, 0, 1), r"maximum is 0\.0; accepted: 1e-06 to 1e\+06"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


def test_an_unknown_curve_or_lamp_is_refused_with_the_known_ones():
    with pytest.raises(InputError, match=r"model is 'steele'; accepted: jassby_platt, monod, smith"):
        light.photosynthesis("steele", 10, 10, 0.1)
    with pytest.raises(InputError, match=r"source is 'candle'; accepted: sunlight, .* quantum sensor"):
        light.ppfd_from_lux(100, "candle")
