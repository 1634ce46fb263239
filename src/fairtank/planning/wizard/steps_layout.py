"""The questions about tanks, weeks and money, the design they allow, and when it starts."""

from datetime import date, timedelta

from fairtank.planning.wizard.designs import (
    FEWEST_DAYS_AFTER,
    FEWEST_RUN_IN_DAYS,
    MOST_TANKS,
    RUN_IN_DAYS,
    chosen,
    design_choices,
    last_day,
    proposed_design,
)
from fairtank.planning.wizard.starting import long_past_words
from fairtank.planning.wizard.step import Choice, Step, Told, Value

SECTION = "Tanks, weeks and money"
FEWEST_FOR_TWO_EACH = 4
ALONE = " One tank per arm shows pictures, but cannot tell by itself what the change did."
SATURDAY, DAYS_TO_PREPARE = 5, 14
PHOTO_RULES = (Choice("daily", "every day"), Choice("third", "every third day"), Choice("weekly", "once a week"))


def _next_saturday(told: Told) -> date:
    """The first Saturday that leaves two weeks to prepare."""
    earliest = told.today + timedelta(days=DAYS_TO_PREPARE)
    return earliest + timedelta(days=(SATURDAY - earliest.weekday()) % 7)


def _run_in_check(value: Value, told: Told) -> str:
    most = last_day(told) - FEWEST_DAYS_AFTER
    return "" if int(str(value)) <= most else f"Then fewer than {FEWEST_DAYS_AFTER} days are left for the change. Type at most {most}."


def _past_words(told: Told) -> str:
    start = told.answers.get("start")
    return long_past_words(start, told.today) if isinstance(start, date) else ""


def _past_check(value: Value, told: Told) -> str:
    return "" if value is True else "Then go back to the date and give the day on which all tanks are filled or start."


def _design_default(told: Told) -> str:
    """What the template names by its kind, where it is open; else what is proposed."""
    wanted = str(told.template.get("design_kind", ""))
    keys = [one.key for one in design_choices(told)]
    return next((key for key in keys if wanted and key.rsplit("_", 1)[0] == wanted), proposed_design(told))


LAYOUT_STEPS = (
    Step("tanks", SECTION, "How many tanks can you give to it?", "whole", low=2, high=MOST_TANKS, default=lambda told: 2,
         help="Tanks that can be set up alike. One tank per arm cannot tell by itself what the change did; three or more per arm can."),
    Step("weeks", SECTION, "How many weeks?", "whole", low=2, high=52, default=lambda told: 6, help="The whole trial, from day 0."),
    Step("money", SECTION, "Money at hand for more tanks? 0: none.", "number", default=lambda told: 0,
         help="In your own currency. It is only used to propose larger designs."),
    Step("tank_cost", SECTION, "What does one more tank cost, with all that belongs to it?", "number", low=1,
         asked_when=lambda told: told.number("money") > 0, help="Glass, lamp, filter, bed, plants."),
    Step("design", SECTION, "Which design?{alone}", "choice", choices=design_choices, default=_design_default,
         fill=lambda told: {"alone": ALONE if told.number("tanks") < FEWEST_FOR_TWO_EACH else ""},
         help="Beside each stands what it would notice in 80 of 100 trials, if tanks drift apart as invented ones do in a simulation."),
    Step("run_in_days", SECTION, "For how many days are all tanks alike first?", "whole", low=FEWEST_RUN_IN_DAYS, high=365,
         default=lambda told: min(RUN_IN_DAYS, last_day(told) - FEWEST_DAYS_AFTER),
         asked_when=lambda told: chosen(told).kind == "run_in", check=_run_in_check,
         help="At least ten photographed days; two weeks are a good size."),
    Step("start", SECTION, "Day 0 is which date?", "date", default=_next_saturday, help="The day on which all tanks are filled or start."),
    Step("start_past", SECTION, "{asked}", "yes_no", asked_when=lambda told: bool(_past_words(told)), check=_past_check,
         fill=lambda told: {"asked": _past_words(told)},
         help="Yes: its plan is written down afterwards, and a seal of today cannot show that it was fixed before the start. No: go back "
         "and correct the date."),
    Step("photo_rule", SECTION, "How often is every tank photographed?", "choice", choices=lambda told: PHOTO_RULES,
         default=lambda told: "daily", help="All tanks within the same hour, each time. It goes into the schedule."),
    Step("blinded", SECTION, "Shall whoever scores photos not know the arms?", "yes_no", default=lambda told: True,
         help="Knowing them sways eyes. Cards with codes hide them: fairtank cards. "
              "If all is measured off the photos and nobody scores, say no: then the pages tell which tank gets the change."),
)
