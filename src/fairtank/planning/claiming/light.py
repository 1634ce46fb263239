"""Could a meter tell more light at the bed from what lamps, places and age do to it anyway?"""

import math

from fairtank.planning.claiming.claim import (
    ASSUMED,
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
from fairtank.planning.claiming.single import mark_of, single, word_or_number
from fairtank.registry import Input, calculator
from fairtank.science.light import daily_light_mol_m2

UNIT = "µmol m⁻² s⁻¹"
# Standard deviation of a reading as a share of it, sensor held by hand under water; common practice, no source.
LIGHT_METERS = {"quantum_sensor": 0.05, "lux_meter": 0.1, "phone": 0.25}
# What makes the light at the bed of two like tanks differ anyway, as a share of it, least and most; common practice, no source.
DIFFERENCES = {
    "two lamps of one make": (0.03, 0.10),
    "a place some centimetres off": (0.05, 0.20),
    "a year of use and film on the lamp": (0.03, 0.10),
}

_RISE = Input("said_rise_umol", "rise at the bed that is claimed", UNIT, 0.1, 2000)
_LIGHT = Input("light_umol", "light at the bed without it", UNIT, 1, 2000)
_METER = Input("meter", "what reads the light, or the standard deviation of its readings as a share", "", 0.001, 0.9,
               choices=tuple(LIGHT_METERS), default="lux_meter")
_HOURS = Input("hours_per_day", "hours of light a day", "h", 0.1, 24, default=8.0)


@calculator(title="Claim check: light", sources=("arithmetic", "common_practice"), outputs=CLAIM_OUTPUTS,
            cautions=("mains",), inputs=(_RISE, _LIGHT, _METER, _HOURS))
def light_claim(said_rise_umol: float, light_umol: float, meter: str | float = "lux_meter", hours_per_day: float = 8.0) -> Claim:
    """Whether a rise in light at the bed could be told by a meter from what lamps, places and age do anyway.

    Two tanks are never lit quite alike: the rise is held against all three differences together, added as squares. The same meter reads
    both tanks, at the same place, in one sitting. Where the colour of the light changes too, only a quantum sensor tells.

    Parameters
    ----------
    said_rise_umol : float
        Rise at the bed that is claimed. [µmol m⁻² s⁻¹], 0.1 to 2000.
    light_umol : float
        Light at the bed without it. [µmol m⁻² s⁻¹], 1 to 2000.
    meter : str or float
        What reads the light, as a word; or the standard deviation of its readings as a share. [-], 0.001 to 0.9.
    hours_per_day : float
        Hours of light a day. [h], 0.1 to 24.

    Returns
    -------
    Claim
        Rise, what lamps, places and age do, smallest change that can be seen, and the verdict.

    Raises
    ------
    InputError
        If a word is not known, or several numbers are given for one.
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: independent differences add as squares. common_practice: differences and errors of meters (keys from sources.py).

    Examples
    --------
    >>> light_claim(20, 50).verdict
    'measurable'
    """
    rise, light = single(_RISE, said_rise_umol), single(_LIGHT, light_umol)
    known, hours = word_or_number(_METER, meter), single(_HOURS, hours_per_day)
    reader = Meter(light, 0.0, LIGHT_METERS[known] if isinstance(known, str) else known)
    together = [math.hypot(*ends) for ends in zip(*DIFFERENCES.values(), strict=True)]
    rival = Meanwhile("lamps, places and age together", together[0] * light, together[1] * light, UNIT, decides=True)
    daily = [float(daily_light_mol_m2(level, hours)) for level in (light, light + rise)]
    steps = (
        Step.of("rise as a share of the light", "rise / light", rise / light, ""),
        Step("lamps, places and age together", "light × √(sum of the squared differences)", rival.low, rival.high, UNIT),
        Step.of("light in a day without it", "light × hours × 3600 / 1,000,000", daily[0], "mol m⁻² d⁻¹"),
        Step.of("light in a day with it", "(light + rise) × hours × 3600 / 1,000,000", daily[1], "mol m⁻² d⁻¹"),
    )
    facts = (
        Fact.of("said_rise_umol", "rise that is claimed", rise, UNIT, GIVEN),
        Fact.of("light_umol", "light at the bed without it", light, UNIT, GIVEN),
        Fact.of("hours_per_day", "hours of light a day", hours, "h", mark_of(_HOURS, hours, ASSUMED)),
        Fact.of("meter", "standard deviation of a reading, as a share of it", reader.relative, "",
             PRACTICE if isinstance(known, str) else GIVEN, known if isinstance(known, str) else ""),
        *(Fact(f"difference_{place}", f"{label}, as a share of the light", *ends, "", PRACTICE)
          for place, (label, ends) in enumerate(DIFFERENCES.items(), 1)),
    )
    meanwhile = (*(Meanwhile(label, low * light, high * light, UNIT) for label, (low, high) in DIFFERENCES.items()), rival)
    return judged("light", "light at the bed", UNIT, cases=(Case(rise, rise, rival.high),), meter=reader, meanwhile=meanwhile,
                  needs=_needs(reader, rival, rise), assumptions=facts, steps=steps, remarks=("same_lamp",), cautions=("mains",))


def _needs(reader: Meter, rival: Meanwhile, rise: float) -> tuple[Span, ...]:
    """The rise that is large enough, and the meter that would see this one: e = 2.8 r √((light² + (light + e)²) / 2), solved for r."""
    meter = rise * math.sqrt(2.0) / (SEEN_FROM * math.hypot(reader.level, reader.level + rise))
    wanted = (Span.of("meter", 100 * meter, "%"),)
    seen = reader.smallest_seen
    if seen is None:
        return wanted
    large = max(seen, SMALL_SHARE * rival.high)
    return (Span.of("rise in this tank", large, UNIT), *wanted)
