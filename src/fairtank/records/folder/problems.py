"""Collects everything that is wrong in a trial folder, so that all of it can be said at once."""

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

from fairtank.errors import FolderError, Problem

MOST_PER_FILE = 50
LONGEST_PLACE = 260
_PLAIN = re.compile(r"[\w.+:/%-]+")


class Refusal(Exception):
    """What was read cannot be used: `read` says what it is, `accepted` what may stand there."""

    def __init__(self, read: str, accepted: str) -> None:
        self.read, self.accepted = read, accepted
        super().__init__(f"{read}; accepted: {accepted}")


class Problems:
    """The problems found so far; each file lists at most MOST_PER_FILE and counts the rest. Files are told of in the given order.

    The same problem in many rows is one problem with all its rows: one mistake is told once.
    """

    def __init__(self, order: tuple[str, ...] = ()) -> None:
        self._listed: dict[str, dict[Problem, list[int]]] = {file: {} for file in order}
        self._found: Counter[str] = Counter()

    def __bool__(self) -> bool:
        return bool(self._found)

    def add(self, file: str, row: int | None, column: str | None, read: str, accepted: str) -> None:
        """Note one problem: where it stands, what was read, what is accepted."""
        problem = Problem(on_one_line(file), None, None if column is None else on_one_line(column), read, accepted)
        self._note(_group(file), problem, [] if row is None else [row], 1)

    def refuse(self, file: str, row: int | None, column: str | None, refusal: Refusal) -> None:
        """Note a refusal as a problem of this place."""
        self.add(file, row, column, refusal.read, refusal.accepted)

    def take(self, other: "Problems") -> None:
        """Note everything that another collection holds."""
        for group, problems in other._listed.items():
            for problem, rows in problems.items():
                self._note(group, problem, rows, max(len(rows), 1))
            self._found[group] += other._found[group] - _count(problems)
        self._found = +self._found

    def withdraw(self, file: str, column: str, read: str) -> None:
        """Forget what begins with `read` about one place, because another problem explains it."""
        listed = self._listed.get(_group(file), {})
        for problem in [one for one in listed if (one.file, one.column) == (file, column) and one.read.startswith(read)]:
            self._found[_group(file)] -= max(len(listed.pop(problem)), 1)
        self._found = +self._found

    def as_error(self) -> FolderError:
        """Every problem, file by file, in the order of the rows."""
        told: list[Problem] = []
        for group, problems in self._listed.items():
            placed = [_placed(problem, sorted(rows)) for problem, rows in problems.items()]
            told += sorted(placed, key=lambda problem: problem.row or 0)
            unlisted = self._found[group] - _count(problems)
            if unlisted:
                noun = "problem is" if unlisted == 1 else "problems are"
                told.append(Problem(group, None, None, f"{unlisted} more {noun} not listed here", ""))
        return FolderError(tuple(told))

    def sentences(self) -> tuple[str, ...]:
        """Every problem as a sentence; none where there is none."""
        return tuple(str(problem) for problem in self.as_error().problems)

    def _note(self, group: str, problem: Problem, rows: list[int], count: int) -> None:
        listed = self._listed.setdefault(group, {})
        self._found[group] += count
        if problem in listed and rows:
            listed[problem] += rows
        elif problem in listed:
            self._found[group] -= count
        elif len(listed) < MOST_PER_FILE:
            listed[problem] = list(rows)


def _count(problems: dict[Problem, list[int]]) -> int:
    return sum(max(len(rows), 1) for rows in problems.values())


def _placed(problem: Problem, rows: list[int]) -> Problem:
    return replace(problem, row=rows[0], further_rows=tuple(rows[1:])) if rows else problem


def check_is_folder(root: Path, holds: str) -> None:
    """Refuse what is no folder: a file in its place, most often one of the folder's own, or nothing at all."""
    name = root.name or str(root)
    if root.is_file():
        holder = "the folder it lies in, written as a dot (.)" if root.parent == Path() else f"the folder {root.parent}"
        accepted = holder if (root.parent / holds).is_file() else f"a folder that holds {holds}"
        raise FolderError((Problem(name, None, None, "this is a file, and a folder is wanted", accepted),))
    if not root.is_dir():
        raise FolderError((Problem(name, None, None, "there is no such folder", f"a folder that holds {holds}"),))


def _group(file: str) -> str:
    """Tables stand for themselves; pictures are counted by their folder, so that a thousand of them stay readable."""
    return file if file.endswith((".csv", ".toml")) else file.rpartition("/")[0] or file


def on_one_line(text: str, longest: int = LONGEST_PLACE) -> str:
    """Text cut to a length, with every mark that cannot be printed replaced."""
    line = "".join(mark if mark.isprintable() else "\N{REPLACEMENT CHARACTER}" for mark in text[: longest + 1])
    return line if len(line) <= longest else line[: longest - 1] + "…"


def shown(text: str, longest: int = 60) -> str:
    """A piece of what was read, fit to stand in a sentence: short, on one line, quoted where it is not one plain word."""
    if not text:
        return "an empty cell"
    line = on_one_line(text, longest)
    return line if _PLAIN.fullmatch(line) else f'"{line}"'


def listed(keys: tuple[str, ...], most: int = 10) -> str:
    """Accepted keys as a short list in words."""
    named = ", ".join(shown(key) for key in keys[:most])
    return f"{named} and {len(keys) - most} more" if len(keys) > most else named
