"""What a table holds, row by row, as short marks; and what became of its rows, from the marks of then and now."""

import base64
import csv
import hashlib
import io
import re
from bisect import bisect_left
from collections import defaultdict, deque
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from json.encoder import encode_basestring

from fairtank.seal import TableChange

MARK_BYTES = 6  # of a row's SHA-256: enough to tell rows apart; the digest over all of them is whole
MARK_LETTERS = MARK_BYTES * 4 // 3
_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,14})\.[0-9]{1,15}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_TIMES = ("taken_at", "at", "done_at")


@dataclass(frozen=True)
class TableMarks:
    """The rows of one table: their short marks, in order; digest over their whole ones; file_digest over the bytes of the file.

    columns: the header's names. numbers: of each row as a spreadsheet shows it. wholes: the whole marks; days: a row's own day, or empty;
    these three are empty where the marks come from a stamp.
    """

    columns: tuple[str, ...]
    marks: tuple[bytes, ...]
    digest: str
    file_digest: str
    numbers: tuple[int, ...] = ()
    wholes: tuple[bytes, ...] = ()
    days: tuple[str, ...] = ()


def marks_of_table(content: bytes) -> TableMarks:
    """The marks of a CSV file's rows; rows without any cell are passed over, as they are when the folder is read.

    A row's mark is over its filled cells with their columns' names, whatever the order of the columns: blanks around a cell and zeros at
    the end of a decimal number do not count, since a spreadsheet that saves a table anew may drop them.
    """
    text = content.decode("utf-8-sig", errors="replace")
    header: list[str] | None = None
    names: list[tuple[str, str, bool]] = []
    numbers, wholes, days = [], [], []
    for number, cells in _rows(text):
        if not "".join(cells).strip():
            continue
        if header is None:
            header = [cell.strip() for cell in cells]
            continue
        names += (_column(f"#{place + 1}" if place >= len(header) else header[place]) for place in range(len(names), len(cells)))
        filled, day = [], ""
        for (name, written, is_time), cell in zip(names, cells, strict=False):
            value = cell.strip()
            if value:
                value = _plain(value)
                filled.append((name, value, written))
                if is_time and not day and _DAY.match(value):
                    day = value[:10]
        filled.sort()
        row = ",".join([f"[{written},{encode_basestring(value)}]" for _, value, written in filled])  # as json.dumps writes the pairs
        numbers.append(number)
        wholes.append(hashlib.sha256(f"[{row}]".encode()).digest())
        days.append(day)
    return table_marks(header or (), wholes, hashlib.sha256(content).hexdigest(), numbers, days)


def table_marks(columns: Sequence[str], wholes: Sequence[bytes], file_digest: str, numbers: Sequence[int],
                days: Sequence[str]) -> TableMarks:
    """Marks of a table from the whole marks of its rows."""
    return TableMarks(tuple(columns), tuple(whole[:MARK_BYTES] for whole in wholes), digest_of_rows(wholes), file_digest, tuple(numbers),
                      tuple(wholes), tuple(days))


def _column(name: str) -> tuple[str, str, bool]:
    """A column's name, the same as JSON, and whether it holds a time."""
    return name, encode_basestring(name), name in _TIMES


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Rows by number; a text that cannot be parted into cells is taken line by line."""
    try:
        return list(enumerate(csv.reader(io.StringIO(text, newline=""), strict=True), start=1))
    except csv.Error:
        return [(number, [line]) for number, line in enumerate(text.splitlines(), start=1)]


def _plain(cell: str) -> str:
    return cell.rstrip("0").removesuffix(".") if "." in cell and _NUMBER.fullmatch(cell) else cell


def digest_of_rows(wholes: Sequence[bytes]) -> str:
    """SHA-256 over the whole marks of rows, in their order."""
    return hashlib.sha256(b"".join(wholes)).hexdigest()


def text_of_marks(marks: Sequence[bytes]) -> str:
    """Short marks as one text: eight letters of base64 for each row."""
    return base64.b64encode(b"".join(marks)).decode()


def marks_of_text(text: str) -> tuple[bytes, ...]:
    """The short marks that a text holds; ValueError where it is none."""
    content = base64.b64decode(text, validate=True)
    if len(content) % MARK_BYTES:
        raise ValueError("marks of rows")
    return tuple(content[start : start + MARK_BYTES] for start in range(0, len(content), MARK_BYTES))


def table_change(file: str, then: TableMarks, now: TableMarks | None, since: datetime, *, until: datetime | None = None,
                 reason: str = "") -> TableChange | None:
    """What became of a table that was stamped; None where it is the same to the byte.

    Rows that are found again are taken in their old order; what lies between them on both sides is paired as changed, row by row.
    """
    if now is None:
        return TableChange(file, since, len(then.marks), until, reason, is_missing=True)
    if then.file_digest == now.file_digest:
        return None
    gone = tuple(name for name in then.columns if name and name not in now.columns)
    found, came = _found(then.marks, now.marks)
    kept = _in_order(found)
    changed, removed, paired = _paired(found, kept, came)
    added = [place for place in came if place not in paired]
    there = [place for place in found if place is not None]
    is_forged = not removed and not changed and bool(now.wholes) and digest_of_rows([now.wholes[place] for place in there]) != then.digest
    numbers = now.numbers or tuple(place + 2 for place in range(len(now.marks)))
    stamped_on = f"{since:%Y-%m-%d}"
    early = sum(1 for place in added if now.days and now.days[place] and now.days[place] < stamped_on)
    moved = sum(1 for place in found if place is not None) - len(kept)
    is_alike = not (added or changed or removed or moved or gone)
    return TableChange(
        file, since, len(then.marks), until, reason, tuple(numbers[place] for place in added), early,
        tuple((old + 2, numbers[new]) for old, new in changed), tuple(old + 2 for old in removed), moved,
        gone if changed or removed else (), is_rewritten=is_alike and not is_forged, is_unplaced=is_forged)


def table_change_unlisted(file: str, rows: int, digest: str, now: TableMarks | None, since: datetime) -> TableChange | None:
    """What can be said without the list of a stamp's rows: whether the first so many rows are those that were stamped."""
    if now is None:
        return TableChange(file, since, rows, is_missing=True)
    if digest_of_rows(now.wholes[:rows]) == digest and len(now.wholes) >= rows:
        added = now.numbers[rows:]
        early = sum(1 for day in now.days[rows:] if day and day < f"{since:%Y-%m-%d}")
        return TableChange(file, since, rows, added=added, early=early) if added else None
    return TableChange(file, since, rows, is_unplaced=True)


def _found(then: Sequence[bytes], now: Sequence[bytes]) -> tuple[list[int | None], list[int]]:
    """Where each row of then stands now, None where it does not; and the places now of rows that were not there then.

    Rows alike at the start and at the end are taken first: among rows of the same content the one in its old place is then the old one.
    """
    least = min(len(then), len(now))
    start = next((place for place in range(least) if then[place] != now[place]), least)
    end = next((back for back in range(least - start) if then[-1 - back] != now[-1 - back]), least - start)
    places: dict[bytes, deque[int]] = defaultdict(deque)
    for place in range(start, len(now) - end):
        places[now[place]].append(place)
    middle = [places[mark].popleft() if places.get(mark) else None for mark in then[start:len(then) - end]]
    found = [*range(start), *middle, *range(len(now) - end, len(now))]
    return found, sorted(place for left in places.values() for place in left)


def _in_order(found: Sequence[int | None]) -> dict[int, int]:
    """The most rows of then, with their places now, that stand in their old order: a longest rising run."""
    tails: list[int] = []
    last: list[int] = []
    before: dict[int, int | None] = {}
    for old, new in enumerate(found):
        if new is None:
            continue
        place = bisect_left(tails, new)
        tails[place:place + 1] = [new]
        last[place:place + 1] = [old]
        before[old] = last[place - 1] if place else None
    kept: dict[int, int] = {}
    one = last[-1] if last else None
    while one is not None:
        place_now = found[one]
        assert place_now is not None
        kept[one] = place_now
        one = before[one]
    return dict(sorted(kept.items()))


def _paired(found: Sequence[int | None], kept: dict[int, int], came: Sequence[int]) -> tuple[list[tuple[int, int]], list[int], set[int]]:
    """Rows that were changed (then, now), rows that are gone, and the places now of the changed ones: gap by gap between kept rows."""
    changed: list[tuple[int, int]] = []
    removed: list[int] = []
    start_old, start_new, at = 0, 0, 0
    ends = [*kept.items(), (len(found), 1 << 62)]
    for end_old, end_new in ends:
        lost = [old for old in range(start_old, end_old) if found[old] is None]
        fresh = []
        while at < len(came) and came[at] < end_new:
            if came[at] >= start_new:
                fresh.append(came[at])
            at += 1
        changed += list(zip(lost, fresh, strict=False))
        removed += lost[len(fresh):]
        start_old, start_new = end_old + 1, end_new + 1
    return changed, removed, {new for _, new in changed}
