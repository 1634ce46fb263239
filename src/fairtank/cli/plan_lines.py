"""What `fairtank plan` prints: a question with its answers, more about it, and the plan on one screen; narrow enough for a phone."""

import shlex
import textwrap

from fairtank.planning.wizard.reading import accepted, text_of
from fairtank.planning.wizard.step import Step, Value
from fairtank.publish.draw_words import possible_words, seed_words
from fairtank.publish.numbers import NO_BREAK
from fairtank.publish.plan_words import plan_sentences
from fairtank.records.next_steps import STEPS
from fairtank.records.services.drawing import DrawnTrial
from fairtank.records.services.planning import MadePlan, Planning, choices_of, proposed

WIDTH = 60
INTRO = (
    "An empty line takes what stands in brackets. ? tells more, back goes back. Ctrl-C stops; every answer is kept."
)
PRICES = ("Prices can be put into setup.toml.",)
DRAW_QUESTION = "Draw the lot now? These questions then no longer change the plan."
NOT_DRAWN = "The arms stand in turn along the shelf until the lot is drawn."


CHANGE_MISSING = ("setup.toml holds the same for all tanks: the change is not in it yet. If it is a thing with a plug or a lid, put these "
                  "lines at the end of the file, so that fairtank even and build know of it:")
CHANGE_LINES = ("[[device]]", 'key = "change"', 'kind = "other"', "power_w = 0", "is_change = true")


def wrapped(text: str, indent: str = "", first: str | None = None) -> list[str]:
    """A text in lines of at most 60 columns; a word that is longer is cut."""
    lines = textwrap.wrap(text, WIDTH, initial_indent=indent if first is None else first, subsequent_indent=indent,
                          break_on_hyphens=False)
    return [line.replace(NO_BREAK, " ") for line in lines] or [""]


def go_on_lines(folder: str) -> list[str]:
    """How to go on after a stop; the command stands on a line of its own, to be copied."""
    return ["Your answers are kept. Go on with:", f"  fairtank plan {shlex.quote(folder)}"]


def section_lines(step: Step) -> list[str]:
    """The heading of a part of the questions."""
    return ["", step.section, "-" * len(step.section)]


def question_lines(planning: Planning, step: Step) -> list[str]:
    """The question, its answers where there are some to choose from, and what an empty line gives."""
    lines = ["", *wrapped(step.question_for(planning.told))]
    choices = choices_of(planning, step)
    tells = step.key == "design"
    for number, one in enumerate(choices[:step.most_shown], start=1):
        head = f"{number:>2} {one.words}"
        if tells:
            head = f"{head}: {one.told.split('. ')[0]}"
        lines += wrapped(head, "   ", "")
    if len(choices) > step.most_shown:
        lines.append(f"{len(choices) - step.most_shown} more: ?")
    value = proposed(planning, step)
    unit = step.unit(planning.told)
    if value is not None and text_of(value):
        lines += wrapped(f"[{_answer(planning, step, value)}]{f' {unit}' if unit else ''}")
    elif unit:
        lines += wrapped(f"in {unit}")
    return lines


def help_lines(planning: Planning, step: Step) -> list[str]:
    """More about a question: why it is asked, what each answer means, what may be typed."""
    lines = wrapped(step.help)
    for number, one in enumerate(choices_of(planning, step), start=1):
        if one.told or number > step.most_shown:
            lines += wrapped(f"{number:>2} {one.words}{f': {one.told}' if one.told else ''}", "   ", "")
    return [*lines, *wrapped(accepted(step, planning.told))]


def _answer(planning: Planning, step: Step, value: Value) -> str:
    """A proposed answer as a person would type it: a choice by its number."""
    keys = [one.key for one in choices_of(planning, step)] if step.key != "design" else [one.key for one in step.choices(planning.told)]
    if step.kind == "choice" and value in keys:
        return str(keys.index(str(value)) + 1)
    if step.kind == "several" and isinstance(value, tuple) and value:
        return ", ".join(str(keys.index(str(one)) + 1) for one in value if one in keys)
    return text_of(value)


def made_lines(made: MadePlan) -> list[str]:
    """The plan on one screen: what it asks and how, what it can show, and what it takes."""
    lines = ["", made.plan.title[:WIDTH], "=" * min(len(made.plan.title), WIDTH)]
    told = *plan_sentences(made.plan, made.margin), *made.can_show, *made.takes[:1], *(PRICES if made.takes[1:] else ()), NOT_DRAWN
    lines += [line for sentence in told for line in ["", *wrapped(sentence)]]
    lines += ["", *wrapped("Written: " + ", ".join(path.name for path in made.files))]
    if made.is_change_missing:
        arms = ", ".join(f'"{arm.key}"' for arm in made.plan.arms if arm.role == "changed")
        lines += ["", *wrapped(CHANGE_MISSING), *(f"  {line}" for line in (*CHANGE_LINES, f"arms = [{arms}]"))]
    return lines


def drawn_lines(drawn: DrawnTrial) -> list[str]:
    """What the lot did, without the arms: they stand in trial.toml, and whoever scores need not read them here."""
    told = (f"Drawn by lot. {possible_words(drawn.draw)} {seed_words(drawn.draw)} The arms stand in trial.toml. Keep the sealed list from "
            "whoever scores:")
    return ["", *wrapped(told), f"  {drawn.sealed_list}"]


def next_lines(folder: str, *, is_drawn: bool) -> list[str]:
    """What to do next, each a command."""
    steps = [one for one in STEPS if one[0] != "draw" or not is_drawn]
    wide = max(len(name) for name, _ in steps)
    return ["", f"Next, with {shlex.quote(folder)} behind each:", *(f"  fairtank {name.ljust(wide)}  {told}" for name, told in steps)]

