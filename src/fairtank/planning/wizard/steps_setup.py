"""The questions about what goes into the glass, in a short form; they may be skipped as a whole."""

import re
from collections.abc import Callable

from fairtank.planning.wizard.step import Choice, Step, Told, Value
from fairtank.science.bed import MATERIALS

SECTION = "What goes into the glass"
UNDER = "pond_soil_under_sand"
BEDS = ("silica_sand", "fine_gravel", "calcined_clay", "aquatic_soil")
LEAST_SIDE_CM, HIGHEST_CM, THICKEST_MM = 10.0, 100.0, 15.0
HARDEST_DEGREES = 40.0
LONGEST_PLANTS, MOST_PLANTS, MOST_PIECES = 300, 12, 200
MOST_DOSES = 14.0
_PLANT = re.compile(r"(.*?\S)\s+([0-9]{1,3})", re.ASCII)


def bed_choices(told: Told) -> tuple[Choice, ...]:
    """Beds of known density, soil under sand, and none."""
    own = tuple(Choice(key, MATERIALS[key].title) for key in BEDS)
    return (*own, Choice(UNDER, "pond soil under sand"), Choice("none", "no bed"))


def plants_from(text: str) -> tuple[tuple[str, int], ...]:
    """Plants with their pieces per tank: `green stems 8, carpet plant 4`; empty where the text is none of that.

    >>> plants_from("green stems 8, carpet plant 4"), plants_from("moss")
    ((('green stems', 8), ('carpet plant', 4)), ())
    """
    found = []
    for part in (part.strip() for part in text.split(",")):
        match = _PLANT.fullmatch(part)
        if match is None or not 1 <= int(match[2]) <= MOST_PIECES:
            return ()
        found.append((match[1], int(match[2])))
    names = [name.casefold() for name, _ in found]
    return tuple(found) if len(set(names)) == len(names) <= MOST_PLANTS else ()


def _plants_check(value: Value, told: Told) -> str:
    if str(value).casefold() == "none" or plants_from(str(value)):
        return ""
    return f"Type each plant once with its pieces per tank (1 to {MOST_PIECES}), such as: green stems 8, carpet plant 4. Or type none."


def _size_check(value: Value, told: Told) -> str:
    length_cm, width_cm, height_cm, glass_mm = (float(one) for one in value) if isinstance(value, tuple) else (0.0,) * 4
    if min(length_cm, width_cm, height_cm) < LEAST_SIDE_CM or height_cm > HIGHEST_CM:
        return f"Every side is at least {LEAST_SIDE_CM:g} cm here and the height at most {HIGHEST_CM:g}. Type length, width, height, glass."
    return "" if glass_mm <= THICKEST_MM else f"Glass of {glass_mm:g} mm is not planned here; at most {THICKEST_MM:g}. Is it in mm?"


def _bed_check(value: Value, told: Told) -> str:
    size = told.numbers("size")
    room = (size[2] if len(size) == 4 else 10.0) / 2
    return "" if float(str(value)) <= room else f"That is more than half of the tank's height. Type at most {room:g}."


def _lamp_numbers(told: Told) -> tuple[int, ...]:
    """Watts and hours; where hours of light are what the change moves, also those of the changed tanks."""
    return (3,) if "photoperiod" in told.names("moves") else (2,)


def _water_numbers(told: Told) -> tuple[int, ...]:
    """KH, GH and the share changed; where water changes are what the change moves, also that of the changed tanks."""
    return (4,) if "water_change" in told.names("moves") else (3,)


def _hours_check(value: Value, told: Told) -> str:
    hours = max((float(one) for one in value[1:]), default=0.0) if isinstance(value, tuple) else 0.0
    return "" if hours <= 24 else f"A day has 24 hours; that says {hours:g}. Type watts first, then hours, such as 18, 8."


def _water_check(value: Value, told: Told) -> str:
    degrees = max((float(one) for one in value[:2]), default=0.0) if isinstance(value, tuple) else 0.0
    return "" if degrees <= HARDEST_DEGREES else f"KH and GH of at most {HARDEST_DEGREES:g} are planned here. Type KH, GH, then per cent."


def _doses_check(value: Value, told: Told) -> str:
    without, with_change, a_week = (float(one) for one in value) if isinstance(value, tuple) else (0.0,) * 3
    if max(without, with_change) <= 0 or a_week <= 0:
        return "One of the two doses and the doses a week must be above 0. Type mL without the change, mL with it, doses a week."
    return "" if a_week <= MOST_DOSES else f"At most {MOST_DOSES:g} doses a week are planned here. Type mL, mL, doses a week."


def _is_moved(key: str) -> Callable[[Told], bool]:
    """Whether the setup is asked for and the change is meant to move that factor."""
    return lambda told: _is_wanted(told) and key in told.names("moves")


def _is_wanted(told: Told) -> bool:
    return told.says("setup")


SETUP_STEPS = (
    Step("setup", SECTION, "Tell now what goes into the glass? A few short questions.", "yes_no", default=lambda told: True,
         help="It makes setup.toml, from which fairtank build plans every gram, the weight on the stand and the shopping list. "
         "You can also write it later."),
    Step("size", SECTION, "One tank: length, width and height in cm, glass in mm?", "numbers", low=2, high=300, counts=lambda told: (4,),
         default=lambda told: (45.0, 28.0, 36.0, 6.0), asked_when=_is_wanted, check=_size_check,
         help="Outer sizes; all tanks alike. The water line is taken 3 cm below the top edge. fairtank build tells weights; whether a "
         "stand or a pane carries them is for its maker or a glazier to say."),
    Step("bed", SECTION, "Which bed?", "choice", choices=bed_choices, default=lambda told: "silica_sand",
         asked_when=_is_wanted, help="Its densities are usual values; correct them in setup.toml by your bag."),
    Step("changed_bed", SECTION, "And which bed with the change?", "choice", choices=bed_choices, default=lambda told: UNDER,
         asked_when=lambda told: _is_wanted(told) and "substrate_kind" in told.names("moves"), help="In the tanks that get the change."),
    Step("bed_cm", SECTION, "How deep is the bed?", "number", low=1, high=30, unit=lambda told: "cm", default=lambda told: 5,
         asked_when=lambda told: _is_wanted(told) and {told.text("bed"), told.text("changed_bed")} - {"", "none"} != set(),
         check=_bed_check,
         help="On the whole. Of soil under sand the lower two fifths are soil."),
    Step("plants", SECTION, "Plants and pieces in each tank?", "text", longest=LONGEST_PLANTS, check=_plants_check,
         default=lambda told: "green stems 8, carpet plant 4", asked_when=_is_wanted,
         help="Such as: green stems 8, carpet plant 4. As many in each tank. Or none."),
    Step("lamp", SECTION, "The lamp of one tank: watts, hours a day{changed}?", "numbers", low=0.5, high=1000, counts=_lamp_numbers,
         default=lambda told: (18.0, 8.0) if _lamp_numbers(told) == (2,) else None, asked_when=_is_wanted, check=_hours_check,
         fill=lambda told: {"changed": ", hours with the change" if _lamp_numbers(told) == (3,) else ""},
         help="Numbers with commas: 18, 8; with other hours for the change: 18, 7, 10."),
    Step("water", SECTION, "The water: KH, GH, % changed each week{changed}?", "numbers", low=0, high=100, counts=_water_numbers,
         default=lambda told: (4.0, 7.0, 30.0) if _water_numbers(told) == (3,) else None, asked_when=_is_wanted, check=_water_check,
         fill=lambda told: {"changed": ", % with the change" if _water_numbers(told) == (4,) else ""},
         help="KH and GH in German degrees, as a drop test tells them. Water is changed in every tank on the same day."),
    Step("flow", SECTION, "The filter: L/h without the change, and L/h with it?", "numbers", low=0, high=10_000,
         counts=lambda told: (2,), asked_when=_is_moved("flow"), help="As measured, or as its maker says: 200, 400."),
    Step("doses", SECTION, "Fertiliser for one tank: mL a dose without the change, mL with it, doses a week?", "numbers", low=0, high=1000,
         counts=lambda told: (3,), asked_when=_is_moved("doses"), check=_doses_check,
         help="Such as 2, 1, 3; 0 where there is none. What it holds can be put into setup.toml."),
    Step("device", SECTION, "Is the change a device in or on the tank?", "yes_no", default=lambda told: False,
         asked_when=lambda told: _is_wanted(told) and not told.names("moves"),
         help="A rod, a pump, a lid: it then stands in setup.toml, for the changed tanks. Its watts can be put in there."),
)
