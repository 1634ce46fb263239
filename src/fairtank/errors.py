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

from dataclasses import dataclass


class FairtankError(Exception):
    """Any refusal by fairtank; `str(error)` is fit to be shown to a user."""


class InputError(FairtankError, ValueError):
    """A value that cannot be used: carries its name, the value, what is accepted and a hint."""

    def __init__(self, name: str, value: object, accepted: str, hint: str = "") -> None:
        self.name, self.value, self.accepted, self.hint = name, value, accepted, hint
        super().__init__(f"{name} is {value}; accepted: {accepted}.{' ' + hint if hint else ''}")


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
    the sentence says all.
    """

    file: str
    row: int | None
    column: str | None
    read: str
    accepted: str

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column is not None:
            place += f", column {self.column}" if self.file.endswith(".csv") else f", {self.column}"
        return f"{place}: {self.read}; accepted: {self.accepted}." if self.accepted else f"{place}: {self.read}."


class FolderError(FairtankError):
    """A trial folder that was refused: carries every problem at once."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))
