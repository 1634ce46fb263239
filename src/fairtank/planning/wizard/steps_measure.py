"""The questions about what is measured: the primary measure, the direction, the level, the smallest difference that matters."""

from fairtank import registry
from fairtank.errors import InputError
from fairtank.planning.wizard.margins import margin_of
from fairtank.planning.wizard.step import Choice, Step, Told, Value

SECTION = "What is measured"
SMALLEST_STEP = 0.0001
LARGEST_STEP = 3.0  # a larger one on the scale of cover or amounts was meant otherwise, and is refused by the judging too
PICTURED = ("algae_cover", "plant_cover")
# Where reference tanks may stand, and a difference that may matter: habits, no source. The level is asked only where it is needed.
USUAL = {
    "algae_cover": (10.0, 5.0), "plant_cover": (30.0, 10.0), "carpet_cover": (40.0, 10.0), "plant_area": (400.0, 80.0),
    "algae_area": (80.0, 40.0), "canopy_height": (15.0, 3.0), "plant_growth_rate": (0.0, 0.01), "plant_lightness": (0.0, 3.0),
    "plant_redness": (0.0, 3.0), "plant_yellowness": (0.0, 3.0), "algae_spots": (0.0, 5.0), "water_tint": (0.0, 3.0), "haze": (0.0, 5.0),
}  # fmt: skip
_FIRST = ("algae_cover", "plant_cover", "carpet_cover", "canopy_height", "algae_spots")
_MOST_SHOWN = 5
# What a keeper has to know of a measure to choose it, where its own summary speaks of frames, zones and colour spaces.
_PLAIN = {
    "carpet_cover": "Share of the floor that plants cover, where you marked it in the photo.",
    "canopy_height": "How high the plants stand: nine tenths of the places with plants stay below, in cm as seen at the front glass.",
    "plant_area": "Area that plants take in the photo, as if all of them stood at the front glass.",
    "algae_area": "Area that algae take in the photo, as if all of them were on the front glass.",
    "plant_growth_rate": "How fast one plant grows between trims: by which share of itself a day, where you marked it in the photo.",
    "plant_lightness": "How light the plants look: 0 is black, 100 is white.",
    "plant_redness": "How red the plants look: below zero is green, above zero is red.",
    "plant_yellowness": "How yellow the plants look: pale, hungry leaves read higher.",
    "water_tint": "How far the water has coloured the backdrop since the tank's reference photo; about 1 is just visible side by side.",
    "haze": "How much of the contrast the water has taken since the tank's reference photo, in percent.",
}
EXPECT = (Choice("less", "less of it"), Choice("more", "more of it"), Choice("either", "either way"))
COURSE = (Choice("at_once", "soon, and then it stays"), Choice("builds_up", "it builds up over weeks"))


def measures() -> dict[str, registry.Entry]:
    """The measures that are taken from photos, by key; those most asked for come first."""
    known = {entry.key: entry for entry in registry.entries("measure")}
    return {key: known[key] for key in (*_FIRST, *(key for key in known if key not in _FIRST)) if key in known}


def primary_entry(told: Told) -> registry.Entry | None:
    """The measure that is judged first; None where it was not answered yet."""
    return measures().get(told.text("primary"))


def scale_of(told: Told) -> str:
    """The scale on which the primary measure is judged."""
    entry = primary_entry(told)
    return entry.scale if entry else "identity"


def unit_of(told: Told) -> str:
    """The unit in which the primary measure is told."""
    entry = primary_entry(told)
    return entry.unit if entry else ""


def difference_unit(told: Told) -> str:
    """The unit of a difference of the primary measure: percentage points for a cover."""
    unit = unit_of(told)
    return "percentage points" if unit == "%" else unit


def _choices(told: Told) -> tuple[Choice, ...]:
    return tuple(Choice(entry.key, _words(entry), _PLAIN.get(entry.key, entry.summary)) for entry in measures().values())


def _words(entry: registry.Entry) -> str:
    return entry.title[:1].lower() + entry.title[1:]


def _others(told: Told) -> tuple[Choice, ...]:
    return tuple(one for one in _choices(told) if one.key != told.text("primary"))


def _other_default(told: Told) -> tuple[str, ...]:
    return tuple(key for key in ("algae_cover", "plant_cover") if key != told.text("primary"))[:1]


def _level_span(told: Told) -> tuple[float, float]:
    """Where a level may lie: what the measure can be; a cover that is judged on its own scale reaches neither end."""
    low, high = _span(told)
    return (0.5, 99.5) if scale_of(told) == "logit" else (low, high)


def _margin_span(told: Told) -> tuple[float, float]:
    """How far apart two values of the measure can lie."""
    low, high = _span(told)
    return SMALLEST_STEP, high - low


def _span(told: Told) -> tuple[float, float]:
    entry = primary_entry(told)
    return entry.span if entry else (0.0, 1e5)


def _level_check(value: Value, told: Told) -> str:
    return "" if float(str(value)) > 0 else "The level must lie above 0."


def _margin_check(value: Value, told: Told) -> str:
    try:
        found = margin_of(scale_of(told), told.number("level"), float(str(value)), told.text("expect"))
    except InputError as error:
        return f"That difference leads out of what {_title(told)} can be: accepted is {error.accepted}. Type a smaller one."
    if scale_of(told) != "identity" and found.margin > LARGEST_STEP:
        return "That is more than twenty times as much or as little, and any trial would miss it. Type a smaller difference."
    return ""


def _usual_margin(told: Told) -> float:
    """A difference that may matter: at most half of the level, so that a tank can lie that much below it."""
    usual = USUAL.get(told.text("primary"), (10.0, 5.0))[1]
    return usual if scale_of(told) == "identity" else min(usual, told.number("level") / 2)


def _title(told: Told) -> str:
    entry = primary_entry(told)
    return _words(entry) if entry else ""


MEASURE_STEPS = (
    Step("primary", SECTION, "What decides? One measure, chosen now.", "choice", choices=_choices, default=lambda told: "algae_cover",
         most_shown=_MOST_SHOWN,
         help="Whoever looks at many measures finds something in one of them. One decides; the others are shown beside it. All are read "
         "from your photos."),
    Step("others", SECTION, "Which others beside it? Several with commas, or none.", "several", choices=_others,
         most_shown=_MOST_SHOWN - 1,
         default=_other_default, help="They are judged too, but they do not decide."),
    Step("expect", SECTION, "What do you expect of {measure} with the change?", "choice", choices=lambda told: EXPECT,
         default=lambda told: "either", fill=lambda told: {"measure": _title(told)},
         help="Said before the start. The interval looks both ways in any case."),
    Step("course", SECTION, "Will it be there soon, or build up?", "choice", choices=lambda told: COURSE, default=lambda told: "at_once",
         help="Soon: the mean over all days is compared. Builds up: how fast it rises per day."),
    Step("level", SECTION, "Where will {measure} stand in the reference tanks? A guess will do.", "number", span=_level_span, unit=unit_of,
         default=lambda told: USUAL.get(told.text("primary"), (10.0, 5.0))[0], asked_when=lambda told: scale_of(told) != "identity",
         check=_level_check, fill=lambda told: {"measure": _title(told)},
         picture=lambda told: told.text("primary") if told.text("primary") in PICTURED else "",
         help="It says what a difference means: from 2 % to 7 % is a large step, from 50 % to 55 % a small one."),
    Step("margin", SECTION, "Which difference is the smallest that matters to you?", "number", span=_margin_span, unit=difference_unit,
         default=_usual_margin, check=_margin_check,
         picture=lambda told: told.text("primary") if told.text("primary") in PICTURED else "",
         help="What you would not bother about is smaller. A finding is held against it: a difference can be real and still not matter. "
         "The picture shows what covers look like."),
)
