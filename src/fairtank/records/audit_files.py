"""The files of an audit: key.csv (which point is where), answers.csv (what a person saw), and audit.csv, which takes the answers."""

import csv
import hashlib
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import FolderError, Problem, plain_reason
from fairtank.records.folder.cells import KEY, PATH, TEXT, number, number_text, whole
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Row, rows_from_text
from fairtank.records.folder.tables import AUDIT, OWN_CLASSES, UNSURE, Column, Table

KEY_FILE, ANSWERS_FILE, SHEET_FILE = "key.csv", "answers.csv", "sheet.html"
WARNING = "# Do not open this file before all answers are in: it says which photo each point is from, and whoever knows is not blind."
_KEY = Table(KEY_FILE, (Column("draw", KEY), Column("point", whole(1, 1_000_000)), Column("photo", PATH),
                        Column("x", number(0, 1e5)), Column("y", number(0, 1e5))))  # fmt: skip
_POINT = re.compile(r"(?:point[- ]?)?0*([1-9][0-9]{0,6})(?:\.jpg)?", re.IGNORECASE | re.ASCII)
_CANNOT_TELL = ("can't tell", "can’t tell", "cannot tell", "?", UNSURE)


@dataclass(frozen=True)
class KeyPoint:
    """One drawn point. draw: the code of its draw; number: its place in the sheet, from 1; x, y: px of the upright photo."""

    draw: str
    number: int
    photo: str
    x: float
    y: float

    @property
    def name(self) -> str:
        """Its name in the sheet and in the answers."""
        return f"point-{self.number:04d}"


@dataclass(frozen=True)
class Answer:
    """What one person said about one point."""

    point: KeyPoint
    answer: str
    rater: str


def draw_code(points: Sequence[tuple[int, str, float, float]]) -> str:
    """Ten characters that stand for one draw: its numbers, photos and places."""
    text = "\n".join(f"{place} {photo} {number_text(x)} {number_text(y)}" for place, photo, x, y in points)
    return hashlib.sha256(text.encode()).hexdigest()[:10]


def key_text(points: Sequence[KeyPoint]) -> str:
    """key.csv; its first line warns whoever opens it."""
    rows = ((point.draw, point.number, point.photo, number_text(point.x), number_text(point.y)) for point in points)
    return WARNING + "\n" + _csv(("draw", "point", "photo", "x", "y"), rows)


def key_read(path: Path) -> tuple[KeyPoint, ...]:
    """The points of all draws so far; none where there is no key yet.

    Raises
    ------
    FolderError
        If the key cannot be read, or was changed since it was drawn.
    """
    if not path.exists():
        return ()
    text = _text(path)
    head, _, rest = text.partition("\n")
    problems = Problems((KEY_FILE,))
    rows = rows_from_text(_KEY, rest if head.startswith(("#", '"#')) else text, problems)
    if problems:
        raise problems.as_error()
    points = tuple(KeyPoint(*(row.values[name] for name in ("draw", "point", "photo", "x", "y"))) for row in rows.rows)
    for code in dict.fromkeys(point.draw for point in points):
        drawn = [(point.number, point.photo, point.x, point.y) for point in points if point.draw == code]
        if draw_code(drawn) != code:
            accepted = "the key as it was drawn; put it back from a copy, or move the folder away and draw new points"
            raise FolderError((Problem(KEY_FILE, None, None, f"the points of draw {code} were changed since they were drawn", accepted),))
    return points


def answers_text(points: Sequence[KeyPoint], kept: str = "") -> str:
    """answers.csv to be filled by hand: a row for each point, below the rows that are there already."""
    rows = [(point.draw, point.name, "", "") for point in points]
    if not kept.strip():
        return _csv(("draw", "point", "class", "rater"), rows)
    header = next(csv.reader(io.StringIO(kept, newline="")))
    cells = [{"draw": draw, "point": name} for draw, name, *_ in rows]
    added = _csv((), ([cell.get(name.strip(), "") for name in header] for cell in cells))
    return kept.rstrip("\r\n") + "\n" + added


def answers_read(path: Path, points: Sequence[KeyPoint], classes: Sequence[str]) -> tuple[tuple[Answer, ...], int]:
    """The answers of a file joined with the key, and how many rows are still empty.

    Parameters
    ----------
    path : Path
        Made by the sheet, or answers.csv filled by hand.
    points : sequence of KeyPoint
        All draws.
    classes : sequence of str
        Classes of the trial's strokes; they may be used beside plant, algae and background.

    Returns
    -------
    tuple of (tuple of Answer, int)

    Raises
    ------
    FolderError
        If a row names no point of the key, another draw or no class, or a person answers one point in two ways: one sentence each.

    References
    ----------
    common_practice (keys from sources.py).
    """
    problems = Problems((path.name,))
    table = Table(path.name, (Column("draw", TEXT), Column("point", TEXT), Column("class", TEXT, ""), Column("rater", TEXT, "")))
    rows = rows_from_text(table, _text(path), problems)
    known, accepted = {point.number: point for point in points}, tuple(dict.fromkeys((*OWN_CLASSES, *classes, UNSURE)))
    found: dict[tuple[int, str], tuple[Row, Answer]] = {}
    empty = 0
    for row in rows.rows:
        point = _point(row, table.file, known, problems)
        said = str(row.values.get("class", "")).strip()
        if point is None or not said:
            empty += point is not None
            continue
        answer = UNSURE if said.casefold() in _CANNOT_TELL else next((one for one in accepted if one.casefold() == said.casefold()), "")
        if not answer:
            problems.add(table.file, row.number, "class", f"{shown(said)} is no class", listed(accepted))
            continue
        rater = str(row.values.get("rater", ""))
        before = found.setdefault((point.number, rater), (row, Answer(point, answer, rater)))
        if before[1].answer != answer:
            read = f"{point.name} is {before[1].answer} in row {before[0].number} and {answer} here, by the same person"
            problems.add(table.file, row.number, "class", read, "one answer for each point and person")
    if problems:
        raise problems.as_error()
    return tuple(answer for _, answer in found.values()), empty


def _point(row: Row, file: str, known: Mapping[int, KeyPoint], problems: Problems) -> KeyPoint | None:
    """The point that a row names, if it is one of the key and of the same draw."""
    said, draw = str(row.values.get("point", "")), str(row.values.get("draw", ""))
    if not said or not draw:
        return None  # told by the reader of the table
    match = _POINT.fullmatch(said)
    point = known.get(int(match[1])) if match else None
    if point is None:
        problems.add(file, row.number, "point", f"{shown(said)} is no point of this audit", f"point-0001 to point-{max(known):04d}")
    elif point.draw != draw:
        problems.add(file, row.number, "draw", f"{shown(draw)} is not the draw of {point.name}: these answers belong to another audit",
                     f"answers to the sheet in the folder of this key ({point.draw})")
        return None
    return point


def audit_text(kept: str, answers: Sequence[Answer]) -> tuple[str, int, int]:
    """audit.csv with the answers in it, and how many are new and how many replace an earlier answer of the same person.

    Rows and columns that are there already stay as they are.
    """
    reader = csv.reader(io.StringIO(kept, newline=""))
    rows = [row for row in reader if "".join(row).strip()]
    header = [name.strip() for name in rows.pop(0)] if rows else [column.name for column in AUDIT.columns]
    for name in ("photo", "x", "y", "class", "rater"):
        if name not in header:
            header.append(name)
            rows = [[*row, ""] for row in rows]
    at = {name: header.index(name) for name in ("photo", "x", "y", "class", "rater")}
    placed = {(row[at["photo"]].strip(), float(row[at["x"]]), float(row[at["y"]]), row[at["rater"]].strip()): row for row in rows}
    new = replaced = 0
    for one in answers:
        point = one.point
        there = placed.get((point.photo, point.x, point.y, one.rater))
        if there is None:
            cells = {"photo": point.photo, "x": number_text(point.x), "y": number_text(point.y), "class": one.answer, "rater": one.rater}
            rows.append([cells.get(name, "") for name in header])
            new += 1
        elif there[at["class"]].strip() != one.answer:
            there[at["class"]] = one.answer
            replaced += 1
    return _csv(header, rows), new, replaced


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise FolderError((Problem(path.name, None, None, "the file is not UTF-8 text", "a CSV file saved as UTF-8"),)) from error
    except OSError as error:
        raise FolderError((Problem(str(path), None, None, plain_reason(error), "a CSV file of answers"),)) from error


def _csv(header: Sequence[str], rows) -> str:  # type: ignore[no-untyped-def]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    if header:
        writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()
