"""Could a meter tell the oxygen that an electrolytic device brings into this tank?"""

from collections.abc import Sequence

from fairtank.errors import OutOfRangeError
from fairtank.planning.claiming.claim import (
    CLAIM_OUTPUTS,
    GIVEN,
    PRACTICE,
    SEEN_FROM,
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
from fairtank.planning.claiming.gas_tank import SURFACE, SURFACE_AREA, TEMP, VOLUME, GasTank, Pair, gas_tank
from fairtank.planning.claiming.plants_day import LIGHT_HOURS, PLANTS
from fairtank.planning.claiming.single import mark_of, single
from fairtank.registry import Input, calculator
from fairtank.science.gases import electrolysis_oxygen_mg_h, oxygen_saturation_mg_l, steady_excess_mg_l

# Share of oxygen in dry air: a literature value, from memory.
OXYGEN_IN_AIR = 0.20946
# Bubbles carry oxygen off before water holds more than about twice what air gives it, and below zero there is none to take: the most
# that plants can swing it. An assumption, no source.
MOST_SWING_BY_SATURATION = 2.0

_CURRENT = Input("current_ma", "current of the device", "mA", 0.1, 10000)
# Spread of a usual probe; common practice, no source.
_ERROR = Input("meter_error_mg_l", "standard deviation of an oxygen reading", "mg/L", 0.001, 5, default=0.2)
# Chloride in the water and gases that meet again take the rest; common practice, no source.
_LEAST = Input("efficiency_low", "share of the current that makes oxygen, at least", "", 0.01, 1, default=0.3)
_MOST = Input("efficiency_high", "share of the current that makes oxygen, at most", "", 0.01, 1, default=0.9)


@calculator(title="Claim check: oxygen of a device", sources=("codata2018", "benson1984", "common_practice"), outputs=CLAIM_OUTPUTS,
            cautions=("electrolysis", "mains"),
            inputs=(_CURRENT, VOLUME, SURFACE_AREA, SURFACE, _ERROR, PLANTS, LIGHT_HOURS, TEMP, _LEAST, _MOST))
def oxygen_claim(
    current_ma: float, volume_l: float, surface_m2: float, surface: str | float, meter_error_mg_l: float = 0.2,
    plants: str | float = "many", light_hours: float = 8.0, temp_c: float = 24.0, efficiency_low: float = 0.3,
    efficiency_high: float = 0.9,
) -> Claim:
    """Whether the oxygen that an electrolytic device makes could be told by a meter in this tank.

    Current makes oxygen by Faraday's law; the lift is what is made by what the surface exchanges, and never more than pure oxygen would
    give the water. Gas that leaves as bubbles counts as dissolved, so that the lift is told at its best. Not for air stones, which
    mostly move the surface.

    Parameters
    ----------
    current_ma : float
        Current of the device. [mA], 0.1 to 10000.
    volume_l : float
        Water in the tank. [L], 1 to 5000.
    surface_m2 : float
        Area of the water surface. [m²], 0.005 to 10.
    surface : str or float
        How the surface moves, as a word; or a measured gas exchange. [cm/h], 0.05 to 100.
    meter_error_mg_l : float
        Standard deviation of one oxygen reading. [mg/L], 0.001 to 5.
    plants : str or float
        Plants in the tank, as a word; or their dry mass. [g], 0 to 2000.
    light_hours : float
        Hours of light a day. [h], 1 to 23.
    temp_c : float
        Water temperature. [°C], 10 to 35.
    efficiency_low : float
        Share of the current that makes oxygen, at least. [-], 0.01 to 1.
    efficiency_high : float
        Share of the current that makes oxygen, at most. [-], 0.01 to 1.

    Returns
    -------
    Claim
        Lift, daily swing of the plants, smallest change that can be seen, and the verdict.

    Raises
    ------
    InputError
        If a word is not known, or several numbers are given for one.
    OutOfRangeError
        If an input lies outside its range, or the lowest efficiency above the highest.

    References
    ----------
    codata2018 for Faraday's constant, benson1984 for saturation; what a well-mixed tank keeps of a steady source is arithmetic.
    common_practice: efficiencies, plants and the spread of a meter (keys from sources.py).

    Examples
    --------
    >>> oxygen_claim(50, 20, 0.07, "rippled").verdict
    'not measurable'
    """
    current, error = single(_CURRENT, current_ma), single(_ERROR, meter_error_mg_l)
    efficiency = single(_LEAST, efficiency_low), single(_MOST, efficiency_high)
    if efficiency[0] > efficiency[1]:
        raise OutOfRangeError("efficiency_low", f"{efficiency[0]:g}", f"at most efficiency_high, which is {efficiency[1]:g}")
    tank = gas_tank(volume_l, surface_m2, surface, plants, light_hours, temp_c)
    full = float(electrolysis_oxygen_mg_h(current))
    made = full * efficiency[0], full * efficiency[1]
    saturation = float(oxygen_saturation_mg_l(tank.temp_c))
    bound = saturation * (1 / OXYGEN_IN_AIR - 1)
    cases = [Case(*_lift(made, transfer, tank, bound), min(sum(swing), MOST_SWING_BY_SATURATION * saturation))
             for transfer, swing in zip(tank.transfer_cm_h, tank.largest_swings_mg_l, strict=True)]
    most = max(case.tank for case in cases)
    rival = Meanwhile("daily swing by the plants", min(tank.least_swing_mg_l, most), most, "mg/L", decides=True)
    steps = (
        Step.of("oxygen at full efficiency", "current × molar mass of oxygen / (4 × Faraday's constant)", full, "mg/h"),
        Step("oxygen made", "oxygen at full efficiency × efficiency", *made, "mg/h"),
        *tank.steps("oxygen given off", "oxygen used"),
        Step.of("most that pure oxygen could lift it", "saturation × (1 / share of oxygen in air − 1)", bound, "mg/L"),
        Step("lift of the oxygen", "oxygen made / exchange at the surface, within what pure oxygen could",
             cases[1].low, cases[0].high, "mg/L"),
        Step("daily swing by the plants", "(given off + used) / exchange at the surface, evened out over the day, within twice saturation",
             rival.low, rival.high, "mg/L"),
    )
    facts = (
        Fact.of("current_ma", "current of the device", current, "mA", GIVEN),
        Fact("efficiency", "share of the current that makes oxygen", *efficiency, "",
             PRACTICE if efficiency == (_LEAST.default, _MOST.default) else GIVEN),
        *tank.facts(),
        Fact.of("meter_error", "standard deviation of a reading", error, "mg/L", mark_of(_ERROR, error, PRACTICE)),
    )
    return judged("oxygen", "oxygen", "mg/L", cases=cases, meter=Meter(saturation, error, 0.0), meanwhile=(rival,), times=(tank.time,),
                  needs=_needs(tank, made[0] / current, cases, SEEN_FROM * error), assumptions=facts, steps=steps, remarks=("bubbles",),
                  cautions=("electrolysis", "mains"))


def _lift(made_mg_h: Pair, transfer_cm_h: float, tank: GasTank, bound_mg_l: float) -> Pair:
    """Least and most lift at one gas exchange."""
    low, high = (min(float(steady_excess_mg_l(source, transfer_cm_h, tank.surface_m2)), bound_mg_l) for source in made_mg_h)
    return low, high


def _needs(tank: GasTank, made_mg_h_ma: float, cases: Sequence[Case], seen: float) -> tuple[Span, ...]:
    """The current from which the least lift is large enough, with these plants and with none; the meter that would see the least lift."""
    bare = seen * max(tank.exchange_l_h) / made_mg_h_ma
    beside = [SMALL_SHARE * case.tank * exchange / made_mg_h_ma for case, exchange in zip(cases, tank.exchange_l_h, strict=True)]
    planted, meter = max(bare, *beside), min(case.low for case in cases) / SEEN_FROM
    return (
        Span.of("current in this tank", planted, "mA"),
        Span.of("current with no plants", bare, "mA"),
        Span.of("meter", meter, "mg/L"),
    )
