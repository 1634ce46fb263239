"""Could pH and carbonate hardness tell a rise in carbon dioxide in this tank?"""

import math
from collections.abc import Sequence

from fairtank.errors import InputError
from fairtank.planning.claiming.claim import (
    CLAIM_OUTPUTS,
    GIVEN,
    PRACTICE,
    SMALL_SHARE,
    Case,
    Claim,
    Fact,
    Meanwhile,
    Meter,
    Span,
    Step,
    judged,
)
from fairtank.planning.claiming.gas_tank import SURFACE, SURFACE_AREA, TEMP, VOLUME, GasTank, gas_tank
from fairtank.planning.claiming.plants_day import CARBON_DIOXIDE_BY_OXYGEN, LIGHT_HOURS, PLANTS
from fairtank.planning.claiming.single import mark_of, single
from fairtank.registry import Input, calculator
from fairtank.science.gases import exchange_mg_h, steady_excess_mg_l
from fairtank.science.water import carbonate

# Below one degree a drop of the test is most of what it reads.
LEAST_HARDNESS_DKH = 1.0
# What water takes up under pure carbon dioxide at 25 °C: more cannot stay in it. A literature value, from memory.
MOST_DISSOLVED_MG_L = 1500.0

_ALKALINITY = Input("alkalinity_dkh", "carbonate hardness", "dKH", 0.1, 20)
_PH = Input("ph", "pH without what is claimed", "", 5, 9)
_RISE = Input("said_rise_mg_l", "rise that is claimed; 0 where a source is given", "mg/L", 0, 200, default=0.0)
_SOURCE = Input("source_mg_h", "carbon dioxide that is brought in; 0 where a rise is given", "mg/h", 0, 100000, default=0.0)
# A usual probe and a usual drop test; common practice, no source.
_PH_ERROR = Input("ph_error", "standard deviation of a pH reading", "", 0.001, 1, default=0.1)
_KH_ERROR = Input("kh_error_dkh", "standard deviation of a hardness reading", "dKH", 0.01, 5, default=0.5)


@calculator(title="Claim check: carbon dioxide", sources=("plummer1982", "common_practice"), outputs=CLAIM_OUTPUTS,
            cautions=("co2_cylinder", "co2_animals", "plants_animals"),
            inputs=(VOLUME, SURFACE_AREA, SURFACE, _ALKALINITY, _PH, _RISE, _SOURCE, TEMP, _PH_ERROR, _KH_ERROR, PLANTS, LIGHT_HOURS))
def carbon_dioxide_claim(
    volume_l: float, surface_m2: float, surface: str | float, alkalinity_dkh: float, ph: float, said_rise_mg_l: float = 0.0,
    source_mg_h: float = 0.0, temp_c: float = 24.0, ph_error: float = 0.1, kh_error_dkh: float = 0.5, plants: str | float = "many",
    light_hours: float = 8.0,
) -> Claim:
    """Whether a rise in carbon dioxide could be told by pH and carbonate hardness in this tank.

    Either a rise is claimed, or a source is given, which lifts the gas until the surface loses as much. Carbon dioxide is not read but
    worked out from two readings, and its error grows with the level. Acids from wood and soil spoil the reading in ways that this does
    not see.

    Parameters
    ----------
    volume_l : float
        Water in the tank. [L], 1 to 5000.
    surface_m2 : float
        Area of the water surface. [m²], 0.005 to 10.
    surface : str or float
        How the surface moves, as a word; or a measured gas exchange. [cm/h], 0.05 to 100.
    alkalinity_dkh : float
        Carbonate hardness. [dKH], 0.1 to 20.
    ph : float
        pH without what is claimed. [-], 5 to 9.
    said_rise_mg_l : float
        Rise that is claimed; 0 where a source is given. [mg/L], 0 to 200.
    source_mg_h : float
        Carbon dioxide that is brought in; 0 where a rise is given. [mg/h], 0 to 100000.
    temp_c : float
        Water temperature. [°C], 10 to 35.
    ph_error : float
        Standard deviation of a pH reading. [-], 0.001 to 1.
    kh_error_dkh : float
        Standard deviation of a hardness reading. [dKH], 0.01 to 5.
    plants : str or float
        Plants in the tank, as a word; or their dry mass. [g], 0 to 2000.
    light_hours : float
        Hours of light a day. [h], 1 to 23.

    Returns
    -------
    Claim
        Rise, what the surface loses, daily swing of the plants, smallest change that can be seen, and the verdict.

    Raises
    ------
    InputError
        If neither or both of rise and source are given, a word is not known, or several numbers are given for one.
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for carbon dioxide from pH and hardness; what a well-mixed tank keeps of a steady source, and the error of a product, are
    arithmetic. common_practice: plants and the spread of the readings (keys from sources.py).

    Examples
    --------
    >>> carbon_dioxide_claim(60, 0.18, "gentle", 4, 7.0, said_rise_mg_l=5).verdict
    'not measurable'
    """
    rise, source = single(_RISE, said_rise_mg_l), single(_SOURCE, source_mg_h)
    if (rise > 0) == (source > 0):
        raise InputError("said_rise_mg_l", f"{rise:g} and source_mg_h is {source:g}", "one of the two above 0, the other 0",
                         "Give either the rise that is claimed or what is brought in.")
    tank = gas_tank(volume_l, surface_m2, surface, plants, light_hours, temp_c, CARBON_DIOXIDE_BY_OXYGEN)
    hardness, acidity = single(_ALKALINITY, alkalinity_dkh), single(_PH, ph)
    errors = single(_PH_ERROR, ph_error), single(_KH_ERROR, kh_error_dkh)
    relative = math.hypot(math.log(10.0) * errors[0], errors[1] / hardness)
    meter = Meter(float(carbonate(tank.temp_c, hardness, acidity).co2_mg_l), 0.0, relative)
    cases = []
    for transfer, (light, dark) in zip(tank.transfer_cm_h, tank.largest_swings_mg_l, strict=True):
        effect = rise or min(float(steady_excess_mg_l(source, transfer, tank.surface_m2)), MOST_DISSOLVED_MG_L)
        cases.append(Case(effect, effect, min(light, meter.level + effect) + dark))
    most = max(case.tank for case in cases)
    rival = Meanwhile("daily swing by the plants", min(tank.least_swing_mg_l, most), most, "mg/L", decides=True)
    claimed = (Fact.of("said_rise_mg_l", "rise that is claimed", rise, "mg/L", GIVEN) if rise
               else Fact.of("source_mg_h", "carbon dioxide brought in", source, "mg/h", GIVEN))
    facts = (
        claimed,
        Fact.of("alkalinity_dkh", "carbonate hardness", hardness, "dKH", GIVEN),
        Fact.of("ph", "acidity (pH) without what is claimed", acidity, "", GIVEN),
        *tank.facts(),
        Fact.of("ph_error", "standard deviation of a pH reading", errors[0], "", mark_of(_PH_ERROR, errors[0], PRACTICE)),
        Fact.of("kh_error_dkh", "standard deviation of a hardness reading", errors[1], "dKH", mark_of(_KH_ERROR, errors[1], PRACTICE)),
    )
    return judged("carbon dioxide", "carbon dioxide", "mg/L", cases=cases, meter=meter, meanwhile=(rival,), times=(tank.time,),
                  needs=_needs(tank, meter), assumptions=facts, steps=_steps(tank, meter, cases, rival, bool(rise)),
                  remarks=("kh_low", "acids") if hardness < LEAST_HARDNESS_DKH else ("acids",),
                  cautions=("co2_cylinder", "co2_animals", "plants_animals"))


def _steps(tank: GasTank, meter: Meter, cases: Sequence[Case], rival: Meanwhile, is_rise: bool) -> tuple[Step, ...]:
    effects = [case.low for case in cases]
    lost = [float(exchange_mg_h(effect, transfer, tank.surface_m2)) for effect, transfer in zip(effects, tank.transfer_cm_h, strict=True)]
    return (
        Step.of("carbon dioxide without it", "carbonate equilibrium of hardness, pH and temperature", meter.level, "mg/L"),
        Step.of("relative error of a reading", "√((2.303 × error of pH)² + (error of hardness / hardness)²)", meter.relative, ""),
        *tank.steps("carbon dioxide taken up", "carbon dioxide given off"),
        Step("rise of carbon dioxide", "as claimed" if is_rise else "source / exchange at the surface", min(effects), max(effects), "mg/L"),
        Step("what the surface loses of it", "rise × exchange at the surface", min(lost), max(lost), "mg/h"),
        Step("daily swing by the plants", "(taken up + given off) / exchange at the surface, evened out over the day; no more is taken up "
             "than is there", rival.low, rival.high, "mg/L"),
    )


def _needs(tank: GasTank, meter: Meter) -> tuple[Span, ...]:
    """The rise and the source from which the effect is large enough, with these plants and with none; nothing where no rise could be.

    A rise e is large enough at e = share × (min(light, level + e) + dark), solved for e on either side of the smaller one.
    """
    seen = meter.smallest_seen
    if seen is None:
        return ()
    bounded = SMALL_SHARE / (1 - SMALL_SHARE)
    beside = [min(SMALL_SHARE * (light + dark), bounded * (meter.level + dark)) for light, dark in tank.largest_swings_mg_l]
    rises = [max(seen, rise) for rise in beside]
    sources = [rise * exchange for rise, exchange in zip(rises, tank.exchange_l_h, strict=True)]
    bare = seen * max(tank.exchange_l_h)
    return (
        Span.of("rise in this tank", max(rises), "mg/L"),
        Span.of("source in this tank", max(sources), "mg/h"),
        Span.of("rise with no plants", seen, "mg/L"),
        Span.of("source with no plants", bare, "mg/h"),
    )
