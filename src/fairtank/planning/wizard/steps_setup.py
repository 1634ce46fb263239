"""The questions about what goes into the glass, in a short form; they may be skipped as a whole."""

import re
from collections.abc import Callable

from fairtank.planning.wizard.hours_said import HOURS_OF_A_DAY, hours_said
from fairtank.planning.wizard.step import Choice, Part, Step, Told, Value
from fairtank.planning.wizard.steps_question import moved, moved_words
from fairtank.science.bed import MATERIALS

SECTION = "What goes into the glass"
UNDER = "pond_soil_under_sand"
BEDS = ("silica_sand", "fine_gravel", "calcined_clay", "aquatic_soil")
LEAST_SIDE_CM, LONGEST_CM, HIGHEST_CM, THINNEST_MM, THICKEST_MM = 10.0, 300.0, 100.0, 2.0, 15.0
USUAL_HOURS = 8.0
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


def _bed_check(value: Value, told: Told) -> str:
    size = told.numbers("size")
    room = (size[2] if len(size) == 4 else 10.0) / 2
    return "" if float(str(value)) <= room else f"That is more than half of the tank's height. Type at most {room:g}."


def _size_parts(told: Told) -> tuple[Part, ...]:
    return (Part("length", "cm", LEAST_SIDE_CM, LONGEST_CM), Part("width", "cm", LEAST_SIDE_CM, LONGEST_CM),
            Part("height", "cm", LEAST_SIDE_CM, HIGHEST_CM), Part("glass", "mm", THINNEST_MM, THICKEST_MM))


def _lamp_parts(told: Told) -> tuple[Part, ...]:
    """Watts and hours; where hours of light are what the change moves, also those of the changed tanks."""
    parts = (Part("lamp", "W", 0.5, 1000), Part("light", "h a day", 0.5, HOURS_OF_A_DAY))
    return (*parts, Part("light with the change", "h a day", 0, HOURS_OF_A_DAY)) if "photoperiod" in moved(told) else parts


def _lamp_default(told: Told) -> tuple[float, ...] | None:
    """Usual numbers; where hours of light are what the change moves, those that its words say, else none."""
    if "photoperiod" not in moved(told):
        return 18.0, USUAL_HOURS
    changed, reference = hours_said(told.text("change")), hours_said(told.text("reference")) or USUAL_HOURS
    return None if changed is None or changed == reference else (18.0, reference, changed)


def _lamp_check(value: Value, told: Told) -> str:
    """What the words of the change say and what the tanks get must be the same."""
    numbers = value if isinstance(value, tuple) else ()
    for key, whose, place in (("reference", "the other tanks", 1), ("change", "the tanks with the change", 2)):
        said = hours_said(told.text(key)) if len(numbers) == 3 else None
        if said is not None and said != numbers[place]:
            return (f"“{told.text(key)}” says {said:g} h for {whose}, and this says {float(numbers[place]):g} h. Type watts, hours, hours "
                    "with the change; or change those words first.")
    return ""


def _water_parts(told: Told) -> tuple[Part, ...]:
    """KH, GH and the share changed; where water changes are what the change moves, also that of the changed tanks."""
    parts = (Part("KH", "dKH", 0, HARDEST_DEGREES), Part("GH", "dGH", 0, HARDEST_DEGREES), Part("changed each week", "%", 0, 100))
    return (*parts, Part("changed each week with the change", "%", 0, 100)) if "water_change" in moved(told) else parts


def _flow_parts(told: Told) -> tuple[Part, ...]:
    return Part("without the change", "L/h", 0, 10_000), Part("with it", "L/h", 0, 10_000)


def _dose_parts(told: Told) -> tuple[Part, ...]:
    return (Part("a dose without the change", "mL", 0, 1000), Part("a dose with it", "mL", 0, 1000),
            Part("doses a week", "", 0.1, MOST_DOSES))


def _doses_check(value: Value, told: Told) -> str:
    without, with_change, _ = (float(one) for one in value) if isinstance(value, tuple) else (0.0,) * 3
    if max(without, with_change) > 0:
        return ""
    return "One of the two doses must be above 0. Type mL without the change, mL with it, doses a week."


def alike_words(told: Told) -> str:
    """What the change is meant to move and what yet is the same for all tanks, as it was answered; empty where nothing is."""
    pairs = {"photoperiod": told.numbers("lamp")[1:], "water_change": told.numbers("water")[2:], "flow": told.numbers("flow"),
             "doses": told.numbers("doses")[:2], "substrate_kind": (told.text("bed"), told.text("changed_bed"))}
    return moved_words(tuple(key for key in moved(told) if len(own := pairs.get(key, ())) == 2 and own[0] and own[0] == own[1]))


def _alike_check(value: Value, told: Told) -> str:
    return "" if value is True else "Then go back to that answer and give what the tanks with the change get of it."


def _is_moved(key: str) -> Callable[[Told], bool]:
    """Whether the setup is asked for and the change is meant to move that factor."""
    return lambda told: _is_wanted(told) and key in moved(told)


def _is_wanted(told: Told) -> bool:
    return told.says("setup")


SETUP_STEPS = (
    Step("setup", SECTION, "Tell now what goes into the glass? A few short questions.", "yes_no", default=lambda told: True,
         help="It makes setup.toml, from which fairtank build plans every gram, the weight on the stand and the shopping list. "
         "You can also write it later."),
    Step("size", SECTION, "One tank: length, width and height in cm, glass in mm?", "numbers", parts=_size_parts,
         default=lambda told: (45.0, 28.0, 36.0, 6.0), asked_when=_is_wanted,
         help="Such as 45, 28, 36, 6. Outer sizes; all tanks alike. The water line is taken 3 cm below the top edge. fairtank build tells "
         "weights; whether a stand or a pane carries them is for its maker or a glazier to say."),
    Step("bed", SECTION, "Which bed?", "choice", choices=bed_choices, default=lambda told: "silica_sand",
         asked_when=_is_wanted, help="Its densities are usual values; correct them in setup.toml by your bag."),
    Step("changed_bed", SECTION, "And which bed with the change?", "choice", choices=bed_choices, default=lambda told: UNDER,
         asked_when=lambda told: _is_wanted(told) and "substrate_kind" in moved(told), help="In the tanks that get the change."),
    Step("bed_cm", SECTION, "How deep is the bed?", "number", low=1, high=30, unit=lambda told: "cm", default=lambda told: 5,
         asked_when=lambda told: _is_wanted(told) and {told.text("bed"), told.text("changed_bed")} - {"", "none"} != set(),
         check=_bed_check,
         help="On the whole. Of soil under sand the lower two fifths are soil."),
    Step("plants", SECTION, "Plants and pieces in each tank?", "text", longest=LONGEST_PLANTS, check=_plants_check,
         default=lambda told: "green stems 8, carpet plant 4", asked_when=_is_wanted,
         help="Such as: green stems 8, carpet plant 4. As many in each tank. Or none."),
    Step("lamp", SECTION, "The lamp of one tank: watts, hours a day{changed}?", "numbers", parts=_lamp_parts,
         default=_lamp_default, asked_when=_is_wanted, check=_lamp_check,
         fill=lambda told: {"changed": ", hours with the change" if len(_lamp_parts(told)) == 3 else ""},
         help="Numbers with commas: 18, 8; with other hours for the change: 18, 7, 10."),
    Step("water", SECTION, "The water: KH, GH, % changed each week{changed}?", "numbers", parts=_water_parts,
         default=lambda told: (4.0, 7.0, 30.0) if len(_water_parts(told)) == 3 else None, asked_when=_is_wanted,
         fill=lambda told: {"changed": ", % with the change" if len(_water_parts(told)) == 4 else ""},
         help="KH and GH in German degrees, as a drop test tells them. Water is changed in every tank on the same day."),
    Step("flow", SECTION, "The filter: L/h without the change, and L/h with it?", "numbers", parts=_flow_parts,
         asked_when=_is_moved("flow"), help="As measured, or as its maker says: 200, 400."),
    Step("doses", SECTION, "Fertiliser for one tank: mL a dose without the change, mL with it, doses a week?", "numbers",
         parts=_dose_parts, asked_when=_is_moved("doses"), check=_doses_check,
         help="Such as 2, 1, 3; 0 where there is none. What it holds can be put into setup.toml."),
    Step("alike", SECTION, "The change is meant to move {named}, and all tanks get the same of it. Is that meant?", "yes_no",
         asked_when=lambda told: _is_wanted(told) and bool(alike_words(told)), fill=lambda told: {"named": alike_words(told)},
         check=_alike_check,
         help="Yes: such as light at other hours of the day, or a fertiliser of another kind; write it down with what each tank has. "
         "No: go back and correct it."),
    Step("device", SECTION, "Is the change a device in or on the tank?", "yes_no", default=lambda told: False,
         asked_when=lambda told: _is_wanted(told) and not moved(told),
         help="A rod, a pump, a lid: it then stands in setup.toml, for the changed tanks. Its watts can be put in there."),
)
