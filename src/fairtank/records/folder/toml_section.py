"""One table of a TOML file, asked key by key: each answer is checked, and what nobody asked for is left over by name."""

import math
import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any, TypeVar

from fairtank.records.folder.cells import KEY_ACCEPTED, LONGEST_TEXT, NAME_ACCEPTED, key_checked, name_checked, number_text
from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.paths import CONTROL
from fairtank.records.folder.problems import Problems, Refusal, listed, shown

FILE = "trial.toml"
_MEANT_BARE = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?|[0-9]{4}-[0-9]{2}-[0-9]{2}|true|false", re.ASCII | re.IGNORECASE)
MISSING: Any = object()
KEY_MISSING = "the key is missing"
Value = TypeVar("Value")


class Section:
    """One table of trial.toml, or of another file, at a place such as `[design]` or `[[unit]] 3`."""

    def __init__(self, place: str, table: dict[str, Any], problems: Problems, file: str = FILE) -> None:
        self.place, self.file, self._table, self._problems = place, file, table, problems
        self._asked: dict[str, None] = {}  # in the order of asking

    def has(self, key: str) -> bool:
        """Whether the key stands there at all."""
        return key in self._table

    def leftovers(self) -> dict[str, Any]:
        """Keys that nobody asked for, with their values; to be called once everything was asked.

        A key that is near one that was asked for and left out is misspelt: it is noted as a problem, and is none of these. Kept in
        silence it would change the plan.
        """
        absent = [key for key in self._asked if key not in self._table]
        left = {}
        for key, value in self._table.items():
            near = "" if key in self._asked else meant(key, absent)
            if near:
                self._problems.withdraw(self.file, self._placed(near), KEY_MISSING)
                self.fault(key, f"the key is not known{did_you_mean(near)}", listed(tuple(self._asked), most=20))
            elif key not in self._asked:
                left[key] = value
        return left

    def fault(self, key: str, read: str, accepted: str) -> None:
        """Note a problem of one key."""
        self._problems.add(self.file, None, self._placed(key), read, accepted)

    def _placed(self, key: str) -> str:
        """Where a key stands: `[design] days`, or `[[unit]] 2, key`."""
        return f"{self.place}, {key}" if self.place.startswith("[[") else f"{self.place} {key}"

    def text(self, key: str, default: Any = "") -> str:
        """A text on one or more lines; a whole number counts as text (block = 1)."""
        def check(value: Any) -> str:
            if type(value) is int and abs(value) < 10**12:
                return str(value)
            if not isinstance(value, str) or len(value) > LONGEST_TEXT:
                raise Refusal(f"{toml_shown(value)} cannot stand here", f"a text in quotation marks of at most {LONGEST_TEXT} characters")
            if CONTROL.search(value):
                raise Refusal(f"{toml_shown(value)} holds a control character", "a text of printable characters")
            return value.strip()
        return self._ask(key, default, check, "a text in quotation marks")

    def key(self, key: str, default: Any = MISSING) -> str:
        """A short name that tables can refer to."""
        return self._key(key, default, key_checked, KEY_ACCEPTED)

    def name(self, key: str, default: Any = MISSING) -> str:
        """The key of a unit or an arm, which may become part of a file's name."""
        return self._key(key, default, name_checked, NAME_ACCEPTED)

    def choice(self, key: str, options: tuple[str, ...], default: Any = MISSING) -> Any:
        """One of a few words."""
        def check(value: Any) -> str:
            if value not in options:
                raise Refusal(f"{toml_shown(value)} is none of the words known here", listed(options))
            return str(value)
        return self._ask(key, default, check, listed(options))

    def whole(self, key: str, low: int, high: int, default: Any = MISSING) -> Any:
        """A whole number from low to high."""
        accepted = f"a whole number from {low} to {high}" if low < high else f"{low}, or nothing"
        return self._ask(key, default, lambda value: _whole(value, low, high, accepted), accepted)

    def number(self, key: str, default: Any = MISSING, *, above: float | None = None) -> Any:
        """A finite number."""
        accepted = "a number" if above is None else f"a number above {number_text(above)}"
        return self._ask(key, default, lambda value: _number(value, above, accepted), accepted)

    def flag(self, key: str, default: bool) -> Any:
        """true or false."""
        def check(value: Any) -> bool:
            check_unquoted(value, "true or false")
            if not isinstance(value, bool):
                raise Refusal(f"{toml_shown(value)} is neither true nor false", "true or false without quotation marks")
            return value
        return self._ask(key, default, check, "true or false")

    def date(self, key: str) -> Any:
        """A date of the calendar."""
        accepted = "a date without quotation marks, such as 2026-03-01"

        def check(value: Any) -> date:
            check_unquoted(value, accepted)
            if not isinstance(value, date) or isinstance(value, datetime) or not 1970 <= value.year <= 2200:
                raise Refusal(f"{toml_shown(value)} cannot be the date of day 0", accepted)
            return value
        return self._ask(key, MISSING, check, accepted)

    def day_pair(self, key: str, low: int, high: int, *, one_day: bool = False) -> Any:
        """A first and a later last day, with one_day also the same day twice; None when the key is left out."""
        order = "not after" if one_day else "before"
        accepted = f"[first day, last day], whole numbers from {low} to {high}, the first {order} the last"

        def check(value: Any) -> tuple[int, int]:
            if not isinstance(value, list) or len(value) != 2:
                raise Refusal(f"{toml_shown(value)} is not a pair of days", accepted)
            first, last = (_whole(day, low, high, accepted) for day in value)
            if first > last or (first == last and not one_day):
                raise Refusal(f"{toml_shown(value)} does not run from an earlier to a later day", accepted)
            return first, last
        return self._ask(key, None, check, accepted)

    def wholes(self, key: str, low: int, high: int) -> Any:
        """A list of whole numbers; empty when left out."""
        accepted = f"a list of whole numbers from {low} to {high}, such as [14, 28, 42]"
        return self._ask(key, (), lambda value: tuple(_whole(one, low, high, accepted) for one in _list(value, accepted)), accepted)

    def numbers(self, key: str, above: float) -> Any:
        """A list of numbers; empty when left out."""
        accepted = f"a list of numbers above {number_text(above)}, such as [0.005, 0.010, 0.035]"
        return self._ask(key, (), lambda value: tuple(_number(one, above, accepted) for one in _list(value, accepted)), accepted)

    def names(self, key: str) -> Any:
        """A list of short names, each once; empty when left out."""
        accepted = f'a list of short names in quotation marks, each once, such as ["light", "co2"]: {NAME_ACCEPTED}'

        def check(value: Any) -> tuple[str, ...]:
            names = [one.strip() for one in _list(value, accepted) if isinstance(one, str)]
            if len(names) != len(value) or len(set(names)) != len(names):
                raise Refusal(f"{toml_shown(value)} cannot stand here", accepted)
            return tuple(name_checked(name) for name in names)
        return self._ask(key, (), check, accepted)

    def _key(self, key: str, default: Any, checked: Callable[[str], str], what: str) -> Any:
        """A key in the plan; a whole number counts as text."""
        accepted = f"a text in quotation marks: {what}"

        def check(value: Any) -> str:
            if type(value) is int and 0 <= value < 10**12:
                return str(value)
            if not isinstance(value, str):
                raise Refusal(f"{toml_shown(value)} is not a text", accepted)
            return checked(value)
        return self._ask(key, default, check, accepted)

    def _ask(self, key: str, default: Any, check: Callable[[Any], Value], accepted: str) -> Any:
        """The checked value; the default where the key is left out; None after a problem was noted."""
        self._asked[key] = None
        if key not in self._table:
            if default is MISSING:
                self.fault(key, KEY_MISSING, accepted)
                return None
            return default
        try:
            return check(self._table[key])
        except Refusal as refusal:
            self.fault(key, refusal.read, refusal.accepted)
            return None


def toml_shown(value: Any) -> str:
    """A value of a TOML file as a piece of a sentence."""
    if isinstance(value, str):
        return shown(value) if value else "an empty text"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "[" + ", ".join(toml_shown(one) for one in value[:4]) + (", …]" if len(value) > 4 else "]") if _is_flat(value) else "a list"
    if isinstance(value, int) and abs(value) > 10**18:
        return "a very large number"
    return str(value)


def _is_flat(values: list[Any]) -> bool:
    return not any(isinstance(value, (list, dict)) for value in values)


def _list(value: Any, accepted: str) -> list[Any]:
    if not isinstance(value, list):
        raise Refusal(f"{toml_shown(value)} is not a list", accepted)
    return value


def check_unquoted(value: Any, accepted: str) -> None:
    """Refuse a number, a date or a true that stands in quotation marks, which makes a text of it."""
    if isinstance(value, str) and _MEANT_BARE.fullmatch(value.strip()):
        written = value.strip().replace(",", ".").lower()
        bare = f"{accepted}, without quotation marks" if "quotation" not in accepted else accepted
        raise Refusal(f"{toml_shown(value)} stands in quotation marks, which makes a text of it", f"{bare}; here {written}")


def _whole(value: Any, low: int, high: int, accepted: str) -> int:
    check_unquoted(value, accepted)
    if type(value) is not int:
        raise Refusal(f"{toml_shown(value)} is not a whole number", accepted)
    if not low <= value <= high:
        raise Refusal(f"{toml_shown(value)} is out of range", accepted)
    return value


def _number(value: Any, above: float | None, accepted: str) -> float:
    check_unquoted(value, accepted)
    if type(value) not in (int, float):
        raise Refusal(f"{toml_shown(value)} is not a number", accepted)
    if abs(value) > 1e300 or not math.isfinite(value):
        raise Refusal(f"{toml_shown(value)} is out of range", accepted)
    if above is not None and value <= above:
        raise Refusal(f"{toml_shown(value)} is out of range", accepted)
    return float(value)
