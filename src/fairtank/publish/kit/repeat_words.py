"""What a repeated trial took over from the first one, as a table in plain words."""

from collections.abc import Sequence

from fairtank.planning.building.repeated import OPEN, RECKONED, TAKEN, Moved
from fairtank.publish.numbers import shown
from fairtank.trial import Plan

HEADS = {TAKEN: "Taken over as it was", RECKONED: "Reckoned anew for your tanks", OPEN: "Yours to decide"}
CAUTION = ("Another tank weighs something else, and its glass bears something else: fairtank build tells weight and glass for yours. Mains "
           "and water, "
           "CO2, glass under load and chemicals can hurt; keep to the rules where you live, and leave wiring and gas to people who are "
           "licensed.")


def repeat_text(old: Plan, new: Plan, moved: Sequence[Moved], *, has_amounts: bool = False) -> str:
    """What became of the first trial's plan, as the text that lies in the new folder.

    Parameters
    ----------
    old, new : Plan
    moved : sequence of Moved
    has_amounts : bool
        Whether chores of the schedule name amounts, which were meant for the first keeper's tanks.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    parts = [f"# {shown(new.title)}", f"It repeats: {shown(new.repeats)}"]
    for kind, head in HEADS.items():
        rows = [one for one in moved if one.kind == kind]
        if rows:
            lines = [f"| {_cell(one.what)} | {_cell(one.was)} | {_cell(one.now)} |" for one in rows]
            parts += [f"## {head}", "\n".join(["| what | there | here |", "|---|---|---|", *lines])]
    if has_amounts:
        parts.append("Amounts that stand with chores of the schedule are the first keeper's, for their tanks: look at each once more.")
    parts += ["Not taken: photos, readings, values, what was weighed, the draw and the seal of the first trial. Draw a lot of your own: "
              "the arms that "
              "stand in trial.toml stand there in turn, until you do.", CAUTION]
    return "\n\n".join(parts) + "\n"


def repeat_words(moved: Sequence[Moved]) -> list[str]:
    """The same as lines for a screen."""
    told = []
    for kind, head in HEADS.items():
        rows = [one for one in moved if one.kind == kind]
        if rows:
            told += [f"{head}:", *(f"  {_line(one)}" for one in rows)]
    return [*told, CAUTION]


def _line(one: Moved) -> str:
    what = shown(one.what)
    if one.kind == OPEN:
        return f"{what} (there: {shown(one.was)})" if one.was else what
    return f"{what}: {shown(one.now)}" if one.was in ("", one.now) else f"{what}: {shown(one.was)} there, {shown(one.now)} here"


def _cell(text: str) -> str:
    return shown(text).replace("|", "\\|")
