"""What keepers call things: quantities of readings, kinds of chores, events and build lines, and words that mean the same."""

import re
import unicodedata
from functools import lru_cache

# Quantities of readings.csv that mean a factor; all in lower case, without blanks and marks. Common practice, no source.
QUANTITIES: dict[str, tuple[str, ...]] = {
    "temperature": ("temperature", "temp", "tempc", "watertemp", "watertemperature", "watertempc", "t"),
    "room_temperature": ("roomtemperature", "roomtemp", "roomtempc", "airtemperature", "airtemp", "room"),
    "room_light": ("roomlight", "ambientlight", "roomlux", "ambientlux", "lightlampsoff", "daylight", "straylight"),
    "light_at_bed": ("lightatbed", "ppfd", "par", "lightbed", "light", "bedlight", "lightumol", "lux"),
    "flow": ("flow", "flowrate", "filterflow", "flowlh", "pumpflow"),
    "co2": ("co2", "co2mgl", "carbondioxide", "dissolvedco2", "freeco2"),
    "oxygen": ("o2", "oxygen", "do", "dissolvedoxygen", "oxygenmgl", "o2mgl"),
    "kh": ("kh", "alkalinity", "carbonatehardness", "dkh", "alk", "khdkh"),
    "gh": ("gh", "generalhardness", "totalhardness", "hardness", "dgh", "ghdgh"),
    "conductivity": ("ec", "conductivity", "cond", "ecuscm", "specificconductivity", "electricalconductivity", "conductance"),
    "ph": ("ph", "phvalue"),
    "nitrate": ("no3", "nitrate", "no3mgl", "nitrates", "no3n"),
    "phosphate": ("po4", "phosphate", "po4mgl", "phosphates", "po4p"),
    "photoperiod": ("photoperiod", "lighthours", "hoursoflight"),
    "evaporation": ("evaporation", "topup", "topupwater"),
    "water_level": ("waterlevel", "level", "waterline"),
    "water_volume": ("watervolume", "volume", "netvolume", "netwater"),
    "substrate_depth": ("substratedepth", "beddepth", "depthofbed"),
    "plant_mass": ("plantmass", "freshmass", "plantingmass", "plantweight"),
    "lamp_height": ("lampheight",),
    "lamp_age": ("lampage",),
    "filter_age": ("filterage",),
    "power_in_water": ("powerinwater",),
}
# Kinds of events and chores, told apart by what stands in them.
_KINDS = (
    ("water_change", r"\b(water ?change[sd]?|change of water|changed water|water changed|wc|new water|partial change)\b"),
    ("top_up", r"\b(top(ped)? ?up|topping ?up|evaporat\w*|refill\w*)\b"),
    ("dose", r"\b(dos(e|es|ed|ing)|fertili[sz]\w*|nutrients?)\b"),
    ("clean", r"\b(clean\w*|wip(e|es|ed|ing)|scrap\w+|scrub\w*|glass wipe)\b"),
    ("trim", r"\b(trim\w*|prun\w+|cut back|thinn\w+)\b"),
    ("fauna", r"\b(fauna|fish|shrimps?|snails?|animals?|stock(ed|ing) (of )?(fish|animals|shrimps?|snails?))\b"),
    ("inoculum", r"\b(inocul\w+|seed(ed|ing) (of )?(bacteria|filter)|filter mud|mulm|old water)\b"),
    ("start", r"\b(start(ed)?|fill(ed|ing)?|flood(ed|ing)?|set ?up)\b"),
    ("planting", r"\b(plant(ed|ing)|re ?plant(ed|ing)?|plants? (put )?in)\b"),
    ("light", r"\b(light\w*|lamp\w*|photoperiod)\b"),
    ("feed", r"\b(feed(ing)?|fed)\b"),
)
_MARKS = re.compile(r"[\s_\-.,;:/()\[\]]+")
# Where a row of build.csv belongs, by its kind. Common practice, no source.
BUILD_KINDS: dict[str, tuple[str, ...]] = {
    "substrate": ("substrate", "layer", "bed", "soil", "sand", "gravel", "cap"),
    "hardscape": ("hardscape", "rock", "stone", "stones", "rocks", "wood", "root", "roots"),
    "plant": ("plant", "plants", "planting", "stem", "stems"),
    "water": ("water", "source water", "tap water"),
    "salt": ("salt", "dose", "doses", "liquid"),
    "equipment": ("equipment", "device"),
}
_WORDS_ALIKE = (("towards", "toward", "near", "facing", "to the window", "window side", "by the window", "at the window", "close"),
                ("away", "far", "away from the window", "room side", "off the window"), ("none", "no", "nothing", "-", "without", "0"),
                ("yes", "true", "y"), ("shared", "common", "one set"), ("own", "separate", "own set"))


def flat(text: str) -> str:
    """A word in lower case without blanks and marks.

    >>> flat("Water temp."), flat("NO3-N")
    ('watertemp', 'no3n')
    """
    return _MARKS.sub("", unicodedata.normalize("NFKC", text).casefold())


def spaced(text: str) -> str:
    """A text in lower case, with single blanks between its words.

    >>> spaced("  Shelf_2,  place 1 ")
    'shelf 2 place 1'
    """
    return _MARKS.sub(" ", unicodedata.normalize("NFKC", text).casefold()).strip()


@lru_cache(maxsize=1024)
def quantity_factor(quantity: str) -> str:
    """The factor that a quantity of readings.csv tells about; empty where it is none.

    >>> quantity_factor("Temp_C"), quantity_factor("EC"), quantity_factor("haze")
    ('temperature', 'conductivity', '')
    """
    word = flat(quantity)
    return next((key for key, words in QUANTITIES.items() if word in words or word == flat(key)), "")


def is_same_factor(one: str, other: str) -> bool:
    """Whether two quantities of readings.csv tell about one factor.

    >>> is_same_factor("Temp_C", "temperature"), is_same_factor("haze", "haze")
    (True, False)
    """
    factor = quantity_factor(one)
    return bool(factor) and factor == quantity_factor(other)


def kind_of(text: str) -> str:
    """What kind of chore or event a text tells of; empty where it is none of those that count here.

    >>> kind_of("water_change"), kind_of("Top-up"), kind_of("lamp failed"), kind_of("Planted")
    ('water_change', 'top_up', 'light', 'planting')
    """
    words = spaced(text)
    return next((kind for kind, pattern in _KINDS if re.search(pattern, words)), "")


def build_kind(kind: str, material: str = "") -> str:
    """Which of the parts of a tank a row of build.csv belongs to; its kind says so, else its material.

    >>> build_kind("layer"), build_kind("", "river sand"), build_kind("Plants")
    ('substrate', 'substrate', 'plant')
    """
    word = spaced(kind)
    for name, words in BUILD_KINDS.items():
        if word in words:
            return name
    if word:
        return ""
    named = set(spaced(material).split())
    return next((name for name, words in BUILD_KINDS.items() if named & set(words)), "")


def alike(text: str) -> str:
    """A text as it is compared: case, blanks, marks and a few words that mean the same do not count.

    >>> alike("Towards the window") == alike("near"), alike("Lamp  A") == alike("lamp a"), alike("lamp A") == alike("lamp B")
    (True, True, False)
    """
    words = spaced(text)
    for same in _WORDS_ALIKE:
        if words in same or words.removesuffix(" the window").removesuffix(" window") in same:
            return same[0]
    return words
