"""draw.json: every draw of a trial, the one that counts last; read, checked and written.

Each entry carries a digest over its own content and that of the entry before, so that none can be changed or taken out by itself.
"""

import json
from dataclasses import asdict, fields
from datetime import UTC, datetime
from typing import Any

from fairtank.errors import InputError
from fairtank.lot import Draw
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.seal_canonical import LARGEST_WHOLE, digest_of

DRAW_FILE = "draw.json"
FORM = 1
_ACCEPTED = "a draw.json as `fairtank draw` wrote it, unchanged"
_PAIRS = ("arms", "blocks", "tanks", "rows", "columns", "places", "places_before")
_WORDS = ("arm_keys", "planting", "scoring", "blocked_by")
_WHOLE = ("seed", "possible", "values", "photos")


def text_from_draws(draws: tuple[Draw, ...]) -> str:
    """draw.json for these draws, in their order; the same draws give the same text."""
    entries: list[dict[str, Any]] = []
    for draw in draws:
        entry = {**_plain(draw), "before": entries[-1]["entry_digest"] if entries else ""}
        entries.append({**entry, "entry_digest": digest_of(entry)})
    return json.dumps({"form": FORM, "draws": entries}, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _plain(draw: Draw) -> dict[str, Any]:
    """A draw as JSON holds it: pairs as lists, the time in UTC, a number beyond what every reader keeps exactly as text."""
    entry = asdict(draw)
    entry["at"] = draw.at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    for name in _WHOLE:
        entry[name] = entry[name] if entry[name] <= LARGEST_WHOLE else str(entry[name])
    for name in _PAIRS:
        entry[name] = [list(pair) for pair in entry[name]]
    for name in _WORDS:
        entry[name] = list(entry[name])
    entry["window"] = None if draw.window is None else list(draw.window)
    return entry


def draws_from_text(text: str, problems: Problems) -> tuple[Draw, ...]:
    """The draws that a text of draw.json holds; none after a problem was noted, also where a digest does not fit its content."""
    try:
        document = json.loads(text)
        if document["form"] != FORM:
            problems.add(DRAW_FILE, None, "form", f"{shown(str(document['form']))} is another form of draw", f"{FORM}, as of this fairtank")
            return ()
        entries, before = list(document["draws"]), ""
        for number, entry in enumerate(entries, start=1):
            content = {key: value for key, value in entry.items() if key != "entry_digest"}
            if entry["before"] != before or entry["entry_digest"] != digest_of(content):
                problems.add(DRAW_FILE, None, None, f"draw {number} was changed after it was written: its digest does not fit its content",
                             _ACCEPTED)
                return ()
            before = entry["entry_digest"]
        if not entries:
            raise ValueError
        return tuple(_draw(entry) for entry in entries)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, InputError):
        problems.add(DRAW_FILE, None, None, "it cannot be read as a record of draws", _ACCEPTED)
        return ()


def _draw(entry: dict[str, Any]) -> Draw:
    """One entry as a noun."""
    known = {one.name: entry[one.name] for one in fields(Draw)}
    at = datetime.fromisoformat(known["at"])
    if at.tzinfo is None:
        raise ValueError
    known["at"] = at
    for name in _WHOLE:
        known[name] = int(known[name])
    for name in _PAIRS:
        known[name] = tuple((str(first), str(second)) for first, second in known[name])
    for name in _WORDS:
        known[name] = tuple(map(str, known[name]))
    if known["window"] is not None:
        first, last = known["window"]
        known["window"] = int(first), int(last)
    return Draw(**known)
