"""The drawn tree of exceptions. Every message is made of whole sentences for the person who will read it.

FairtankError
├─ InputError            a value that cannot be used (also a ValueError)
│  └─ OutOfRangeError    a number outside the range a function holds for
├─ NotEnoughDataError    too little was recorded for what was asked
├─ DesignError           the plan cannot carry this claim
├─ PhotoError            a photo that cannot be read or placed
├─ FolderError           a trial folder with one or more problems, all of them named
└─ JobError              work that was begun and could not be finished
"""

import errno
from collections.abc import Callable
from dataclasses import dataclass

# What turns a sentence, or a part of one, into the language of the reader; what it does not know it hands back as it is.
Words = Callable[[str], str]


class FairtankError(Exception):
    """Any refusal by fairtank; `str(error)` is fit to be shown to a user."""

    def in_words(self, words: Words) -> str:
        """The message in another language, put together from the same parts; the parts themselves are turned by `words`."""
        return "\n".join(words(line) for line in str(self).splitlines())


class InputError(FairtankError, ValueError):
    """A value that cannot be used: carries its name, the value, what is accepted and a hint."""

    FORM = "%(name)s is %(value)s; accepted: %(accepted)s."

    def __init__(self, name: str, value: object, accepted: str, hint: str = "") -> None:
        self.name, self.value, self.accepted, self.hint = name, value, accepted, hint
        super().__init__(f"{name} is {value}; accepted: {accepted}.{' ' + hint if hint else ''}")

    def in_words(self, words: Words) -> str:
        """As `FairtankError.in_words`; one that says something else than its parts is turned as a whole."""
        if str(self) != self.args[0]:
            return super().in_words(words)
        told = words(self.FORM) % {"name": words(self.name), "value": words(str(self.value)), "accepted": words(self.accepted)}
        return f"{told} {words(self.hint)}" if self.hint else told


class OutOfRangeError(InputError):
    """A number outside the range for which a function holds."""


class NotEnoughDataError(FairtankError):
    """Too little was recorded for what was asked."""


class DesignError(FairtankError):
    """The plan cannot carry this claim."""


class PhotoError(FairtankError):
    """A photo that cannot be read, or cannot be placed in its frame."""


class JobError(FairtankError):
    """Work that was begun and could not be finished."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong in a trial folder, with the place where it stands.

    file: path inside the folder. row: line number as a spreadsheet shows it (the header is row 1), None for a
    whole-file problem. column: column or key name. read: what was found. accepted: what may stand there; empty where
    the sentence says all. further_rows: later rows with the very same problem, ascending.
    """

    file: str
    row: int | None
    column: str | None
    read: str
    accepted: str
    further_rows: tuple[int, ...] = ()

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", {'line' if self.file.endswith('.toml') else 'row'}{_rows_words((self.row, *self.further_rows))}"
        if self.column is not None:
            place += f", column {self.column}" if self.file.endswith(".csv") else f", {self.column}"
        return f"{place}: {self.read}; accepted: {self.accepted}." if self.accepted else f"{place}: {self.read}."


MOST_SPANS = 6


def _rows_words(rows: tuple[int, ...]) -> str:
    """Ascending rows in words, after the word `row`: ` 7`, `s 2 to 38`, `s 2, 5 to 7 and 12 more`."""
    if len(rows) == 1:
        return f" {rows[0]}"
    spans: list[list[int]] = []
    for row in rows:
        if spans and row == spans[-1][-1] + 1:
            spans[-1].append(row)
        else:
            spans.append([row])
    told = spans[:MOST_SPANS]
    said = [text for span in told for text in ([f"{span[0]} to {span[-1]}"] if len(span) > 2 else map(str, span))]
    rest = len(rows) - sum(map(len, told))
    said += [f"{rest} more"] if rest else []
    return f"s {', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else f"s {said[0]}"


class FolderError(FairtankError):
    """A trial folder that was refused: carries every problem at once."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


_PLAIN = {
    errno.ENOENT: "there is no such file or folder", errno.EISDIR: "it is a folder, not a file",
    errno.ENOTDIR: "a file lies where a folder should be", errno.EACCES: "you may not do that there",
    errno.EPERM: "you may not do that there", errno.EROFS: "nothing can be written there",
    errno.ENOSPC: "the disk is full", errno.EDQUOT: "the disk is full",
}  # fmt: skip


def plain_reason(error: OSError) -> str:
    """Why a file could not be used, in words that need no knowledge of computers where there are such.

    >>> plain_reason(FileNotFoundError(errno.ENOENT, "No such file or directory"))
    'there is no such file or folder'
    """
    return _PLAIN.get(error.errno or 0) or error.strerror or str(error) or "unknown reason"
