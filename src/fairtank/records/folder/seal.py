"""seal.json: the plan as it was fixed, with its digest, and every amendment after it; read, checked and written.

Each entry carries a digest over its own content and that of the entry before, so that no part can be changed by itself. Keys that are
not known here (a signature, a calendar's stamp) are kept where they stand: an entry's digest is over the known ones alone.
"""

import base64
import hashlib
import json
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from fairtank import __version__
from fairtank.records.folder.problems import Problems, shown
from fairtank.seal import Parts, Seal, Sealing

SEAL_FILE = "seal.json"
FORM = 1
CODE_LENGTH, CODE_GROUP = 10, 5
_ENTRY = ("at", "plan", "digest", "code", "rows", "photos", "data_digest", "reason", "software")
_ACCEPTED = "a seal.json as `fairtank seal` wrote it, unchanged"


def canonical(value: Any) -> str:
    """One text for one content: keys sorted, no spaces, numbers as Python writes floats, signs as they are (UTF-8).

    >>> canonical({"b": 0.1, "a": ["ä", None]})
    '{"a":["ä",null],"b":0.1}'
    """
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def digest_of(value: Any) -> str:
    """SHA-256 over the canonical text, in hexadecimal."""
    return hashlib.sha256(canonical(value).encode()).hexdigest()


def code_of(digest: str) -> str:
    """The start of a digest in letters and digits that can be read aloud and held into a camera: 50 of its 256 bits.

    >>> code_of("00" * 32)
    'AAAAA-AAAAA'
    """
    letters = base64.b32encode(bytes.fromhex(digest)).decode()[:CODE_LENGTH]
    return "-".join(letters[start : start + CODE_GROUP] for start in range(0, CODE_LENGTH, CODE_GROUP))


def sealing_of(parts: Parts, *, at: datetime, rows: int, photos: int, data_digest: str, reason: str = "") -> Sealing:
    """The judged parts of a plan as an entry of a seal."""
    digest = digest_of(parts)
    return Sealing(at, parts, digest, code_of(digest), rows, photos, data_digest, reason, f"fairtank {__version__}")


def text_with(seal: Seal | None, added: Sealing) -> str:
    """seal.json with one more entry; all that stood there stays."""
    document: dict[str, Any] = dict(seal.document) if seal else {"form": FORM, "entries": []}
    entries = list(document["entries"])
    before = entries[-1]["entry_digest"] if entries else ""
    entry: dict[str, Any] = {**asdict(added), "at": _time_text(added.at), "before": before}
    entry = {"at": entry["at"], **{name: entry[name] for name in _ENTRY if name != "at"}, "before": before}
    entries.append({**entry, "entry_digest": digest_of(entry)})
    return _text({**document, "entries": entries})


def text_from_seal(seal: Seal) -> str:
    """seal.json as it was read, with the keys that are not known here."""
    return _text(seal.document)


def _text(document: dict[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _time_text(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def seal_from_text(text: str, problems: Problems) -> Seal | None:
    """The seal that a text of seal.json holds; None after a problem was noted, also where a digest does not fit its content."""
    try:
        document = json.loads(text, parse_constant=_refused)
        entries = document["entries"]
        if document["form"] != FORM:
            problems.add(SEAL_FILE, None, "form", f"{shown(str(document['form']))} is another form of seal", f"{FORM}, as of this fairtank")
            return None
        if not isinstance(entries, list) or not entries:
            raise ValueError
        read = [_sealing(entry, number, entries, problems) for number, entry in enumerate(entries)]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        problems.add(SEAL_FILE, None, None, "it cannot be read as a seal", _ACCEPTED)
        return None
    sealed = tuple(one for one in read if one is not None)
    return Seal(sealed, document) if len(sealed) == len(entries) else None


def _refused(name: str) -> Any:
    raise ValueError(name)


def _sealing(entry: dict[str, Any], number: int, entries: list[dict[str, Any]], problems: Problems) -> Sealing | None:
    """One entry, once its digests fit its content."""
    which = "the seal" if number == 0 else f"amendment {number}"
    before = entries[number - 1]["entry_digest"] if number else ""
    known = {**{name: entry[name] for name in _ENTRY}, "before": entry["before"]}
    fits = (entry["digest"] == digest_of(entry["plan"]) and entry["code"] == code_of(entry["digest"]) and entry["before"] == before
            and entry["entry_digest"] == digest_of(known))
    if not fits:
        problems.add(SEAL_FILE, None, None, f"{which} was changed after it was written: its digest does not fit its content", _ACCEPTED)
        return None
    parts = {section: {key: dict(values) for key, values in tables.items()} for section, tables in entry["plan"].items()}
    at = datetime.fromisoformat(entry["at"])
    if at.tzinfo is None:
        raise ValueError
    return Sealing(at, parts, entry["digest"], entry["code"], int(entry["rows"]), int(entry["photos"]), str(entry["data_digest"]),
                   str(entry["reason"]), str(entry["software"]))
