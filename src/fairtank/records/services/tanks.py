"""The keeper's tanks: written down once, used by many trials; with the history of each."""

from dataclasses import asdict
from datetime import date
from typing import Any

from django.db import transaction

from fairtank import build
from fairtank.errors import InputError
from fairtank.records.models import Tank, TankNote
from fairtank.records.services.setup_lines import LineRefused, Table, tank_checked, tank_table
from fairtank.records.services.trail import By, noted

LONGEST_NOTE = 2000
_FIELDS = tuple(build.Tank.__dataclass_fields__)


def tank_noun(tank: Tank) -> build.Tank:
    """The tank as the other rooms know it."""
    return build.Tank(**{name: getattr(tank, name) for name in _FIELDS})


def table_of_tank(tank: Tank) -> Table:
    """The tank as a table of setup.toml."""
    return tank_table(tank_noun(tank))


def tank_store(*, by: By, table: Table, tank: Tank | None = None) -> Tank:
    """Keep a tank: a new one, or another description of one that is there.

    Trials that were set up with it keep the sizes that they were set up with.

    Parameters
    ----------
    by : By
    table : mapping
        As setup.toml describes a tank: `key`, `length_cm`, `glass_mm` ...; numbers, or texts with their unit.
    tank : Tank, optional
        The one to change.

    Returns
    -------
    Tank

    Raises
    ------
    LineRefused
        With every problem, by the keys of the table.

    References
    ----------
    common_practice (keys from sources.py).
    """
    noun = tank_checked(table)
    row, before = tank or Tank(owner=by.user), None if tank is None else asdict(tank_noun(tank))
    if Tank.objects.filter(owner=row.owner, key=noun.key).exclude(pk=row.pk).exists():
        raise LineRefused({"key": f"There is a tank {noun.key} already; give this one another short name."})
    if before == asdict(noun):
        return row
    for name in _FIELDS:
        setattr(row, name, getattr(noun, name))
    with transaction.atomic():
        row.full_clean(exclude=["owner"], validate_constraints=False)
        row.save()
        said = f"Wrote down the tank {row}." if before is None else f"Changed what is written down of the tank {row}."
        noted(by=by, verb="add" if before is None else "change", said=said, row=row, before=before or {})
    return row


def tank_note_add(*, tank: Tank, by: By, said: str, at: date, today: date | None = None) -> TankNote:
    """Add a line to a tank's history; the same line of the same day is kept once.

    Raises
    ------
    InputError
        If it is empty or too long, or of a day that is not there yet.
    """
    plain = said.replace("\0", "").strip()
    if not plain or len(plain) > LONGEST_NOTE:
        raise InputError("The note", f"{len(plain)} characters long" if plain else "empty", f"one to {LONGEST_NOTE} characters")
    if at > (today or date.today()):
        raise InputError("The day", at.isoformat(), "today or a day before")
    with transaction.atomic():
        there: Any = TankNote.objects.filter(tank=tank, at=at, said=plain).first()
        if there is not None:
            found: TankNote = there
            return found
        note = TankNote.objects.create(tank=tank, at=at, said=plain)
        noted(by=by, verb="add", said=f"Noted of the tank {tank}: {plain[:200]}", row=note)
    return note
