"""The questions about what could spoil fairness, each asked once; the answers become rows of factors.csv and places of the units."""

from fairtank.planning.wizard.designs import units_of
from fairtank.planning.wizard.step import Choice, Step, Told, Value
from fairtank.planning.wizard.steps_question import moved

SECTION = "What could spoil it"
WINDOW = (Choice("none", "no daylight reaches them"), Choice("alike", "the same for all"), Choice("some", "some get more of it"))
STOCK = (Choice("dealt", "one batch, dealt out evenly"), Choice("per_tank", "bought for each tank by itself"),
         Choice("mixed", "from several places, mixed and dealt out"))


def per_unit(told: Told) -> tuple[int, ...]:
    """One number for all units, or one for each."""
    return 1, len(units_of(told))


def _places_check(value: Value, told: Told) -> str:
    units = len(units_of(told))
    if not isinstance(value, tuple):
        return ""
    places = [float(one) for one in value]
    if any(not one.is_integer() or one > units for one in places):
        return f"There are {units} tanks. Type their numbers, such as 1, 2."
    return "If all tanks get more of it, it is the same for all: go back and say so." if len(set(places)) == units else ""


FAIRNESS_STEPS = (
    Step("shelves", SECTION, "On how many shelves or stands will they be?", "whole", low=1, high=12, default=lambda told: 1,
         check=lambda value, told: "" if int(str(value)) <= len(units_of(told)) else
         f"That is more than there are tanks ({len(units_of(told))}).",
         help="Each shelf becomes a block, so that the lot can give every shelf both arms."),
    Step("window", SECTION, "Does daylight reach them?", "choice", choices=lambda told: WINDOW, default=lambda told: "alike",
         help="A window is the commonest reason for algae in one tank and not in the next."),
    Step("window_tanks", SECTION, "Which ones get more? Numbers from left to right, with commas.", "numbers", low=1, high=24,
         counts=lambda told: tuple(range(1, len(units_of(told)) + 1)), default=lambda told: (1.0,),
         asked_when=lambda told: told.text("window") == "some", check=_places_check, help="1 is the tank furthest to the left."),
    Step("lamp_age", SECTION, "Months the lamps have been in use? One number, or one per tank.", "numbers", low=0, high=240,
         counts=per_unit, default=lambda told: (0.0,), unit=lambda told: "months",
         help="Lamps fade. 0 is new; with unlike lamps: 0, 0, 12 ..."),
    Step("filter_age", SECTION, "Weeks the filters have run? One number, or one per tank.", "numbers", low=0, high=1000,
         counts=per_unit, default=lambda told: (0.0,), unit=lambda told: "weeks", help="0 is new and without bacteria."),
    Step("stock", SECTION, "Where do the plants come from?", "choice", choices=lambda told: STOCK, default=lambda told: "dealt",
         asked_when=lambda told: "plant_stock" not in moved(told),
         help="One batch, sorted by size and dealt out like cards, gives every tank its share of weak ones."),
    Step("planted_by", SECTION, "Who plants them?", "text", longest=80, default=lambda told: "one person, all on one day",
         help="Two people plant in two ways. If there are two, let each plant half of every tank."),
    Step("shared_water", SECTION, "Does water flow from one tank into another?", "yes_no", default=lambda told: False,
         help="A common filter or sump makes one tank of them: whatever the change does to the water, it does to all."),
    Step("disclosure", SECTION, "Was anything given to you for it, or do you sell any of it?", "text", longest=400,
         default=lambda told: "nothing given, nothing sold", help="It stands in the report, so that nobody needs to ask."),
)
