"""What the change brings besides itself, one sentence each: how much, by which line, and what to give the other arm."""


from fairtank.planning.effects.side_effect import SideEffect
from fairtank.publish.claim_words import rounded
from fairtank.publish.numbers import MINUS, in_a_row, shown, with_unit

# What the line does to the unit, where it brings more and where it brings less; the amount stands in the braces.
_SAID = {
    "temperature": ("would warm the water by {} without a thermostat", "would cool the water by {} without a thermostat"),
    "volume": ("adds {} of water", "takes the place of {} of water"),
    "flow": ("turns the water over {} times an hour", ""),
    "light": ("brings {} more light a day", "takes {} of light a day"),
    "bed height": ("raises the bed by {}", ""),
    "evaporation": ("lets {} more water evaporate a day", "keeps {} of water a day from evaporating"),
    "oxygen": ("makes {} of oxygen an hour", ""),
    "hydrogen": ("makes {} of hydrogen an hour", ""),
    "general hardness": ("raises the general hardness by {}", ""),
    "carbonate hardness": ("raises the carbonate hardness by {}", ""),
    "conductivity": ("raises the conductivity by {}", ""),
}
# Units whose time is told in the words above.
_UNIT_WORDS = {"1/h": "", "L/d": "L", "mol m⁻² d⁻¹": "mol m⁻²", "mg/h": "mg"}
# What another salt brings in turn.
_ALONG = {"K2SO4": "sulphate", "MgSO4.7H2O": "sulphate", "CaCl2.2H2O": "chloride", "NaCl": "chloride"}
_BUILDS_UP = ("general hardness", "carbonate hardness", "conductivity")
_REMEDIES = {
    "thermostat": "keep all tanks by thermostat above what the warmest would reach by itself, and log their temperatures",
    "blank": "put a blank of the same volume into the other arm",
    "same_flow": "give the other arm the same flow, with the same device switched off in all but its pump",
    "same_shade": "shade the other arm alike, or set the lamps by a meter under what shades",
    "same_cover": "cover the other arm alike",
    "same_light": "where light is not the change, give the same light in a day",
    "same_top": "raise the lamp by as much, and set the light by a meter at the bed",
    "same_ion": "give the other arm as much of it",
    "same_hardness": "give the other arm as much hardness by its water",
    "compare_rise": "a difference in conductivity of this size is the salt itself",
    "say": "say so beside the finding: there is no plain way to even it out",
    "check_claim": "check first whether it can be measured at all in this tank",
    "air": "let air move over the tank, and never under a closed lid",
}


def side_effect_sentence(effect: SideEffect) -> str:
    """One thing that comes along with the change, as one sentence.

    Parameters
    ----------
    effect : SideEffect
        What the planning room worked out.

    Returns
    -------
    str
        Unit, line, amount with its range, and what to give the other arm (our own words, common practice, no source).

    Examples
    --------
    See `tests/publish/test_side_effect_words.py`, one exact text for each kind.
    """
    return f"In {shown(effect.unit)}, {_body(effect)}"


def side_effect_text(effects: tuple[SideEffect, ...]) -> tuple[str, ...]:
    """All of them, each once: units in which the same line does the same are told together."""
    units: dict[str, list[str]] = {}
    for effect in effects:
        units.setdefault(_body(effect), []).append(shown(effect.unit))
    return tuple(f"In {in_a_row(dict.fromkeys(names))}, {body}" for body, names in units.items())


def _body(effect: SideEffect) -> str:
    more, less = _SAID.get(effect.factor, (f"brings {{}} of {effect.factor}", ""))
    said = (less if effect.amount < 0 and less else more).format(_amount_words(effect))
    return f"“{shown(effect.cause)}” {said}{_range_words(effect)}; {_remedy_words(effect)}."


def _amount_words(effect: SideEffect) -> str:
    return with_unit(rounded(abs(effect.amount)), _UNIT_WORDS.get(effect.unit_of_measure, effect.unit_of_measure))


def _range_words(effect: SideEffect) -> str:
    """The range and the share, in brackets; empty where there is neither. A dose goes from once to what it never exceeds."""
    parts = []
    if effect.factor in _BUILDS_UP or effect.unit_of_measure == "mg/L":
        parts.append(f"{rounded(effect.low)} from one dose, never above {rounded(effect.high)}")
    elif effect.low != effect.high:
        less = effect.amount < 0 and effect.high <= 0
        ends = (-effect.high, -effect.low) if less else (effect.low, effect.high)
        parts.append(" to ".join(rounded(value).replace("-", MINUS) for value in ends))
    if effect.share is not None:
        parts.append(with_unit(rounded(100 * abs(effect.share)), "%") + (" of its water" if effect.factor == "volume" else ""))
    return f" ({'; '.join(parts)})" if parts else ""


def _remedy_words(effect: SideEffect) -> str:
    words = _REMEDIES[effect.remedy]
    if effect.remedy_amount is None:
        return words
    amount = with_unit(rounded(effect.remedy_amount), effect.remedy_unit)
    if effect.remedy == "same_ion":
        return f"{words}, which {amount} of {effect.remedy_material} in each dose would do, with {_ALONG[effect.remedy_material]} in turn"
    if effect.remedy == "same_light":
        return f"{words}, which {amount} at the bed would do here"
    return words
