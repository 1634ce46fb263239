"""Verify a sealed folder: what was changed in the plan, the seal, the data and the draw, and when, also where it can no longer be read."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.errors import FairtankError, InputError
from fairtank.inference.question import title_unit_scale
from fairtank.planning.drawing.lots import PROCEDURE, drawn_lots, inputs_of
from fairtank.publish.draw_words import disagreement_words
from fairtank.publish.kit.facts import ABSENT, KitFile
from fairtank.publish.kit.words import fault_words as fault_of_kit
from fairtank.publish.kit.words import state_words
from fairtank.publish.seal_words import change_words
from fairtank.publish.verify_words import fault_words, files_words, harm_words, headline, table_words, verified_words
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder.draw_json import DRAW_FILE, draws_from_text
from fairtank.records.folder.kit_files import KitState, kit_state
from fairtank.records.folder.paths import TOML_LIMIT_BYTES, is_there, read_bytes, text_from_bytes
from fairtank.records.folder.plan_toml import draft_from_text
from fairtank.records.folder.problems import Problems, Refusal, check_is_folder, shown
from fairtank.records.folder.seal import SEAL_FILE, document_from_text, sealing_of_entry
from fairtank.records.folder.seal_canonical import FORMS, digest_of
from fairtank.records.folder.seal_changes import changes_between
from fairtank.records.folder.seal_contents import contents_of
from fairtank.records.folder.seal_faults import entry_faults, stamp_faults
from fairtank.records.folder.seal_looked import Looked
from fairtank.records.folder.seal_parts import parts_of
from fairtank.records.folder.seal_signature import code_of_key
from fairtank.records.folder.seal_stamp import FOLDER as STAMPS
from fairtank.records.folder.seal_stamp import Stamped, changes_since, stamped_of
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.zipped import folder_at
from fairtank.records.services.kit_before import folder_before, photos_told
from fairtank.records.services.sealing import DATA_FILES
from fairtank.seal import FileChange, Parts, SealChange, SealFault, Sealing, Signing, TableChange, Verification
from fairtank.trial import Plan

UNREADABLE = (ValueError, KeyError, TypeError, AttributeError, RecursionError)
SECTIONS = ("design", "arm", "unit", "measure", "looks")
EARLY_FILES = ("readings.csv", "photos.csv")


@dataclass(frozen=True)
class VerifiedTrial:
    """A folder, or a kit as it was given, and what its seal shows. kit: what its list of files shows; None where it is no kit."""

    place: Path
    verified: Verification
    kit: KitState | None = None

    @property
    def is_in_order(self) -> bool:
        """Whether nothing is otherwise than it was sealed, stamped or listed; a kit need not be sealed."""
        if self.kit is None:
            return self.verified.is_in_order
        return not self.kit.faults and (self.verified.is_in_order or not (self.verified.is_sealed or self.verified.unread))

    @property
    def words(self) -> list[str]:
        """The whole answer as sentences."""
        if self.kit is None:
            return verified_words(self.verified)
        told = state_words(sum(one.what not in ABSENT for one in self.kit.files), self.kit.faults, is_sealed=self.verified.is_sealed)
        return [*told, *(verified_words(self.verified) if self.verified.is_sealed else self.verified.unread)]


@dataclass
class _Read:
    """What was read of seal.json so far, and what is wrong with it."""

    sealings: list[Sealing] = field(default_factory=list)
    stamped: list[Stamped] = field(default_factory=list)
    faults: list[SealFault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def trial_verify(*, root: Path, key: str = "", looked: Looked | None = None) -> VerifiedTrial:
    """What a folder's seal, its signatures and its stamps show, and of a kit its list of files; nothing is written to it.

    Parameters
    ----------
    root : Path
        The trial folder, or a ZIP file that holds one.
    key : str
        The code of the key that should have signed; empty takes the first key that did.
    looked : Looked, optional
        What was seen when the folder was last verified, kept outside it: files that were not touched since are then not read again.

    Returns
    -------
    VerifiedTrial

    Raises
    ------
    FolderError
        If there is no such folder, or it holds neither a plan nor a seal.
    InputError
        If a file is no ZIP file of a trial folder.

    References
    ----------
    rfc8785, rfc8032 (keys from sources.py).
    """
    with folder_at(root) as folder:
        check_is_folder(folder, PLAN_FILE)
        if not is_there(folder, PLAN_FILE) and not is_there(folder, SEAL_FILE):
            problems = Problems()
            problems.add(PLAN_FILE, None, None, "the file is missing, and there is no seal.json either", "a trial folder")
            raise problems.as_error()
        kit, wanted = kit_state(folder), "".join(key.split()).upper()
        if kit is not None and is_there(folder, SEAL_FILE):
            with folder_before(folder, kit) as before:
                verified = _verified(before, wanted, None, {one.original_path or one.path: one for one in kit.files
                                                           if one.original_sha256})
        else:
            verified = _verified(folder, wanted, looked, {})
        if looked is not None:
            looked.keep()
        return VerifiedTrial(root, verified, kit)


def _verified(root: Path, key: str, looked: Looked | None, others: Mapping[str, KitFile]) -> Verification:
    plan, unread = _plan(root)
    draw = None if plan is None else _draw(root, plan)
    if not is_there(root, SEAL_FILE):
        lost = (f"There are lists of stamps in {STAMPS}/, so a seal.json was there.",) if is_there(root, STAMPS) else ()
        return Verification(False, draw=draw, unread=lost)
    try:
        document = document_from_text(_text(root, SEAL_FILE))
        if document["form"] not in FORMS:
            raise ValueError("it is of a form that this fairtank does not know")
        if not document["entries"]:
            raise ValueError("the seal was taken out of it")
        entries, stamps = list(document["entries"]), list(document.get("stamps") or [])
    except UNREADABLE as error:
        return Verification(True, faults=(SealFault("file", 0, "unreadable", now=_reason(error)),), draw=draw, unread=unread)
    parts = None if plan is None else parts_of(plan)
    read = _Read()
    _entries_read(entries, stamps, parts, read)
    _stamps_read(root, entries, stamps, read)
    now = contents_of(root, pictures=[path for one in read.stamped if one.contents for path in one.contents.pictures], looked=looked)
    tables, files = _data(read.stamped, now)
    files, told = photos_told(files, read.stamped[-1].contents if read.stamped else None, others)
    read.notes += told
    read.notes += [f"{shown(file)} could not be looked at: {reason}." for file, reason in now.refused.items()]
    plans = [_repaired(sealing, read.faults, number) for number, sealing in enumerate(read.sealings)]
    amended, changes = _plan_changes(read.sealings, plans, parts)
    return Verification(
        True, tuple(read.sealings), tuple(one.stamp for one in read.stamped), tuple(read.faults), _signings(entries, stamps, read, key),
        amended, changes, tables, files, draw, _early(read.sealings, now.tables), key, unread, tuple(read.notes),
        () if plan is None else tuple((one.key, title_unit_scale(one)[0]) for one in plan.measures),
        any(now.tables[file].marks for file in DATA_FILES if file in now.tables))


def _text(root: Path, file: str) -> str:
    """The text of one file; ValueError with the reason where it has none."""
    try:
        text, _, fault = text_from_bytes(read_bytes(root, file, TOML_LIMIT_BYTES, called="the file"))
    except Refusal as refusal:
        raise ValueError(refusal.read) from None
    if text is None:
        raise ValueError(fault.read if fault else "it is no text")
    return text


def _reason(error: Exception) -> str:
    if isinstance(error, json.JSONDecodeError):
        return f"line {error.lineno}, column {error.colno} is not as it was written"
    return str(error) if type(error) in (ValueError, InputError) else "a part of it is missing or of another kind"


def _plan(root: Path) -> tuple[Plan | None, tuple[str, ...]]:
    """trial.toml as a plan, or why it cannot be compared."""
    try:
        problems = Problems()
        plan = draft_from_text(_text(root, PLAN_FILE), problems).plan
        reason = "" if plan is not None else str(problems.as_error().problems[0]) if problems else "it holds no whole plan."
    except ValueError as error:
        plan, reason = None, f"{error}."
    return plan, () if plan is not None else (f"trial.toml cannot be compared with the seal: {reason}",)


def _entries_read(entries: list[dict[str, Any]], stamps: list[dict[str, Any]], parts: Parts | None, read: _Read) -> None:
    """The seal and its amendments, with what does not fit."""
    candidates = [*([] if parts is None else [parts]), *(one.plan for one in map(_sealing, entries) if one is not None)]
    known = [one.get("stamp_digest") for one in stamps if isinstance(one, dict)]  # a list: what was tampered with need not be hashable
    before = ""
    for number, entry in enumerate(entries):
        which = "amendment" if number else "seal"
        try:
            read.sealings.append(sealing_of_entry(entry))
            read.faults += entry_faults(entry, number, before, candidates, with_signature=True)
            if entry.get("stamp") and entry["stamp"] not in known:
                read.faults.append(SealFault(which, number, "gone"))
            before = entry["entry_digest"]
        except UNREADABLE as error:
            read.faults.append(SealFault(which, number, "unreadable", now=_reason(error)))
            before = entry.get("entry_digest", "") if isinstance(entry, dict) else ""


def _sealing(entry: Any) -> Sealing | None:
    """One entry as it stands there; None where it is none."""
    try:
        return sealing_of_entry(entry)
    except UNREADABLE:
        return None


def _stamps_read(root: Path, entries: list[dict[str, Any]], stamps: list[dict[str, Any]], read: _Read) -> None:
    """The stamps with their lists, and what does not fit."""
    digests = [one.get("entry_digest", "") for one in entries if isinstance(one, dict)]
    before = ""
    for number, entry in enumerate(stamps, start=1):
        try:
            stamped, wrong = stamped_of(root, entry)
            read.faults += stamp_faults(entry, number, before, digests)
            read.stamped.append(stamped)
            if wrong == "changed":
                read.faults.append(SealFault("stamp", number, "listing"))
            elif wrong:
                read.notes.append(f"The list of stamp {number} ({stamped.stamp.listing}) is missing, so that single rows and pictures that "
                                  "were changed since cannot be named.")
            before = entry["stamp_digest"]
        except UNREADABLE as error:
            read.faults.append(SealFault("stamp", number, "unreadable", now=_reason(error)))


def _data(stamped: Sequence[Stamped], now: Any) -> tuple[tuple[TableChange, ...], tuple[FileChange, ...]]:
    """What became of the data from each stamp to the next, and since the last."""
    tables: list[TableChange] = []
    files: list[FileChange] = []
    for place, one in enumerate(stamped):
        later = stamped[place + 1] if place + 1 < len(stamped) else None
        if later is not None and later.contents is None:
            continue
        found = changes_since(one, now) if later is None or later.contents is None else changes_since(one, later.contents, later.stamp)
        tables += found[0]
        files += found[1]
    return tuple(tables), tuple(files)


def _repaired(sealing: Sealing, faults: Sequence[SealFault], number: int) -> Parts:
    """The plan that was sealed, where every field that was changed in the seal is known; else the one that stands there."""
    plan = {section: {key: dict(sealing.plan[section][key]) for key in sealing.plan.get(section, {})} for section in SECTIONS}
    whole = {section: {key: dict(values) for key, values in tables.items()} for section, tables in plan.items()}
    for fault in faults:
        if fault.number == number and fault.which != "stamp" and fault.has_was and len(fault.place) == 4:
            whole.setdefault(fault.place[1], {}).setdefault(fault.place[2], {})[fault.place[3]] = fault.was
    return whole if digest_of(whole, sealing.form) == sealing.digest else plan


def _plan_changes(sealings: Sequence[Sealing], plans: Sequence[Parts],
                  now: Parts | None) -> tuple[tuple[SealChange, ...], tuple[SealChange, ...]]:
    """What amendments changed while nothing was recorded; and what was changed after that, by amendments or without one."""
    amended: tuple[SealChange, ...] = ()
    changes: tuple[SealChange, ...] = ()
    for number, later in enumerate(sealings[1:], start=1):
        found = changes_between(plans[number - 1], plans[number], sealings[number - 1].at, amended_at=later.at, reason=later.reason)
        if later.has_data:
            changes += found
        else:
            amended += found
    if now is not None and sealings:
        changes += changes_between(plans[-1], now, sealings[-1].at)
    return amended, changes


def _signings(entries: list[dict[str, Any]], stamps: list[dict[str, Any]], read: _Read, wanted: str) -> tuple[Signing, ...]:
    """Who signed each entry and stamp, and whether the keeper's key vouches for it, by itself or by something later."""
    bad = {(one.which, one.number) for one in read.faults if one.what not in ("listing", "gone")}
    entry_digests = [one.get("entry_digest") if isinstance(one, dict) else None for one in entries]
    stamp_digests = [one.get("stamp_digest") if isinstance(one, dict) else None for one in stamps]
    found, covers = [], []
    items = [*(("amendment" if number else "seal", number, one) for number, one in enumerate(entries)),
             *(("stamp", number, one) for number, one in enumerate(stamps, start=1))]
    for which, number, one in items:
        code = _code(one.get("key", "") if isinstance(one, dict) else "")
        found.append((which, number, code, bool(code) and (which, number) not in bad))
        named = entry_digests if which == "stamp" else stamp_digests
        digest = (one.get("entry" if which == "stamp" else "stamp") if isinstance(one, dict) else None) or None
        other = named.index(digest) if digest in named else -1
        covers.append((other, number - 1) if which == "stamp" else (number, other))
    main = wanted or next((code for _, _, code, _ in found if code), "")
    signed = [cover for (_, _, code, is_valid), cover in zip(found, covers, strict=True) if is_valid and code == main]
    return tuple(Signing(which, number, code, is_valid, any(_holds(cover, which, number) for cover in signed))
                 for which, number, code, is_valid in found)


def _holds(cover: tuple[int, int], which: str, number: int) -> bool:
    """Whether what covers entries and stamps up to these places covers this one."""
    last_entry, last_stamp = cover
    return number - 1 <= last_stamp if which == "stamp" else number <= last_entry


def _code(key: object) -> str:
    try:
        return code_of_key(str(key)) if key else ""
    except ValueError:
        return "(no key)"


def _early(sealings: Sequence[Sealing], tables: Any) -> int:
    """How many rows carry a day before the plan was sealed, where nothing was recorded then."""
    if not sealings or sealings[0].has_data:
        return 0
    sealed_on = f"{sealings[0].at:%Y-%m-%d}"
    return sum(1 for file in EARLY_FILES if file in tables for day in tables[file].days if day and day < sealed_on)


def _draw(root: Path, plan: Plan) -> tuple[str, ...] | None:
    """Where the draw on record, what its seed gives and the plan differ, as sentences; None where there is no draw."""
    if not is_there(root, DRAW_FILE):
        return None
    problems = Problems()
    try:
        draws = draws_from_text(_text(root, DRAW_FILE), problems)
    except ValueError as error:
        return (f"{DRAW_FILE} cannot be read: {error}.",)
    if problems or not draws:
        return problems.sentences()
    last = draws[-1]
    try:
        drawn = drawn_lots(last.seed, inputs_of(last))
        is_same = last.procedure != PROCEDURE or (drawn.arms, drawn.drawn_day) == (last.arms, last.drawn_day)
    except FairtankError:
        is_same = False
    odd = () if is_same else (f"Seed {last.seed} does not give the arms that {DRAW_FILE} has on record.",)
    return (*odd, *disagreement_words(plan, last))


def verified_json(one: VerifiedTrial) -> str:
    """What verifying found as one JSON object; `in_order` is true where nothing was changed after it was sealed, stamped or listed."""
    verified, titles = one.verified, dict(one.verified.titles)
    document = {
        "software": f"fairtank {__version__}", "folder": str(one.place), "is_sealed": verified.is_sealed, "in_order": one.is_in_order,
        "sentence": one.words[0] if one.kit else headline(verified), "sentences": one.words, "harm": harm_words(verified)
        if verified.is_sealed else [],
        "seal": [{"at": entry.at.isoformat(), "code": entry.code, "values": entry.rows, "photos": entry.photos,
                  "reason": entry.reason or None, "signed_with": _code(entry.key) or None} for entry in verified.entries],
        "stamps": [{"at": stamp.at.isoformat(), "code": stamp.code, "tables": {file: rows for file, rows, _ in stamp.tables},
                    "pictures": stamp.pictures, "reason": stamp.reason or None, "signed_with": _code(stamp.key) or None}
                   for stamp in verified.stamps],
        "tampered": [{**_plain(fault), "words": fault_words(fault, titles)} for fault in verified.faults],
        "plan_changes": [{**_plain(change), "words": change_words(change, titles)} for change in verified.changes],
        "amended_before_data": [{**_plain(change), "words": change_words(change, titles, has_data=False)} for change in verified.amended],
        "tables": [{**_plain(table), "is_harm": table.is_harm, "words": table_words(table)} for table in verified.tables],
        "files": [{**_plain(file), "is_harm": file.is_harm, "words": files_words([file])[0]} for file in verified.files],
        "signatures": [asdict(signing) for signing in verified.signings],
        "draw": None if verified.draw is None else {"agrees": not verified.draw, "words": list(verified.draw)},
        "has_data": verified.has_data, "rows_before_the_seal": verified.early,
        "kit": None if one.kit is None else {"form": one.kit.form, "files": len(one.kit.files), "is_whole": not one.kit.faults, "faults": [
            {"kind": fault.kind, "file": fault.file, "words": fault_of_kit(fault)} for fault in one.kit.faults]},
        "unread": list(verified.unread), "notes": list(verified.notes),
    }
    return json_text(document)


def _plain(noun: Any) -> dict[str, Any]:
    return {name: value.isoformat() if isinstance(value, datetime) else value for name, value in asdict(noun).items()}
