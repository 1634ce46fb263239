"""Chores and slips as the text of schedule.toml, in the order in which people read it."""

from collections.abc import Sequence
from typing import Any

import tomli_w

from fairtank.chore import Chore, Slip
from fairtank.planning.schedule.rules import words_of
from fairtank.records.folder.plan_writer import filled, section_text, short
from fairtank.records.folder.schedule_toml import SCHEDULE_HEADS
from fairtank.records.folder.unknown_keys import add_unknown_keys


def text_from_schedule(chores: Sequence[Chore], slips: Sequence[Slip] = (), unknown: dict[str, str] | None = None, *,
                       opening: Sequence[str] = ()) -> str:
    """schedule.toml for chores and slips; keys left at nothing are left out.

    Parameters
    ----------
    chores, slips : sequences
        What is to be done, and what moved.
    unknown : dict, optional
        Keys that fairtank does not use, by place, as `TrialFolder.unknown_cells["schedule.toml"][0]` holds them.
    opening : sequence of str
        Lines of remarks at the head of the file.
    """
    document: dict[str, Any] = {"chore": [_chore(chore) for chore in chores], "slip": [_slip(slip) for slip in slips]}
    add_unknown_keys(document, unknown or {})
    loose = {name: value for name, value in document.items() if name not in SCHEDULE_HEADS}
    sections = ["".join(f"# {line}\n" for line in opening)] if opening else []
    sections += [tomli_w.dumps(loose)] if loose else []
    for name in SCHEDULE_HEADS:
        sections += [section_text(f"[[{name}]]", table) for table in document[name]]
    return "\n".join(sections)


def _chore(chore: Chore) -> dict[str, Any]:
    return filled({
        "key": chore.key, "title": chore.title, "kind": chore.kind, "every": words_of(chore.rule), "from_day": chore.from_day or None,
        "until_day": chore.until_day, "at": chore.at.isoformat("seconds" if chore.at.second else "minutes"),
        "minutes": short(chore.minutes) or None, "units": list(chore.units) or None, "quantity": chore.quantity,
        "amount": short(chore.amount), "unit_of_measure": chore.unit_of_measure, "note": chore.note,
    })


def _slip(slip: Slip) -> dict[str, Any]:
    return {"day": slip.day, "by_days": slip.by_days, "reason": slip.reason}
