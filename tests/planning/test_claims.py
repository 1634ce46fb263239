"""Claim checks: hand-worked sources and lifts, the rule of the verdict and its edges, what must rise and fall, and refusals."""

import dataclasses
import itertools

import numpy as np
import pytest

from checking import agrees, every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.planning.claiming.carbon_dioxide import MOST_DISSOLVED_MG_L
from fairtank.planning.claiming.claim import (
    CLAIM_OUTPUTS,
    LIVELIER,
    MARKS,
    MEASURABLE,
    NOT_MEASURABLE,
    PERHAPS,
    SMALL_SHARE,
    VERDICTS,
    Case,
    Claim,
    verdict_of,
)
from fairtank.planning.claiming.gas_tank import gas_tank
from fairtank.planning.claiming.nutrient import NUTRIENTS
from fairtank.planning.claiming.plants_day import PLANTS_G_L, day_swing_mg_l
from fairtank.planning.claims import carbon_dioxide_claim, light_claim, nutrient_claim, oxygen_claim
from fairtank.science.cautions import CAUTIONS
from fairtank.science.dosing import after_changes_mg_l, steady_mg_l
from fairtank.science.gases import SURFACES, oxygen_saturation_mg_l

FULL = {"efficiency_low": 1.0, "efficiency_high": 1.0}
SIXTY = {"volume_l": 60, "surface_m2": 0.18}
WORST_TO_BEST = {NOT_MEASURABLE: 0, PERHAPS: 1, MEASURABLE: 2}
EVERY_KIND = [
    pytest.param(lambda: oxygen_claim(50, 20, 0.07, "rippled"), id="oxygen"),
    pytest.param(lambda: oxygen_claim(50, 20, 0.07, "still", plants="none"), id="oxygen, no plants"),
    pytest.param(lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.0, said_rise_mg_l=5), id="carbon dioxide, rise"),
    pytest.param(lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.0, source_mg_h=50), id="carbon dioxide, source"),
    pytest.param(lambda: carbon_dioxide_claim(60, 0.18, "gentle", 0.5, 6.5, said_rise_mg_l=5), id="carbon dioxide, soft water"),
    pytest.param(lambda: nutrient_claim("nitrate", 60, 10, times=2), id="nutrient, times"),
    pytest.param(lambda: nutrient_claim("iron", 60, 0.1, mass_mg=3, change_fraction=0), id="nutrient, mass"),
    pytest.param(lambda: light_claim(10, 50), id="light"),
]


# hand-worked numbers -------------------------------------------------------------------------------------------------


@pytest.mark.published(entry="oxygen_claim", source="codata2018", where="Faraday's law by hand: I M / (4 F), 0.29847 g of oxygen for an Ah")
@pytest.mark.parametrize(("current_ma", "printed"), [(20, "5.97"), (50, "14.92"), (100, "29.85"), (500, "149.2")])
def test_a_device_makes_what_faraday_allows(current_ma, printed):
    claim = oxygen_claim(current_ma, **SIXTY, surface="gentle", **FULL)
    assert agrees(claim.step("oxygen at full efficiency").low, printed)
    assert claim.step("oxygen made").low == claim.step("oxygen made").high == claim.step("oxygen at full efficiency").low


@pytest.mark.published(entry="oxygen_claim", source="arithmetic", where="60 L, 0.18 m2, 50 mA, by hand: G / (k A), V / (k A)")
@pytest.mark.parametrize(("transfer_cm_h", "lift", "hours"), [
    (1, "8.29", "33.3"), (2, "4.15", "16.7"), (5, "1.66", "6.67"), (10, "0.83", "3.33"),
])
def test_lift_and_time_constant_equal_the_hand_worked_tank(transfer_cm_h, lift, hours):
    claim = oxygen_claim(50, **SIXTY, surface=transfer_cm_h, **FULL)
    assert agrees(claim.low, lift)
    assert claim.low == claim.high == claim.step("lift of the oxygen").high
    assert agrees(claim.times[0].low, hours)


@pytest.mark.published(entry="carbon_dioxide_claim", source="arithmetic", where="2 cm/h, 0.18 m2, 29.4 mg/L too much: 105.8 mg/h")
def test_a_rise_in_carbon_dioxide_costs_what_the_surface_loses():
    claim = carbon_dioxide_claim(**SIXTY, surface=2.0, alkalinity_dkh=4, ph=8.0, said_rise_mg_l=29.4)
    assert agrees(claim.step("what the surface loses of it").low, "105.8")
    back = carbon_dioxide_claim(**SIXTY, surface=2.0, alkalinity_dkh=4, ph=8.0, source_mg_h=105.84)
    assert agrees(back.low, "29.4")


@pytest.mark.published(entry="carbon_dioxide_claim", source="arithmetic", where="0.1 pH and 0.5 of 4 dKH are 26 %, by hand")
def test_the_error_of_carbon_dioxide_is_that_of_a_product():
    claim = carbon_dioxide_claim(**SIXTY, surface=2.0, alkalinity_dkh=4, ph=7.0, said_rise_mg_l=5)
    assert agrees(100 * claim.step("relative error of a reading").low, "26")
    only_ph = carbon_dioxide_claim(**SIXTY, surface=2.0, alkalinity_dkh=20, ph=7.0, said_rise_mg_l=5, kh_error_dkh=0.01)
    assert agrees(100 * only_ph.step("relative error of a reading").low, "23")


@pytest.mark.published(entry="nutrient_claim", source="arithmetic", where="5 mg/L a week, changes of 25, 30, 50 %: 20, 16.667, 10")
@pytest.mark.parametrize(("change", "bound", "after"), [(0.25, "20.0", "15.00"), (0.30, "16.667", "11.667"), (0.50, "10.0", "5.0")])
def test_weekly_gains_stay_under_the_hand_worked_bound_and_reach_it(change, bound, after):
    claim = nutrient_claim("nitrate", 60, 10, gain_mg_l=5, change_fraction=change, weeks=104)
    assert agrees(claim.step("what the rise never exceeds").high, bound)
    assert agrees(claim.high, bound)
    assert agrees(claim.high * (1 - change), after)


@pytest.mark.published(entry="light_claim", source="arithmetic", where="50 and 100 umol for 8 h a day: 1.44 and 2.88 mol a day, by hand")
def test_the_light_of_a_day_equals_the_hand_worked_one():
    claim = light_claim(50, 50)
    assert agrees(claim.step("light in a day without it").low, "1.44")
    assert agrees(claim.step("light in a day with it").low, "2.88")


# the rule ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("low", "high", "seen", "share_low", "share_high", "verdict"), [
    (0.57, 0.9, 0.56, None, None, MEASURABLE),
    (0.56, 0.9, 0.56, None, None, PERHAPS),  # as large as what is seen is not larger
    (0.3, 0.56, 0.56, None, None, NOT_MEASURABLE),
    (0.57, 0.9, 0.56, SMALL_SHARE, 2.0, MEASURABLE),  # half is not below half
    (0.57, 0.9, 0.56, 0.49, 2.0, PERHAPS),
    (0.57, 0.9, 0.56, 0.1, 0.49, NOT_MEASURABLE),
    (0.3, 0.9, 0.56, 0.6, 2.0, PERHAPS),
    (0.0, 0.0, 0.56, 0.0, 0.0, NOT_MEASURABLE),
    (100.0, 200.0, None, None, None, NOT_MEASURABLE),
])
def test_the_verdict_at_its_edges(low, high, seen, share_low, share_high, verdict):
    assert verdict_of(low, high, seen, share_low, share_high) == verdict


def test_a_tank_that_does_nothing_leaves_the_meter_to_decide():
    assert Case(1.0, 2.0, 0.0).shares is None
    claim = oxygen_claim(50, 20, 0.07, "still", plants="none")
    assert (claim.share_low, claim.share_high, claim.verdict) == (None, None, MEASURABLE)
    assert claim.rival.high == 0


# the swing of the plants ---------------------------------------------------------------------------------------------


def stepped_swing(light_mg_h, dark_mg_h, light_hours, exchange_l_h, volume_l, steps_an_hour=400):
    """The same swing by small steps in time, after ten days (with the mean of the day taken off at the start)."""
    excess = (light_mg_h * light_hours - dark_mg_h * (24 - light_hours)) / 24 / exchange_l_h
    seen = []
    for day in range(10):
        for step in range(24 * steps_an_hour):
            source = light_mg_h if step < light_hours * steps_an_hour else -dark_mg_h
            excess += (source - exchange_l_h * excess) / volume_l / steps_an_hour
            if day == 9:
                seen.append(excess)
    return max(seen) - min(seen)


@pytest.mark.parametrize(("light_hours", "exchange_l_h", "volume_l"), [(8, 7.0, 20), (12, 1.8, 60), (4, 0.9, 30)])
def test_the_daily_swing_equals_small_steps_in_time(light_hours, exchange_l_h, volume_l):
    closed = day_swing_mg_l(40.0, 8.0, light_hours, exchange_l_h, volume_l)
    assert closed == pytest.approx(stepped_swing(40.0, 8.0, light_hours, exchange_l_h, volume_l, 60), rel=0.01)


def test_the_daily_swing_has_its_limits():
    fast = day_swing_mg_l(40.0, 8.0, 8, 1e5, 20)
    assert fast == pytest.approx(48.0 / 1e5), "water that follows at once swings by source over exchange"
    slow = day_swing_mg_l(40.0, 8.0, 8, 1e-9, 20)
    assert slow == pytest.approx(48.0 * 8 * 16 / 24 / 20), "water that keeps all only adds up what is above the mean of the day"
    assert day_swing_mg_l(0.0, 0.0, 8, 1.0, 20) == 0


def test_light_and_dark_parts_add_up_to_the_swing():
    tank = gas_tank(20, 0.07, "gentle", "many", 8.0, 24.0)
    for (light, dark), exchange in zip(tank.largest_swings_mg_l, tank.exchange_l_h, strict=True):
        assert light + dark == pytest.approx(day_swing_mg_l(tank.light_mg_h[1], tank.dark_mg_h[1], 8.0, exchange, 20))


def test_twenty_grams_of_dry_plants_give_off_40_to_200_mg_an_hour_by_assumption():
    claim = oxygen_claim(50, **SIXTY, surface="gentle", plants=20.0)
    given_off = claim.step("oxygen given off by the plants in light")
    assert (given_off.low, given_off.high) == pytest.approx((40.0, 200.0))
    assert PLANTS_G_L["many"] * 60 == pytest.approx(20.0)


# what must rise and fall ---------------------------------------------------------------------------------------------


def is_rising(values):
    return all(first <= second + 1e-12 for first, second in itertools.pairwise(values))


def test_more_current_lifts_more_and_never_worsens_the_verdict():
    claims = [oxygen_claim(current, 20, 0.07, "rippled") for current in (1, 5, 20, 50, 150, 500, 2000, 10000)]
    assert is_rising([claim.low for claim in claims])
    assert is_rising([claim.high for claim in claims])
    assert is_rising([WORST_TO_BEST[claim.verdict] for claim in claims])
    assert {claim.verdict for claim in claims} == set(VERDICTS)


def test_a_livelier_surface_and_a_larger_one_lift_less():
    assert is_rising([-oxygen_claim(5, 20, 0.07, surface).high for surface in SURFACES])
    assert is_rising([-oxygen_claim(5, 20, 0.07, surface).low for surface in SURFACES])
    assert oxygen_claim(5, 20, 0.14, "rippled").low == pytest.approx(oxygen_claim(5, 20, 0.07, "rippled").low / 2)


def test_a_worse_meter_and_more_plants_never_better_the_verdict():
    for surface, current in itertools.product(SURFACES, (10, 50, 250)):
        by_meter = [oxygen_claim(current, 20, 0.07, surface, meter_error_mg_l=error, plants="few") for error in (0.01, 0.1, 0.5, 3)]
        assert is_rising([-WORST_TO_BEST[claim.verdict] for claim in by_meter])
        by_plants = [oxygen_claim(current, 20, 0.07, surface, plants=plants) for plants in (0, 0.5, 2, 7, 20)]
        assert is_rising([-WORST_TO_BEST[claim.verdict] for claim in by_plants])
        assert is_rising([claim.rival.high for claim in by_plants])


def test_no_lift_is_above_what_pure_oxygen_gives_and_no_swing_above_twice_saturation():
    claim = oxygen_claim(10000, 20, 0.07, "still", plants=2000)
    saturation = oxygen_saturation_mg_l(24.0)
    assert claim.low == claim.high == pytest.approx(saturation / 0.20946 - saturation)
    assert claim.rival.high == pytest.approx(2 * saturation)
    assert claim.rival.low <= claim.rival.high


def test_no_rise_in_carbon_dioxide_is_above_what_water_takes_up():
    assert carbon_dioxide_claim(60, 0.01, "still", 4, 7.0, source_mg_h=100000).high == MOST_DISSOLVED_MG_L


def test_plants_take_up_no_more_carbon_dioxide_than_there_is():
    claim = carbon_dioxide_claim(60, 0.18, "still", 4, 7.6, said_rise_mg_l=1, plants=2000)
    level = claim.step("carbon dioxide without it").low
    tank = gas_tank(60, 0.18, "still", 2000, 8.0, 24.0, 44.0095 / 31.9988)
    assert claim.rival.high == pytest.approx(level + 1 + tank.largest_swings_mg_l[0][1])


def test_a_change_of_all_water_is_refused_and_none_lets_the_gains_add_up():
    claim = nutrient_claim("nitrate", 60, 10, gain_mg_l=5, change_fraction=0, weeks=6, plants="none")
    assert claim.low == claim.high == pytest.approx(30)
    assert claim.times == ()
    assert [one.label for one in claim.meanwhile] == ["weekly uptake by the plants"]
    with pytest.raises(OutOfRangeError, match="change_fraction is 1"):
        nutrient_claim("nitrate", 60, 10, gain_mg_l=5, change_fraction=1)


def test_the_build_up_is_that_of_the_dosing_room():
    claim = nutrient_claim("potassium", 60, 10, gain_mg_l=4, change_fraction=0.3, weeks=9, plants="none")
    after = np.asarray(after_changes_mg_l(4.0, 0.3, 9))
    assert claim.high == pytest.approx(float(after[-1]) / 0.7)
    assert claim.step("what the rise never exceeds").high == pytest.approx(float(steady_mg_l(4.0, 0.3).before))


def test_mass_and_gain_are_two_ways_to_say_the_same():
    by_mass, by_gain = nutrient_claim("nitrate", 60, 10, mass_mg=300), nutrient_claim("nitrate", 60, 10, gain_mg_l=5)
    assert (by_mass.low, by_mass.high, by_mass.verdict) == (by_gain.low, by_gain.high, by_gain.verdict)
    doubled = nutrient_claim("nitrate", 60, 10, times=2)
    assert doubled.low == doubled.high == 10


def test_livelier_plants_may_take_the_whole_gain():
    few, many = (nutrient_claim("nitrate", 60, 10, gain_mg_l=5, plants=plants) for plants in ("few", "many"))
    assert many.low == 0 < few.low < few.high == many.high


def test_differences_of_lamps_add_as_squares_and_a_better_meter_sees_less():
    claim = light_claim(20, 50)
    three = [one for one in claim.meanwhile if not one.decides]
    assert claim.rival.high == pytest.approx(sum(one.high**2 for one in three) ** 0.5)
    seen = [light_claim(20, 50, meter).smallest_seen for meter in ("quantum_sensor", "lux_meter", "phone")]
    assert seen == sorted(seen)
    assert light_claim(20, 50, 0.1).smallest_seen == light_claim(20, 50, "lux_meter").smallest_seen


# what it needs -------------------------------------------------------------------------------------------------------


@every("surface", SURFACES)
@every("plants", ["none", "few", "many"])
def test_the_current_told_is_the_least_that_is_measurable(surface, plants):
    needed = oxygen_claim(50, 20, 0.07, surface, plants=plants).need("current in this tank").low
    assert oxygen_claim(1.001 * needed, 20, 0.07, surface, plants=plants).verdict == MEASURABLE
    assert oxygen_claim(0.999 * needed, 20, 0.07, surface, plants=plants).verdict != MEASURABLE


@pytest.mark.parametrize(("ph", "plants"), [(7.6, "none"), (7.6, "many"), (7.0, "many"), (6.4, "few"), (6.4, 200)])
@pytest.mark.parametrize("surface", ["still", "rippled"])
def test_rise_and_source_told_are_the_least_that_are_measurable(ph, plants, surface):
    def of(**said):
        return carbon_dioxide_claim(60, 0.18, surface, 6, ph, plants=plants, **said)

    rise, source = (of(said_rise_mg_l=5).need(f"{thing} in this tank").low for thing in ("rise", "source"))
    assert of(said_rise_mg_l=1.001 * rise).verdict == MEASURABLE
    assert of(said_rise_mg_l=0.999 * rise).verdict == NOT_MEASURABLE or plants != "none"
    assert of(said_rise_mg_l=0.999 * rise).verdict != MEASURABLE
    assert of(source_mg_h=1.001 * source).verdict == MEASURABLE
    assert of(source_mg_h=0.999 * source).verdict != MEASURABLE


@pytest.mark.parametrize("ion", NUTRIENTS)
def test_the_weekly_gain_told_is_the_least_that_is_measurable(ion):
    level = {"nitrate": 10, "phosphate": 1, "iron": 0.1}.get(ion, 15)
    for plants in ("none", "few", "many"):
        claim = nutrient_claim(ion, 60, level, gain_mg_l=1, plants=plants)
        gain = claim.need("weekly gain in this tank").low
        assert nutrient_claim(ion, 60, level, gain_mg_l=1.001 * gain, plants=plants).verdict == MEASURABLE
        assert nutrient_claim(ion, 60, level, gain_mg_l=0.999 * gain, plants=plants).verdict != MEASURABLE
        rise = claim.need("rise in this tank").low
        assert nutrient_claim(ion, 60, level, times=1 + 1.001 * rise / level, plants=plants).verdict == MEASURABLE
        assert nutrient_claim(ion, 60, level, times=1 + 0.999 * rise / level, plants=plants).verdict == NOT_MEASURABLE


@pytest.mark.parametrize("meter", ["quantum_sensor", "lux_meter", 0.02])
def test_the_rise_and_the_meter_told_are_the_least_for_light(meter):
    rise = light_claim(10, 50, meter).need("rise in this tank").low
    assert light_claim(1.001 * rise, 50, meter).verdict == MEASURABLE
    assert light_claim(0.999 * rise, 50, meter).verdict == NOT_MEASURABLE
    good = light_claim(20, 50, meter).need("meter").low / 100
    assert light_claim(20, 50, good).smallest_seen == pytest.approx(20)


def test_reaching_a_rise_takes_what_livelier_plants_may_take_on_top_of_keeping_it():
    claim = nutrient_claim("nitrate", 60, 10, times=2)
    more = claim.step(LIVELIER).high
    uptake = claim.step("weekly uptake by the plants")
    assert more == pytest.approx(uptake.high - uptake.low)
    planted, bare = (claim.need(f"weekly gain {where}").low for where in ("in this tank", "with no plants"))
    assert planted == pytest.approx(bare + more)
    bare_tank = nutrient_claim("nitrate", 60, 10, times=2, plants="none")
    assert LIVELIER not in [step.label for step in bare_tank.steps]


# the two required cases and what stays as it is ----------------------------------------------------------------------


@pytest.mark.as_it_was("rule, plants and surfaces are assumptions of this check, no outside number exists, 2026-11-25")
@pytest.mark.parametrize(("make", "verdict"), [
    (lambda: oxygen_claim(50, 20, 0.07, "rippled"), NOT_MEASURABLE),
    (lambda: oxygen_claim(50, 20, 0.07, "still"), PERHAPS),
    (lambda: oxygen_claim(50, 20, 0.07, "still", plants="few"), MEASURABLE),
    (lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.5, said_rise_mg_l=5), NOT_MEASURABLE),
    (lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.5, said_rise_mg_l=20), MEASURABLE),
    (lambda: nutrient_claim("nitrate", 60, 10, times=2), MEASURABLE),
    (lambda: nutrient_claim("nitrate", 60, 5, times=2), NOT_MEASURABLE),
    (lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.0, said_rise_mg_l=16), NOT_MEASURABLE),
    (lambda: light_claim(10, 50), NOT_MEASURABLE),
    (lambda: light_claim(20, 50), MEASURABLE),
])
def test_the_verdicts_stay_as_they_were(make, verdict):
    assert make().verdict == verdict


@pytest.mark.parametrize("make", EVERY_KIND)
def test_a_claim_hangs_together(make):
    claim = make()
    assert claim.verdict in VERDICTS
    assert 0 <= claim.low <= claim.high
    assert claim.meter_error > 0
    assert [one.decides for one in claim.meanwhile].count(True) == 1
    assert all(0 <= one.low <= one.high for one in (*claim.meanwhile, *claim.steps, *claim.assumptions, *claim.times, *claim.needs))
    assert {fact.mark for fact in claim.assumptions} <= set(MARKS)
    assert set(claim.cautions) <= set(CAUTIONS)
    for parts in (claim.steps, claim.needs):
        assert len({part.label for part in parts}) == len(parts)


def test_the_declared_outputs_are_the_fields_of_a_claim():
    assert [output.name for output in CLAIM_OUTPUTS] == [field.name for field in dataclasses.fields(Claim)]


def test_what_was_given_is_told_from_what_is_assumed():
    claim = oxygen_claim(50, 20, 0.07, 2.0, meter_error_mg_l=0.1, plants=3.0, light_hours=10, temp_c=26, efficiency_low=0.5)
    given = {fact.key for fact in claim.assumptions if fact.mark == MARKS[0]}
    assert given == {"current_ma", "efficiency", "volume_l", "surface_m2", "surface", "temp_c", "light_hours", "plants", "meter_error"}
    usual = {fact.key for fact in oxygen_claim(50, 20, 0.07, "gentle").assumptions if fact.mark == MARKS[0]}
    assert usual == {"current_ma", "volume_l", "surface_m2"}


# refusals ------------------------------------------------------------------------------------------------------------


@every(("call", "message"), [
    (lambda: oxygen_claim(50, 20, 0.07, "wavy"), r"surface is 'wavy'; accepted: still, gentle, rippled, agitated, or 0\.05 to 100 cm/h"),
    (lambda: oxygen_claim(50, 20, 0.07, "gentle", plants="lots"), "plants is 'lots'; accepted: none, few, many, or 0 to 2000 g"),
    (lambda: oxygen_claim(50, 20, 0.07, "gentle", plants=-1), r"plants is -1\.0 g"),
    (lambda: oxygen_claim(0, 20, 0.07, "gentle"), r"current_ma is 0\.0 mA; accepted: 0\.1 to 10000 mA"),
    (lambda: oxygen_claim(float("nan"), 20, 0.07, "gentle"), "current_ma is nan"),
    (lambda: oxygen_claim([50, 60], 20, 0.07, "gentle"), r"current_ma is 2 numbers; accepted: one number\. A claim is checked for one"),
    (lambda: oxygen_claim(50, 20, 0.07, [1, 2]), "surface is not one word or number"),
    (lambda: oxygen_claim(50, 20, 0.07, "nan"), "surface is nan cm/h"),
    (lambda: oxygen_claim(50, 20, 0.07, "gentle", efficiency_low=0.9, efficiency_high=0.5),
     "efficiency_low is 0.9; accepted: at most efficiency_high, which is 0.5"),
    (lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7), "said_rise_mg_l is 0 and source_mg_h is 0; accepted: one of the two above 0"),
    (lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 7, 5, 5), "said_rise_mg_l is 5 and source_mg_h is 5"),
    (lambda: carbon_dioxide_claim(60, 0.18, "gentle", 4, 3, 5), r"ph is 3\.0; accepted: 5 to 9"),
    (lambda: nutrient_claim("boron", 60, 1, 1), "ion is 'boron'; accepted: nitrate, phosphate, potassium, iron, calcium, magnesium"),
    (lambda: nutrient_claim("nitrate", 60, 1), r"gain_mg_l is 0, mass_mg 0 and times 1; accepted: exactly one of the three said\. Leave"),
    (lambda: nutrient_claim("nitrate", 60, 1, gain_mg_l=2, times=2), "gain_mg_l is 2, mass_mg 0 and times 2"),
    (lambda: nutrient_claim("nitrate", 60, 0, times=2), r"level_mg_l is 0; .* A multiple of nothing is nothing"),
    (lambda: nutrient_claim("nitrate", 60, 10, times=2, weeks=2.5), r"weeks is 2\.5; accepted: a whole number of weeks"),
    (lambda: nutrient_claim("nitrate", 60, 10, times=2, test_error_mg_l="rough"),
     "test_error_mg_l is 'rough'; accepted: usual, or 0.001 to 100"),
    (lambda: light_claim(0, 50), r"said_rise_umol is 0\.0"),
    (lambda: light_claim(10, 50, "eye"), "meter is 'eye'; accepted: quantum_sensor, lux_meter, phone, or 0.001 to 0.9"),
])
def test_what_cannot_be_used_is_refused_in_words(call, message):
    with pytest.raises(InputError, match=message):
        call()


def test_a_number_typed_as_text_is_a_number():
    typed, given = oxygen_claim(50, 20, 0.07, "2.5", plants="7"), oxygen_claim(50, 20, 0.07, 2.5, plants=7)
    assert typed == given
