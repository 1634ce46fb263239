"""Collects everything that is wrong in a trial folder, so that all of it can be said at once."""

import re
from collections import Counter

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
    """The problems found so far; each file lists at most MOST_PER_FILE and counts the rest. Files are told of in the given order."""

    def __init__(self, order: tuple[str, ...] = ()) -> None:
        self._listed: dict[str, list[Problem]] = {file: [] for file in order}
        self._found: Counter[str] = Counter()

    def __bool__(self) -> bool:
        return bool(self._found)

    def add(self, file: str, row: int | None, column: str | None, read: str, accepted: str) -> None:
        """Note one problem: where it stands, what was read, what is accepted."""
        group = _group(file)
        self._found[group] += 1
        listed = self._listed.setdefault(group, [])
        if len(listed) < MOST_PER_FILE:
            listed.append(Problem(on_one_line(file), row, None if column is None else on_one_line(column), read, accepted))

    def refuse(self, file: str, row: int | None, column: str | None, refusal: Refusal) -> None:
        """Note a refusal as a problem of this place."""
        self.add(file, row, column, refusal.read, refusal.accepted)

    def take(self, other: "Problems") -> None:
        """Note everything that another collection holds."""
        for group, problems in other._listed.items():
            room = max(MOST_PER_FILE - len(self._listed.setdefault(group, [])), 0)
            self._listed[group] += problems[:room]
        self._found += other._found

    def as_error(self) -> FolderError:
        """Every problem, file by file, in the order of the rows."""
        listed: list[Problem] = []
        for group, problems in self._listed.items():
            listed += sorted(problems, key=lambda problem: problem.row or 0)
            unlisted = self._found[group] - len(problems)
            if unlisted:
                noun = "problem is" if unlisted == 1 else "problems are"
                listed.append(Problem(group, None, None, f"{unlisted} more {noun} not listed here", ""))
        return FolderError(tuple(listed))


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
