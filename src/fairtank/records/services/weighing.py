"""What was weighed into the units is written down beside what was planned."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction

from fairtank.records.models import BuildLine, Trial, Unit
from fairtank.records.selectors.build import Built, Weighing, weighings
from fairtank.records.services.setup_lines import LineRefused
from fairtank.records.services.trail import By, noted

MOST = 1e6
LONGEST_NOTE, LONGEST_BATCH = 1000, 100


@dataclass(frozen=True)
class Entry:
    """What a form says of one line. weighed: in the line's unit, None for nothing yet. was: what the form showed when it was opened."""

    weighed: float | None
    batch: str = ""
    note: str = ""
    was: float | None = None


def weigh_in(*, trial: Trial, by: By, unit: str, built: Built, entries: Mapping[str, Entry]) -> int:
    """Keep what was weighed into one unit.

    The same sent twice is kept once: what already stands there is no change. A value that somebody else entered since the form was opened
    is not written over.

    Parameters
    ----------
    trial : Trial
    by : By
    unit : str
        Key of the unit.
    built : Built
        What is planned.
    entries : mapping
        By the material of the line. Lines that are not named stay as they are.

    Returns
    -------
    int
        How many lines were changed.

    Raises
    ------
    LineRefused
        By the material of the line: below nothing, too much, or entered by somebody else meanwhile.

    References
    ----------
    common_practice (keys from sources.py).
    """
    with transaction.atomic():
        Trial.everything.select_for_update().get(pk=trial.pk)  # two who weigh at once come one after the other
        lines = {one.line.material: one for one in weighings(trial, built) if one.line.unit == unit}
        refused = {name: said for name, entry in entries.items() if (said := _refusal(lines.get(name), entry))}
        if refused:
            raise LineRefused(refused)
        changed = [lines[name] for name, entry in entries.items() if _is_change(lines[name], entry)]
        if not changed:
            return 0
        own = Unit.objects.get(trial=trial, key=unit)
        before = {one.line.material: one.weighed for one in changed}
        for one in changed:
            _stored(trial, own, one, entries[one.line.material])
        said = f"Weighed in {unit}: " + ", ".join(_words(one, entries[one.line.material]) for one in changed) + "."
        noted(by=by, verb="weigh", said=said[:2000], trial=trial, tables=("build",), row=own, before=before)
    return len(changed)


def _refusal(one: Weighing | None, entry: Entry) -> str:
    if one is None:
        return "This is no longer in the build of the unit. Open the page again."
    if entry.weighed is not None and not 0 <= entry.weighed <= MOST:
        return "An amount of 0 or more is wanted."
    if "\0" in entry.batch + entry.note:
        return "There is a character in it that cannot be kept."
    if len(entry.batch) > LONGEST_BATCH or len(entry.note) > LONGEST_NOTE:
        return f"The batch may have {LONGEST_BATCH} characters, the note {LONGEST_NOTE}."
    if one.weighed not in (entry.was, entry.weighed):
        stands = "nothing" if one.weighed is None else f"{one.weighed:g} {one.line.unit_of_measure}"
        return f"Meanwhile somebody else entered {stands}. It stands there now; send yours again if it is to replace it."
    return ""


def _is_change(one: Weighing, entry: Entry) -> bool:
    return (one.weighed, one.batch, one.note) != (entry.weighed, entry.batch, entry.note)


def _stored(trial: Trial, unit: Unit, one: Weighing, entry: Entry) -> None:
    line, row = one.line, one.row or BuildLine(trial=trial, unit=unit, material=one.line.material)
    row.kind, row.planned, row.unit_of_measure = line.kind, line.planned, line.unit_of_measure
    row.weighed, row.batch, row.note = entry.weighed, entry.batch, entry.note
    row.save()


def _words(one: Weighing, entry: Entry) -> str:
    amount = "nothing any more" if entry.weighed is None else f"{entry.weighed:g} {one.line.unit_of_measure}"
    return f"{one.line.material} {amount}"
