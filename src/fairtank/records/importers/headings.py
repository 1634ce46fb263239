"""What the heading of a column says: a quantity and its unit of measure, maybe with a unit of the trial before or behind it."""

import re
from dataclasses import dataclass

from fairtank.errors import InputError
from fairtank.planning.evenness.wording import flat
from fairtank.records.importers.facts import TrialFacts
from fairtank.units import unit_from_text

_IN_BRACKETS = re.compile(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]\s*$", re.DOTALL)
_LAST_PART = re.compile(r"(.+?)\s*[,;:/]\s*([^,;:]+)$", re.DOTALL)
_LAST_WORD = re.compile(r"(.+?)[\s_]+(\S+(?:\s(?:N|P|CaCO3|NO3|NO2|NH4|NH3|PO4))?)$", re.DOTALL)
# Units that stand behind a name without any mark; a bare C, N or K there may be part of the name. Common practice, no source.
_PLAIN_UNITS = frozenset({"dkh", "dgh", "lux", "ppm", "%", "degc", "degf"})
_ENDINGS = (("_mg_l", "mg/L"), ("_us_cm", "µS/cm"), ("_l_h", "L/h"), ("_degc", "°C"), ("_degf", "°F"), ("_c", "°C"), ("_f", "°F"))
# Names that say the nutrient counts as its element. Common practice, no source.
_AS_ELEMENT = {"no3n": "N", "no2n": "N", "nh4n": "N", "nh3n": "N", "nitraten": "N", "nitriten": "N", "ammoniumn": "N", "ammonian": "N",
               "po4p": "P", "phosphatep": "P"}


@dataclass(frozen=True)
class Heading:
    """A heading parted: the unit of the trial it names, the words for the quantity, the unit of measure; each may be empty."""

    unit: str = ""
    words: str = ""
    unit_of_measure: str = ""


def heading_of(text: str, facts: TrialFacts) -> Heading:
    """A heading parted into what it names.

    `nitrate (mg/L NO3)`, `Temp [°C]`, `Temp, °C`, `temp_c` and `T1 KH dKH` are understood.
    """
    if facts.unit_named(text)[0]:
        return Heading(facts.unit_named(text)[0])
    words, unit_of_measure = _without_unit(text)
    if facts.unit_named(words)[0]:
        return Heading(facts.unit_named(words)[0], "", unit_of_measure)
    own, rest = _named_unit(words, facts)
    rest, further = _without_unit(rest) if not unit_of_measure else (rest, unit_of_measure)
    unit_of_measure = unit_of_measure or further
    element = _AS_ELEMENT.get(flat(rest), "")
    if element and unit_of_measure in ("", "mg/L", "mg/l", "ppm"):
        unit_of_measure = f"mg/L {element}"
    return Heading(own, rest, unit_of_measure)


def is_unit_of_measure(text: str) -> bool:
    """Whether a text is a unit of measure that the house knows."""
    try:
        return bool(text) and bool(unit_from_text(text))
    except InputError:
        return False


def _without_unit(text: str) -> tuple[str, str]:
    """A text without the unit of measure at its end, and that unit."""
    found = _IN_BRACKETS.match(text)
    if found and found[1] and (is_unit_of_measure(found[2]) or len(found[2]) <= 12):
        return found[1].strip(), found[2].strip()
    found = _LAST_PART.match(text)
    if found and is_unit_of_measure(found[2].strip()) and "/" not in found[1]:
        return found[1].strip(), found[2].strip()
    low = text.casefold()
    for ending, unit in _ENDINGS:
        if low.endswith(ending) and len(text) > len(ending):
            return text[: -len(ending)], unit
    found = _LAST_WORD.match(text)
    if found and is_unit_of_measure(found[2]) and (any(mark in found[2] for mark in "/°µ") or flat(found[2]) in _PLAIN_UNITS
                                                   or found[2] == "%"):
        return found[1].strip(), found[2].strip()
    return text.strip(), ""


def _named_unit(words: str, facts: TrialFacts) -> tuple[str, str]:
    """A unit of the trial at the beginning or the end of some words, and the rest of them."""
    parts = [part for part in re.split(r"[\s_:/|–-]+", words) if part]
    for count in (1, 2):
        if len(parts) <= count:
            break
        for own, rest in ((parts[:count], parts[count:]), (parts[-count:], parts[:-count])):
            key, _ = facts.unit_named(" ".join(own))
            if key and not " ".join(own).isdigit():
                return key, " ".join(rest)
    return "", words
