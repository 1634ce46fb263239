"""The first questions: the change, the reference, what is asked and why, and what the change is meant to move."""

from fairtank.planning.evenness.spoken import spoken_of
from fairtank.planning.wizard.step import Choice, Step, Told

SECTION = "The question"
LONGEST_TITLE = 100
# Keys of factors with the words in which a keeper would name them; none of them: something that the list does not hold.
MOVED = (
    ("photoperiod", "hours of light"), ("light_at_bed", "brightness"), ("doses", "fertiliser"), ("flow", "flow"),
    ("substrate_kind", "the bed"), ("water_change", "water changes"), ("plant_stock", "plant stock"), ("co2", "carbon dioxide"),
    ("lamp_model", "the lamp"), ("filter_model", "the filter"), ("temperature", "temperature"), ("source_water", "the water"),
    ("fauna", "animals"),
)  # fmt: skip
# What is there from the first day on cannot start later, nor change places.
BUILT_IN = ("substrate_kind", "plant_stock")
# Of these the setup is asked for each arm by itself: words that speak of one and a change that does not move it cannot both be right.
OF_EACH_ARM = ("photoperiod", "doses", "flow", "substrate_kind", "water_change")


def moved(told: Told) -> tuple[str, ...]:
    """Factors that the change is meant to move: those that were named, and those that its words speak of where the keeper said so.

    >>> moved(Told({"change": "7 h of light", "moves": (), "moves_too": True}))
    ('photoperiod',)
    """
    return (*told.names("moves"), *(unnamed(told) if told.says("moves_too") else ()))


def unnamed(told: Told) -> tuple[str, ...]:
    """Factors that the words of the change or the reference speak of, and that were not named as what the change moves."""
    return tuple(key for key in _spoken(told) if key not in told.names("moves"))


def moved_words(keys: tuple[str, ...]) -> str:
    """Factors as a keeper would name them, in a row."""
    words = dict(MOVED)
    *first, last = [words[key] for key in keys] or [""]
    return f"{', '.join(first)} and {last}" if first else last


def is_built_in(told: Told) -> bool:
    """Whether the change is in the tank from the start, so that neither a run-in nor a swap is possible."""
    return any(key in BUILT_IN for key in moved(told))


def _spoken(told: Told) -> tuple[str, ...]:
    return tuple(key for key in spoken_of((told.text("change"), told.text("reference"))) if key in OF_EACH_ARM)


def _title(told: Told) -> str:
    change = told.text("change")
    return (change[:1].upper() + change[1:])[:LONGEST_TITLE].strip()


def _question(told: Told) -> str:
    return f"Does it matter whether a tank gets {told.text('change')} or {told.text('reference')}?"


QUESTION_STEPS = (
    Step("change", SECTION, "What is the one change that some tanks get?", "text", longest=200,
         help="One thing only: “ten hours of light”. What it brings along (a brighter lamp is warmer) counts as part of it."),
    Step("reference", SECTION, "What do the other tanks get instead?", "text", longest=200, default=lambda told: "no change",
         help="What you would do otherwise: “seven hours of light”. All else is alike in all tanks."),
    Step("title", SECTION, "A short title?", "text", longest=LONGEST_TITLE, default=_title, help="It stands on the report."),
    Step("question", SECTION, "The question as viewers will read it?", "text", longest=600, default=_question,
         help="One sentence that the result can answer."),
    Step("rationale", SECTION, "Why could it matter? (may stay empty)", "text", longest=1000, may_be_empty=True,
         help="What you saw or read that makes you ask. Written before the start it cannot be made up afterwards."),
    Step("moves", SECTION, "Which of these is the change meant to move? Several with commas.", "several",
         choices=lambda told: tuple(Choice(key, words) for key, words in MOVED), most_shown=8,
         default=_spoken, help="What you name here may differ between the arms. All else should be alike, and is checked: "
         "fairtank even. If the change is none of these, answer none."),
    Step("moves_too", SECTION, "Your words speak of {named}, which you did not name. Is it what differs between the tanks?", "yes_no",
         asked_when=lambda told: bool(unnamed(told)), fill=lambda told: {"named": moved_words(unnamed(told))},
         help="Yes: you are then asked what the tanks with the change get of it. No: all tanks get the same of it."),
)
