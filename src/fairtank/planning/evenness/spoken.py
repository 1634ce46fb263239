"""Which factors the words of a plan speak of: its change, its reference and the names of its arms."""

import re
from collections.abc import Iterable

from fairtank.planning.evenness.wording import spaced

# Words that speak of each factor. Common practice, no source.
_SPOKEN = {
    "photoperiod": r"\d+ ?h\b|hours? of light|photoperiod|light hours|dark break|longer light|shorter light|light period",
    "light_on": r"light (goes )?on|earlier light|later light",
    "light_at_bed": r"bright|dim|light intensity|more light|less light|half the light|ppfd",
    "lamp_model": r"\blamps?\b|\bled\b|spectrum",
    "lamp_height": r"lamp height",
    "room_light": r"room light|daylight",
    "window_side": r"window",
    "temperature": r"temperature|warm|cool|degrees|°c",
    "heater_model": r"heater",
    "co2": r"\bco2\b|carbon dioxide",
    "oxygen": r"oxygen|aerat\w*|air stone",
    "flow": r"\bflow\b|pump|current",
    "filter_model": r"filter",
    "carbon": r"carbon\b(?! dioxide)|resin",
    "cover": r"\bcover\b|cover glass|\blid\b",
    "doses": r"dos(e|es|ing)|feeding|fertili[sz]\w*|nutrients?|iron|potassium|nitrogen",
    "nitrate": r"nitrate",
    "phosphate": r"phosphate",
    "kh": r"\bkh\b|carbonate hardness|hard(er)? water|soft(er)? water",
    "gh": r"\bgh\b|hard(er)? water|soft(er)? water",
    "conductivity": r"conductivity",
    "ph": r"\bph\b",
    "source_water": r"tap water|rain ?water|osmosis|source water|well water",
    "water_change": r"water changes?|water changed",
    "water_change_day": r"day of the water change",
    "substrate_kind": r"substrate|\bsoil\b|\bsand\b|gravel|\bclay\b|\bbed\b|\bcap\b",
    "substrate_depth": r"deep|depth|shallow",
    "substrate_mass": r"more soil|less soil|half the soil",
    "substrate_batch": r"batch",
    "substrate_wetting": r"soak\w*|wash\w*|rins\w*|wett\w*",
    "hardscape_kind": r"\bstones?\b|\brocks?\b|\bwood\b|hardscape",
    "hardscape_mass": r"hardscape mass",
    "plant_kinds": r"plant kinds|floating plants|stem plants|fast plants|moss|species",
    "plant_stock": r"in vitro|potted|emers\w*|tissue|plant stock",
    "plant_portions": r"portions|plugs|dense(r|ly)?|density|pots",
    "plant_mass": r"plant mass|grams of plants",
    "planted_on": r"planted (later|earlier)|day of planting",
    "fauna": r"snails?|shrimps?|\bfish\b|animals?|fauna",
    "inoculum": r"mulm|inocul\w*|filter mud|old water|bacteria",
    "cleaning": r"clean\w*|wip(e|es|ed|ing)|trim\w*",
    "tools": r"\btools?\b",
    "hands": r"\bhands?\b",
    "water_level": r"water level",
    "water_volume": r"volume|litres",
    "tank_length": r"larger tank|smaller tank|tank size",
    "glass_kind": r"\bglass box|kind of glass",
    "started_on": r"started (later|earlier)|head start",
    "evaporation": r"top ?up|evaporation",
    "shelf": r"\bshelf\b",
    "camera": r"camera",
}


def spoken_of(texts: Iterable[str]) -> tuple[str, ...]:
    """Keys of the factors that these texts speak of.

    >>> spoken_of(("4 h light, 3 h dark, 4 h light", "a cover glass"))
    ('photoperiod', 'cover')
    """
    words = " | ".join(spaced(text) for text in texts)
    return tuple(key for key, pattern in _SPOKEN.items() if re.search(pattern, words))
