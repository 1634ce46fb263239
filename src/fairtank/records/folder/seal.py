"""seal.json: the plan as it was fixed, with its digest, and every amendment after it; read, checked and written.

Each entry carries a digest over its own content and that of the entry before, so that no part can be changed by itself; beside it a short
mark of each field, which tells what was changed where a digest does not fit. An entry may be signed: its public key is part of what is
digested, the signature is over the same bytes as the digest. Stamps over the data lie in the same file: see seal_stamp. Keys that are not
known here (a calendar's stamp) are kept where they stand: digests are over the known ones alone.
"""

import json
from datetime import UTC, datetime
from typing import Any

from fairtank import __version__
from fairtank.errors import InputError
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.seal_canonical import FORM, FORMS, bytes_of, code_of, digest_of
from fairtank.records.folder.seal_faults import NAMES, entry_faults, known_of, marks_of
from fairtank.records.folder.seal_signature import public_text, signature_text
from fairtank.seal import Parts, Seal, Sealing

SEAL_FILE = "seal.json"
_ACCEPTED = "a seal.json as `fairtank seal` wrote it, unchanged (`fairtank verify` tells what was changed)"


def sealing_of(parts: Parts, *, at: datetime, rows: int, photos: int, data_digest: str, reason: str = "", key: str = "") -> Sealing:
    """The judged parts of a plan as an entry of a seal; key: the public key that will sign it, in base64."""
    digest = digest_of(parts)
    return Sealing(at, parts, digest, code_of(digest), rows, photos, data_digest, reason, f"fairtank {__version__}", key)


def text_with(seal: Seal | None, added: Sealing, key: Any = None) -> str:
    """seal.json with one more entry, signed where a private key is given; all that stood there stays."""
    document: dict[str, Any] = dict(seal.document) if seal else {"form": FORM, "entries": []}
    entries, stamps = list(document["entries"]), document.get("stamps") or []
    entry: dict[str, Any] = {
        "form": FORM, "at": time_text(added.at), "plan": added.plan, "digest": added.digest, "code": added.code, "rows": added.rows,
        "photos": added.photos, "data_digest": added.data_digest, "reason": added.reason, "software": added.software,
        "key": "" if key is None else public_text(key), "stamp": stamps[-1]["stamp_digest"] if stamps else "",
        "before": entries[-1]["entry_digest"] if entries else "",
    }
    entry["fields"] = marks_of(entry, NAMES[FORM])
    sealed = bytes_of(known_of(entry))
    closing = {"entry_digest": digest_of(known_of(entry)), **({} if key is None else {"signature": signature_text(key, sealed)})}
    return document_text({**document, "form": FORM, "entries": [*entries, {**entry, **closing}]})


def text_from_seal(seal: Seal) -> str:
    """seal.json as it was read, with the keys that are not known here."""
    return document_text(seal.document)


def document_text(document: dict[str, Any]) -> str:
    """A document of seals as it is written into its file."""
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def time_text(at: datetime) -> str:
    """A time to the second, in UTC."""
    return at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def document_from_text(text: str) -> dict[str, Any]:
    """The JSON table that a text holds; ValueError where it is none, or names a field twice."""
    document = json.loads(text, parse_constant=_refused, object_pairs_hook=_table)
    if not isinstance(document, dict):
        raise ValueError("a table")
    return document


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) != len(pairs):
        raise ValueError("a field that is named twice")
    return table


def _refused(name: str) -> Any:
    raise ValueError(name)


def seal_from_text(text: str, problems: Problems) -> Seal | None:
    """The seal that a text of seal.json holds; None after a problem was noted, also where a digest does not fit its content."""
    try:
        document = document_from_text(text)
        entries = document["entries"]
        if document["form"] not in FORMS:
            problems.add(SEAL_FILE, None, "form", f"{shown(str(document['form']))} is another form of seal",
                         f"{' or '.join(map(str, FORMS))}, as of this fairtank")
            return None
        stamps = document.get("stamps") or []
        if not isinstance(entries, list) or not entries or not all(isinstance(one["stamp_digest"], str) for one in stamps):
            raise ValueError
        read = [_sealing(entry, number, entries, problems) for number, entry in enumerate(entries)]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        problems.add(SEAL_FILE, None, None, "it cannot be read as a seal", _ACCEPTED)
        return None
    sealed = tuple(one for one in read if one is not None)
    return Seal(sealed, document) if len(sealed) == len(entries) else None


def _sealing(entry: dict[str, Any], number: int, entries: list[dict[str, Any]], problems: Problems) -> Sealing | None:
    """One entry, once its digests fit its content."""
    sealing = sealing_of_entry(entry)
    before = entries[number - 1]["entry_digest"] if number else ""
    if entry_faults(entry, number, before):
        which = "the seal" if number == 0 else f"amendment {number}"
        problems.add(SEAL_FILE, None, None, f"{which} was changed after it was written: its digest does not fit its content", _ACCEPTED)
        return None
    return sealing


def sealing_of_entry(entry: dict[str, Any]) -> Sealing:
    """One entry as it stands in the file, whether or not its digests fit; KeyError, TypeError or ValueError where it is none."""
    parts = {section: {key: dict(values) for key, values in tables.items()} for section, tables in entry["plan"].items()}
    at = datetime.fromisoformat(entry["at"])
    if at.tzinfo is None:
        raise ValueError("a time without its zone")
    if entry.get("form", 1) not in FORMS:
        raise InputError("the form of a seal", entry["form"], f"one of {FORMS}")
    return Sealing(at, parts, str(entry["digest"]), str(entry["code"]), int(entry["rows"]), int(entry["photos"]), str(entry["data_digest"]),
                   str(entry["reason"]), str(entry["software"]), str(entry.get("key", "")), int(entry.get("form", 1)))
