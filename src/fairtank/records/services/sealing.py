"""Seal a plan before the start, and stamp the data as they come in: whatever is changed later needs a reason, and both are kept."""

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.errors import DesignError, JobError
from fairtank.inference.question import title_unit_scale
from fairtank.publish.seal_words import change_words
from fairtank.publish.verify_words import files_words, table_words
from fairtank.records.folder import read_folder
from fairtank.records.folder.digest import digest_of_files
from fairtank.records.folder.problems import shown
from fairtank.records.folder.seal import SEAL_FILE, document_from_text, sealing_of, text_with
from fairtank.records.folder.seal_changes import changes_between
from fairtank.records.folder.seal_contents import Contents, contents_of
from fairtank.records.folder.seal_faults import stamp_faults
from fairtank.records.folder.seal_parts import parts_of
from fairtank.records.folder.seal_signature import code_of_key, key_read, public_text
from fairtank.records.folder.seal_stamp import changes_since, stamp_added, stamp_of, stamped_of
from fairtank.records.writing import text_write
from fairtank.seal import FileChange, SealChange, Sealing, Stamp, TableChange
from fairtank.trial import TrialFolder

DATA_FILES = ("series.csv", "readings.csv", "scores.csv", "pairs.csv", "photos.csv")


@dataclass(frozen=True)
class SealedTrial:
    """What sealing a folder did.

    done: `sealed`, `unchanged` or `amended`. sealing: the entry that stands now. first: the first one. changes: what the amendment
    changed. titles: the measures' titles by key. place: seal.json. stamp: that of the data, where one was asked for; has_stamped: it was
    written now. tables, files: what was added, or changed for the reason given, since the stamp before.
    uncovered: sentences about files that the stamp could not look at.
    """

    done: str
    sealing: Sealing
    first: Sealing
    changes: tuple[SealChange, ...]
    titles: dict[str, str]
    place: Path
    stamp: Stamp | None = None
    has_stamped: bool = False
    tables: tuple[TableChange, ...] = ()
    files: tuple[FileChange, ...] = ()
    uncovered: tuple[str, ...] = ()


def trial_seal(*, root: Path, reason: str | None = None, key_file: Path | None = None, with_data: bool = False,
               now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> SealedTrial:
    """Seal a folder's plan; a plan that was changed since is sealed again only with a reason, and what was sealed before is kept.

    Parameters
    ----------
    root : Path
        The trial folder.
    reason : str or None
        Why a sealed plan, or data that were stamped, were changed.
    key_file : Path or None
        The private key to sign with.
    with_data : bool
        Whether to stamp the data too; where there are any, sealing and amending stamp them in any case.
    now : function
        The clock.

    Returns
    -------
    SealedTrial

    Raises
    ------
    FolderError
        If the folder cannot be read, or its seal was tampered with.
    DesignError
        If the plan, or data that were stamped, were changed and no reason is given.
    InputError
        If the key file is no such key or lies in a trial folder.
    JobError
        If the key cannot be opened or seal.json cannot be written.

    References
    ----------
    rfc8785, rfc8032 (keys from sources.py).
    """
    key = None if key_file is None else key_read(key_file, root)
    folder = read_folder(root)
    at, why = now().replace(microsecond=0), " ".join((reason or "").split())
    done, text = _sealed(folder, root / SEAL_FILE, at, why, key)
    texts = {} if text is None else {SEAL_FILE: text}
    if with_data or (text is not None and done.sealing.has_data):
        document = document_from_text(text) if text is not None else folder.seal.document if folder.seal else {}
        stamped, more = _stamped(folder, document, at, why, key)
        done, texts = replace(done, **stamped), {**texts, **more}
    try:
        for path in sorted(texts, key=lambda path: path == SEAL_FILE):  # the listing first: nothing then points to what is not there
            text_write(root / path, texts[path])
    except OSError as error:
        raise JobError(f"{root / SEAL_FILE} cannot be written: {error.strerror}. Nothing was sealed.") from error
    return done


def _sealed(folder: TrialFolder, place: Path, at: datetime, why: str, key: Any) -> tuple[SealedTrial, str | None]:
    """What sealing the plan does, and the text of seal.json; None where nothing is to be written."""
    parts, titles, seal = parts_of(folder.plan), titles_of(folder), folder.seal
    changes = () if seal is None else changes_between(seal.last.plan, parts, seal.last.at)
    if seal is not None and not changes:
        return SealedTrial("unchanged", seal.last, seal.entries[0], (), titles, place), None
    if seal is not None and not why:
        told = " ".join(change_words(one, titles) for one in changes)
        raise DesignError(f"This plan is sealed, and it was changed since. {told} Put it back as it was, or seal it again with "
                          '--reason "why it was changed": the first seal stays, and the finding tells both.')
    rows, photos, data = data_of(folder)
    added = sealing_of(parts, at=at, rows=rows, photos=photos, data_digest=data, reason="" if seal is None else why,
                       key="" if key is None else public_text(key))
    first = added if seal is None else seal.entries[0]
    return SealedTrial("sealed" if seal is None else "amended", added, first, changes, titles, place), text_with(seal, added, key)


def _stamped(folder: TrialFolder, document: dict[str, Any], at: datetime, why: str, key: Any) -> tuple[dict[str, Any], dict[str, str]]:
    """What stamping the data does, as fields of SealedTrial, and the files to be written, by path; none where nothing came since."""
    contents, stamps = contents_of(folder.root, folder.file_digests), document.get("stamps") or []
    tables, files = _since(folder.root, stamps, contents)
    harm = [table_words(one) for one in tables if one.is_harm] + files_words([one for one in files if one.is_harm])
    if harm and not why:
        raise DesignError(f"The data were stamped, and what was stamped was changed since. {' '.join(harm)} Put it back as it was, or "
                          'stamp it again with --reason "why it was changed": the stamp before stays, and verifying tells both.')
    signer = "" if key is None else public_text(key)
    uncovered = tuple(f"Not covered by the stamp: {shown(file)} ({reason})." for file, reason in contents.refused.items())
    is_known = stamps and not tables and not files and stamps[-1]["entry"] == document["entries"][-1]["entry_digest"]
    if is_known and signer in ("", stamps[-1]["key"]):
        return {"stamp": stamp_of(stamps[-1]), "uncovered": uncovered}, {}
    text, path, listing = stamp_added(document, contents, at=at, reason=why if harm else "", key=key)
    stamp = stamp_of(document_from_text(text)["stamps"][-1])
    return {"stamp": stamp, "has_stamped": True, "tables": tables, "files": files, "uncovered": uncovered}, {path: listing, SEAL_FILE: text}


def _since(root: Path, stamps: list[dict[str, Any]], contents: Contents) -> tuple[tuple[TableChange, ...], tuple[FileChange, ...]]:
    """What became of the last stamp's data; nothing where there is none."""
    if not stamps:
        return (), ()
    wrong = DesignError("A stamp in seal.json was changed after it was written: fairtank verify tells what was changed. Nothing was "
                        "stamped.")
    try:
        before = ""
        for number, stamp in enumerate(stamps, start=1):
            if stamp_faults(stamp, number, before, (stamp["entry"],)):
                raise wrong
            before = stamp["stamp_digest"]
        then, _ = stamped_of(root, stamps[-1])
    except (ValueError, KeyError, TypeError, AttributeError):
        raise wrong from None
    return changes_since(then, contents)


def titles_of(folder: TrialFolder) -> dict[str, str]:
    """The measures' titles by key."""
    return {one.key: title_unit_scale(one)[0] for one in folder.plan.measures}


def data_of(folder: TrialFolder) -> tuple[int, int, str]:
    """How many values and photos a folder holds, and a digest over their files; empty where it holds none."""
    rows = sum(len(one.days) for one in folder.series) + len(folder.readings) + len(folder.scores) + len(folder.pairs)
    photos = {photo.path for photo in folder.photos}
    files = {path: digest for path, digest in folder.file_digests.items() if path in DATA_FILES or path in photos}
    return rows, len(photos), digest_of_files(files) if rows or photos else ""


def sealed_json(sealed: SealedTrial) -> str:
    """What sealing did as one JSON object."""
    one, stamp = sealed.sealing, sealed.stamp
    document = {
        "software": f"fairtank {__version__}", "done": sealed.done, "at": one.at.isoformat(), "code": one.code,
        "digest": f"sha256:{one.digest}", "signed_with": code_of_key(one.key) if one.key else None,
        "first": {"at": sealed.first.at.isoformat(), "code": sealed.first.code, "digest": f"sha256:{sealed.first.digest}"},
        "data": {"values": one.rows, "photos": one.photos, "digest": one.data_digest or None}, "reason": one.reason or None,
        "changes": [change_words(change, sealed.titles) for change in sealed.changes], "file": str(sealed.place),
        "stamp": None if stamp is None else {
            "at": stamp.at.isoformat(), "code": stamp.code, "rows": stamp.rows, "pictures": stamp.pictures, "is_new": sealed.has_stamped,
            "listing": str(sealed.place.parent / stamp.listing), "signed_with": code_of_key(stamp.key) if stamp.key else None,
            "reason": stamp.reason or None, "uncovered": list(sealed.uncovered),
            "changes": [*map(table_words, sealed.tables), *files_words(sealed.files)]},
    }
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
