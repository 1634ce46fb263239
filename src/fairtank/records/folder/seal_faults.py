"""What in an entry or a stamp of seal.json does not fit its digest, and, as far as can be told, which field was changed."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fairtank.records.folder.seal_canonical import FORM, bytes_of, code_of, digest_of
from fairtank.records.folder.seal_signature import is_signed_by
from fairtank.seal import Parts, SealFault

# What the digest of an entry is over, in each form, besides the digest of the entry before.
_FIRST = ("at", "plan", "digest", "code", "rows", "photos", "data_digest", "reason", "software")
NAMES = {1: _FIRST, 2: ("form", *_FIRST, "key", "stamp")}
STAMP_NAMES = ("form", "at", "tables", "documents", "pictures", "listing", "listing_digest", "reason", "software", "key", "entry")
MARK_LETTERS = 8
Place = tuple[str, ...]


def known_of(entry: Mapping[str, Any]) -> dict[str, Any]:
    """The part of an entry that its digest and its signature are over."""
    form = entry.get("form", 1)
    names = (*NAMES[form], "before", *(("fields",) if form == FORM else ()))
    return {name: entry[name] for name in names}


def known_of_stamp(stamp: Mapping[str, Any]) -> dict[str, Any]:
    """The part of a stamp that its digest and its signature are over."""
    return {name: stamp[name] for name in (*STAMP_NAMES, "before", "fields")}


def marks_of(content: Any, names: Sequence[str] | None = None) -> Any:
    """The short mark of every value, in the shape of the content; of a table at its top only the fields that are named."""
    if isinstance(content, Mapping) and content:
        return {name: marks_of(value) for name, value in content.items() if names is None or name in names}
    return digest_of(content)[:MARK_LETTERS]


def entry_faults(entry: dict[str, Any], number: int, before: str, candidates: Sequence[Parts] = (), *,
                 with_signature: bool = False) -> tuple[SealFault, ...]:
    """What of an entry does not fit; nothing where it is as it was written.

    before: the digest of the entry before it. candidates: plans from elsewhere (trial.toml, the other entries) whose values may be those
    that were sealed. Raises KeyError, TypeError or ValueError where it is no entry.
    """
    which, form = "amendment" if number else "seal", entry.get("form", 1)
    faults = []
    if entry["digest"] != digest_of(entry["plan"], form):
        faults += _plan_faults(entry, which, number, candidates)
    if entry["code"] != code_of(entry["digest"]):
        faults.append(SealFault(which, number, "code", now=entry["code"]))
    if entry["before"] != before:
        faults.append(SealFault(which, number, "order"))
    known = known_of(entry)
    if entry["entry_digest"] != digest_of(known, form) and not faults:
        faults += _field_faults(entry, which, number, [name for name in NAMES[form] if name not in ("plan", "digest", "code")])
    if with_signature and not faults:
        faults += signature_faults(entry, bytes_of(known, form), which, number)
    return tuple(faults)


def stamp_faults(stamp: dict[str, Any], number: int, before: str, entry_digests: Sequence[str]) -> tuple[SealFault, ...]:
    """What of a stamp in seal.json does not fit, its signature included; its list of rows is looked at elsewhere."""
    faults = []
    known = known_of_stamp(stamp)
    if stamp["code"] != code_of(stamp["stamp_digest"]):
        faults.append(SealFault("stamp", number, "code", now=stamp["code"]))
    if stamp["before"] != before or stamp["entry"] not in entry_digests:
        faults.append(SealFault("stamp", number, "order"))
    if stamp["stamp_digest"] != digest_of(known) and not faults:
        faults += _field_faults(stamp, "stamp", number, STAMP_NAMES)
    return tuple(faults or signature_faults(stamp, bytes_of(known), "stamp", number))


def signature_faults(entry: Mapping[str, Any], content: bytes, which: str, number: int) -> list[SealFault]:
    """Whether an entry that names its key is signed by it."""
    key, signature = entry.get("key", ""), entry.get("signature")
    if not key:
        return []
    if signature is None:
        return [SealFault(which, number, "unsigned")]
    return [] if is_signed_by(key, signature, content) else [SealFault(which, number, "signature")]


def _plan_faults(entry: dict[str, Any], which: str, number: int, candidates: Sequence[Parts]) -> list[SealFault]:
    """Which fields of a sealed plan were changed: by their marks, else by another plan that fits the digest."""
    marks = entry.get("fields")
    if isinstance(marks, Mapping) and marks.get("digest") != digest_of(entry["digest"])[:MARK_LETTERS]:
        return [SealFault(which, number, "digest")]
    if isinstance(marks, Mapping) and isinstance(marks.get("plan"), Mapping):
        differing = _differing(entry["plan"], marks["plan"])
        return [_plan_fault(which, number, place, entry["plan"], candidates, mark) for place, mark in differing] or [
            SealFault(which, number, "content", ("plan",))]
    fitting = next((one for one in candidates if digest_of(one, entry.get("form", 1)) == entry["digest"]), None)
    if fitting is None:
        return [SealFault(which, number, "content", ("plan",))]
    return [SealFault(which, number, "content", ("plan", *place), _at(entry["plan"], place), _at(fitting, place), True)
            for place, _ in _differing(entry["plan"], marks_of(fitting))]


def _plan_fault(which: str, number: int, place: Place, plan: Any, candidates: Sequence[Parts], mark: str | None) -> SealFault:
    """One field that does not fit its mark, with the value that does where another plan has it."""
    values = [_at(one, place) for one in candidates]
    was = [value for value in values if value is not _NONE and mark is not None and digest_of(value)[:MARK_LETTERS] == mark]
    now = _at(plan, place)
    return SealFault(which, number, "content", ("plan", *place), None if now is _NONE else now, was[0] if was else None, bool(was))


def _field_faults(entry: dict[str, Any], which: str, number: int, names: Sequence[str]) -> list[SealFault]:
    """Which other fields were changed, by their marks; one fault without a place where these do not tell."""
    marks = entry.get("fields")
    found = []
    if isinstance(marks, Mapping):
        content = {name: entry[name] for name in names}
        found = [SealFault(which, number, "content", place, None if (now := _at(entry, place)) is _NONE else now)
                 for place, _ in _differing(content, {name: marks.get(name) for name in names})]
    return found or [SealFault(which, number, "content")]


_NONE: Any = object()


def _at(content: Any, place: Place) -> Any:
    for name in place:
        if not isinstance(content, Mapping) or name not in content:
            return _NONE
        content = content[name]
    return content


def _differing(content: Any, marks: Any, place: Place = ()) -> Iterator[tuple[Place, str | None]]:
    """The places in which a content and its marks differ, with the mark of each (None where there is none)."""
    if isinstance(content, Mapping) and isinstance(marks, Mapping):
        for name in dict.fromkeys((*content, *marks)):
            if name not in content:
                yield from _lone((*place, name), marks[name])
            elif name not in marks:
                yield (*place, name), None
            else:
                yield from _differing(content[name], marks[name], (*place, name))
    elif (isinstance(content, Mapping) and content) or digest_of(content)[:MARK_LETTERS] != marks:
        yield place, marks if isinstance(marks, str) else None


def _lone(place: Place, marks: Any) -> Iterator[tuple[Place, str | None]]:
    """A field, or all fields of a table, that the content lacks."""
    if isinstance(marks, Mapping) and marks:
        for name, mark in marks.items():
            yield from _lone((*place, name), mark)
    else:
        yield place, marks if isinstance(marks, str) else None
