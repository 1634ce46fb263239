"""What a plan has that its seal has not: field by field, and the smallest differences that the seal lets count."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from fairtank.records.folder.seal_parts import default_of, plain
from fairtank.seal import Parts, Seal, SealChange

_ABSENT = object()


@dataclass(frozen=True)
class SealedMargin:
    """The smallest difference of a measure that the seal lets count, where it is not that of trial.toml.

    measure: its key. margin: the sealed one; None where none is left to be used. now: that of trial.toml. why: `changed`, `amended`
    (after there was data), `added` (there was none when the plan was sealed) or `rescaled` (it belonged to another summary or scale).
    """

    measure: str
    margin: float | None
    now: float | None
    why: str


def changes_between(before: Parts, after: Parts, sealed_at: datetime, *, amended_at: datetime | None = None,
                    reason: str = "") -> tuple[SealChange, ...]:
    """Every field in which two plans differ, in the order of the later plan, then what was left out.

    A field that the earlier one does not hold is one that its fairtank did not know: it counts with its default.
    """
    found = []
    for section, key in dict.fromkeys((*_places(after), *_places(before))):
        was, now = before.get(section, {}).get(key), after.get(section, {}).get(key)
        if was is None or now is None:
            kind = "added" if was is None else "left out"
            found.append(SealChange(section, key, "", None, None, sealed_at, kind, amended_at, reason))
            continue
        for name in dict.fromkeys((*now, *was)):
            old, new = (values.get(name, _ABSENT) for values in (was, now))
            old, new = (default_of(section, name) if value is _ABSENT else value for value in (old, new))
            if plain(old) != plain(new):
                found.append(SealChange(section, key, name, old, new, sealed_at, "changed", amended_at, reason))
    return tuple(found)


def _places(parts: Parts) -> Iterable[tuple[str, str]]:
    return ((section, key) for section, tables in parts.items() for key in tables)


def changes_after(seal: Seal, now: Parts) -> tuple[SealChange, ...]:
    """What was changed after the seal: amendments made when there was data already, then what was never sealed."""
    found: tuple[SealChange, ...] = ()
    for earlier, later in zip(seal.entries, seal.entries[1:], strict=False):
        if later.has_data:
            found += changes_between(earlier.plan, later.plan, earlier.at, amended_at=later.at, reason=later.reason)
    return found + changes_between(seal.last.plan, now, seal.last.at)


def margins_that_count(seal: Seal, now: Parts) -> tuple[SealedMargin, ...]:
    """For each measure of the plan whose smallest difference is not the one that was sealed before there was data, the one that counts.

    An amendment counts like the first seal as long as nothing was recorded yet.
    """
    counted = seal.entries[0]
    for later in seal.entries[1:]:
        if later.has_data:
            break
        counted = later
    found = []
    for key, values in now.get("measure", {}).items():
        sealed, given = counted.plan.get("measure", {}).get(key), values.get("margin")
        amended = seal.last.plan.get("measure", {}).get(key, {}).get("margin") == given
        margin = None if sealed is None else sealed.get("margin")
        rescaled = sealed is not None and any(sealed.get(name) != values.get(name) for name in ("summary", "scale"))
        if rescaled and (given is not None or margin is not None):
            found.append(SealedMargin(key, None, given, "rescaled"))
        elif margin != given:
            why = "added" if margin is None else "amended" if amended else "changed"
            found.append(SealedMargin(key, margin, given, why))
    return tuple(found)
