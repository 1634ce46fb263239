"""Stamps: the data as they lay in a folder at one time, row by row, in seal.json and in one listing per stamp below `stamps/`.

seal.json holds of each stamp the time, a digest over the rows of each table, and the digest of the listing; the listing holds a short mark
of every row and the digest of every picture, so that what was changed can be named. A stamp's own digest covers the seal and the stamp
before, so that its code pins all of them.
"""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, check_path, read_bytes
from fairtank.records.folder.problems import Refusal
from fairtank.records.folder.seal import document_from_text, document_text, time_text
from fairtank.records.folder.seal_canonical import FORM, bytes_of, code_of, digest_of
from fairtank.records.folder.seal_contents import Contents
from fairtank.records.folder.seal_faults import STAMP_NAMES, known_of_stamp, marks_of
from fairtank.records.folder.seal_rows import TableMarks, marks_of_text, table_change, table_change_unlisted, text_of_marks
from fairtank.records.folder.seal_signature import public_text, signature_text
from fairtank.seal import FileChange, Stamp, TableChange

FOLDER = "stamps"
# Files that may change while a trial runs: the seal tells what of the plan was changed, and a schedule is planned anew after a slip.
LIVING = ("trial.toml", "schedule.toml")


@dataclass(frozen=True)
class Stamped:
    """A stamp with its listing; contents: what lay there, None where the listing is missing or was changed."""

    stamp: Stamp
    contents: Contents | None
    pictures_digest: str


def stamp_added(document: Mapping[str, Any], contents: Contents, *, at: datetime, reason: str = "",
                key: Any = None) -> tuple[str, str, str]:
    """seal.json with one more stamp, signed where a private key is given; and the path and the text of its listing."""
    stamps = list(document.get("stamps") or [])
    listing = {
        "form": FORM, "pictures": contents.pictures,
        "tables": {file: {"columns": list(one.columns), "file": one.file_digest, "marks": text_of_marks(one.marks)}
                   for file, one in contents.tables.items()},
    }
    path = f"{FOLDER}/{len(stamps) + 1}.json"
    stamp: dict[str, Any] = {
        "form": FORM, "at": time_text(at),
        "tables": {file: {"rows": len(one.marks), "digest": one.digest} for file, one in contents.tables.items()},
        "documents": contents.documents, "pictures": {"count": len(contents.pictures), "digest": digest_of(contents.pictures)},
        "listing": path, "listing_digest": digest_of(listing), "reason": reason, "software": f"fairtank {__version__}",
        "key": "" if key is None else public_text(key), "entry": document["entries"][-1]["entry_digest"],
        "before": stamps[-1]["stamp_digest"] if stamps else "",
    }
    stamp["fields"] = marks_of(stamp, STAMP_NAMES)
    known = known_of_stamp(stamp)
    digest = digest_of(known)
    signed = {} if key is None else {"signature": signature_text(key, bytes_of(known))}
    stamps.append({**stamp, "stamp_digest": digest, "code": code_of(digest), **signed})
    return document_text({**document, "form": FORM, "stamps": stamps}), path, document_text(listing)


def stamp_of(stamp: Mapping[str, Any]) -> Stamp:
    """A stamp as it stands in the file, whether or not its digest fits; KeyError, TypeError or ValueError where it is none."""
    at = datetime.fromisoformat(stamp["at"])
    if at.tzinfo is None:
        raise ValueError("a time without its zone")
    tables = tuple((file, int(one["rows"]), str(one["digest"])) for file, one in stamp["tables"].items())
    return Stamp(at, tables, tuple((file, str(digest)) for file, digest in stamp["documents"].items()), int(stamp["pictures"]["count"]),
                 str(stamp["listing"]), str(stamp["code"]), str(stamp["reason"]), str(stamp["key"]), str(stamp["software"]))


def stamped_of(root: Path, entry: Mapping[str, Any]) -> tuple[Stamped, str]:
    """A stamp with its listing, and what is wrong with that: `missing`, `changed`, or nothing."""
    stamp, pictures = stamp_of(entry), str(entry["pictures"]["digest"])
    try:
        check_path(stamp.listing)
        listing = document_from_text(read_bytes(root, stamp.listing, CSV_LIMIT_BYTES).decode())
        is_same = digest_of(listing) == entry["listing_digest"]
        contents = _contents_of_listing(listing, stamp) if is_same else None
    except Refusal:
        return Stamped(stamp, None, pictures), "missing"
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return Stamped(stamp, None, pictures), "changed"
    return Stamped(stamp, contents, pictures), "" if is_same else "changed"


def listings_in(root: Path, document: Mapping[str, Any]) -> dict[str, bytes]:
    """The listings of all stamps as they lie in a folder, by their path; those that cannot be read are left out, as verifying tells."""
    found = dict[str, bytes]()
    for stamp in document.get("stamps") or ():
        path = str(stamp.get("listing", ""))
        with suppress(Refusal):
            if path.startswith(f"{FOLDER}/"):
                found[path] = read_bytes(root, path, CSV_LIMIT_BYTES)
    return found


def _contents_of_listing(listing: Mapping[str, Any], stamp: Stamp) -> Contents:
    digests = {file: digest for file, _, digest in stamp.tables}
    tables = {file: TableMarks(tuple(one["columns"]), marks_of_text(one["marks"]), digests[file], str(one["file"]))
              for file, one in listing["tables"].items()}
    return Contents(tables, dict(stamp.documents), {str(path): str(digest) for path, digest in listing["pictures"].items()})


def changes_since(then: Stamped, now: Contents, later: Stamp | None = None) -> tuple[tuple[TableChange, ...], tuple[FileChange, ...]]:
    """What became of everything that was stamped, until now or until a later stamp; what is the same to the byte is left out."""
    since = then.stamp.at
    until, reason = (None, "") if later is None else (later.at, later.reason)
    tables = [_table(then, file, rows, digest, now, until, reason) for file, rows, digest in then.stamp.tables]
    came = tuple(TableChange(file, since, 0, until, reason, one.numbers or tuple(range(2, len(one.marks) + 2)))
                 for file, one in now.tables.items() if file not in {file for file, _, _ in then.stamp.tables} and one.marks)
    files = _files(dict(then.stamp.documents), now.documents, since, until, reason, is_picture=False)
    if then.contents is not None:
        files += _files(then.contents.pictures, now.pictures, since, until, reason, is_picture=True)
    elif len(now.pictures) <= then.stamp.pictures and digest_of(now.pictures) != then.pictures_digest:
        files.append(FileChange("", "changed", since, until, reason, is_picture=True))
    return (*(one for one in tables if one is not None), *came), tuple(files)


def _table(then: Stamped, file: str, rows: int, digest: str, now: Contents, until: datetime | None, reason: str) -> TableChange | None:
    since, found = then.stamp.at, now.tables.get(file)
    if then.contents is not None and file in then.contents.tables:
        return table_change(file, then.contents.tables[file], found, since, until=until, reason=reason)
    if found is not None and not found.wholes:  # two stamps, and the list of the earlier one is gone
        return None
    return table_change_unlisted(file, rows, digest, found, since)


def _files(then: Mapping[str, str], now: Mapping[str, str], since: datetime, until: datetime | None, reason: str, *,
           is_picture: bool) -> list[FileChange]:
    """Files that were changed, are missing, or came."""
    found = []
    for file in dict.fromkeys((*then, *now)):
        kind = "added" if file not in then else "missing" if file not in now else "changed" if then[file] != now[file] else ""
        if kind:
            found.append(FileChange(file, kind, since, until, reason, file in LIVING and kind == "changed", is_picture))
    return found
