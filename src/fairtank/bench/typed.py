"""What a keeper types for an input: a number with or without a unit, how far the reading may be off, a range, a word or a list.

A refusal carries the input's name; each door puts its own word for the input in place of it (`asking.reworded`).

    7   7 dGH   78 degF   50 %   6.6±0.05   6.6 +- 0.05   6.6 sd 0.05   6.6 exact   6:8:0.1   60:80:2 degF   25,50,100 %
"""

import math
import re
from dataclasses import dataclass
from typing import Any

from fairtank.bench.inputs import ONE, ROWS, SEVERAL, is_counted, is_rise, is_share, taken_by, units_taken
from fairtank.errors import InputError
from fairtank.registry import Entry, Input, ReadingError
from fairtank.science.ranges import accepted_range
from fairtank.units import UNITS, convert, quantity_from_text, unit_from_text

MOST_ROWS = 10_000
_EXACTLY = "exact"
_SIGN = r"\s*(±|\+\s?/?\s?-)\s*|\s+(sd)\s+"
# What is often meant by a unit that does not fit, by the unit of the input and what was typed.
_MEANT = {
    ("dKH", "dGH"): "GH is not KH: GH counts calcium and magnesium, KH what neutralises acid. Take the reading of the KH test.",
    ("dGH", "dKH"): "KH is not GH: KH counts what neutralises acid, GH calcium and magnesium. Take the reading of the GH test.",
    ("dKH", "mmol/L"): "Write meq/L for carbonate hardness; 1 mmol/L of bicarbonate is 1 meq/L.",
    ("umol/m2/s", "lux"): "Lux are light to the eye, not to plants: the calculator ppfd_from_lux turns them into PPFD.",
    ("lux", "umol/m2/s"): "PPFD is light to plants, not to the eye: the calculator lux_per_ppfd gives the factor.",
    ("uS/cm", "ppm"): "A meter's ppm is its conductivity times a factor of its own: set the meter to µS/cm.",
}


@dataclass(frozen=True)
class Typed:
    """The value of one input as it was typed.

    value: as the calculator takes it, or the numbers of a range. error: as it was typed; size 0 for `exact`; None where none was typed.
    shown: of a range, its numbers as they were typed. shown_unit: the unit that was typed, where it is another than the input's own.
    """

    value: Any
    error: ReadingError | None = None
    shown: tuple[float, ...] = ()
    shown_unit: str = ""

    @property
    def is_range(self) -> bool:
        """Whether it is a range."""
        return bool(self.shown)


def typed(entry: Entry, declared: Input, text: str) -> Typed:
    """The value of an input as it was typed, refused in a sentence where it cannot be read."""
    if declared.choices:
        word = _word(declared, text)
        if word is not None:
            return Typed(word)
    takes = taken_by(entry, declared)
    if takes == ONE:
        return _one(declared, text)
    if re.search(_SIGN, text) or re.search(r"\bexact\s*$", text) or ":" in text:
        raise _refusal(declared, text, takes, "A range or a reading error belongs to a single number.")
    rows = [_row(declared, row, text, takes) for row in text.split(";")]
    if takes == SEVERAL and len(rows) > 1:
        raise _refusal(declared, text, SEVERAL, "Semicolons separate the rows of a matrix.")
    if len({len(row) for row in rows}) > 1:
        raise _refusal(declared, text, ROWS, f"The rows have {', '.join(str(len(row)) for row in rows)} numbers.")
    return Typed(rows if takes == ROWS else rows[0])


def _refusal(declared: Input, text: str, accepted: str, hint: str = "") -> InputError:
    return InputError(declared.name, text.strip() or "empty", accepted, hint)


def _word(declared: Input, text: str) -> str | None:
    """The choice that was typed, whatever its case and hyphens; None where it may be a number."""
    def bare(word: str) -> str:
        return re.sub(r"[\s_-]", "", word).casefold()

    for choice in declared.choices:
        if bare(choice) == bare(text):
            return choice
    if declared.low is not None and re.match(r"\s*[-+−]?\.?\d", text):
        return None
    begun = [choice for choice in declared.choices if bare(text) and bare(choice).startswith(bare(text))]
    raise _refusal(declared, text, accepted_range(declared), f"Say which: {' or '.join(begun)}." if begun else "")


def _one(declared: Input, text: str) -> Typed:
    """A single number or a range, with a reading error or without."""
    left, error_text, kind = _parted(text)
    if ":" in left:
        unit, shown = _range(declared, left, text)
        numbers = [_in_unit(declared, number, unit, text) for number in shown]
        error = None if error_text is None else _error(declared, error_text, kind, shown[0], unit, text)
        return Typed(numbers, error, shown, unit if unit != unit_from_text(declared.unit) else "")
    number, unit = _quantity(declared, left, text)
    if error_text not in (None, _EXACTLY) and not unit:
        unit = _borrowed(declared, error_text, text)
    value = _in_unit(declared, number, unit, text)
    error = None if error_text is None else _error(declared, error_text, kind, number, unit, text)
    return Typed(value, error, shown_unit=unit if unit and unit != unit_from_text(declared.unit) else "")


def _parted(text: str) -> tuple[str, str | None, str]:
    """What was typed before the reading error, the error as it was typed (None without one) and its kind."""
    if found := re.fullmatch(r"(.*\S)\s+exact(?:ly)?\s*", text):
        return found[1], _EXACTLY, "within"
    parts = re.split(_SIGN, text.replace("−", "-"), maxsplit=1)
    if len(parts) == 1:
        return text, None, "within"
    return parts[0], parts[3], "standard" if parts[2] else "within"


def _quantity(declared: Input, part: str, text: str) -> tuple[float, str]:
    """A number and the unit that was typed with it, or a refusal that names the input."""
    try:
        number, unit = quantity_from_text(part)
    except InputError as error:
        hint = error.hint
        if re.search(r"\d\s*[,;]\s*[-+]?\d.*[,;]", part) or ";" in part:
            hint = "It takes one number, not several."
        raise _refusal(declared, text, _accepted(declared), hint) from error
    if not math.isfinite(number):
        raise _refusal(declared, text, _accepted(declared))
    return number, unit


def _borrowed(declared: Input, error_text: str, text: str) -> str:
    """The unit of a value that has none of its own: that of its error; a percentage is then a share of the value."""
    unit = _quantity(declared, error_text, text)[1]
    if unit != "%" or declared.unit == "%":
        return unit
    if is_share(declared):
        raise _refusal(declared, text, "a value and an error that say what they count", "Write 50 % ± 2 %, or 0.5 ± 0.02.")
    return ""


def _error(declared: Input, error_text: str, kind: str, number: float, unit: str, text: str) -> ReadingError:
    """The reading error in the input's unit; a percentage is a share of the value unless the value is one itself."""
    if error_text == _EXACTLY:
        return ReadingError(0.0)
    size, own = _quantity(declared, error_text, text)
    instrument = declared.error.instrument if declared.error else ""
    if own == "%" and "%" not in (unit, declared.unit):
        return ReadingError(size / 100, kind, True, instrument)
    own = own or unit
    if own and unit and UNITS[own].quantity != UNITS[unit].quantity:
        raise _refusal(declared, text, "a reading error in the unit of the value, or in %")
    if own:
        wanted = unit_from_text(declared.unit)
        _in_unit(declared, number, own, text)  # refuses a unit that does not fit
        size = convert(size, own, wanted) - convert(0.0, own, wanted)
    return ReadingError(float(f"{abs(size):.12g}"), kind, False, instrument)


def _in_unit(declared: Input, number: float, unit: str, text: str) -> float | int:
    """The number in the unit of the input; whole numbers stay whole."""
    if unit and unit != unit_from_text(declared.unit):
        wanted = unit_from_text(declared.unit)
        if unit not in units_taken(declared):
            raise _refusal(declared, text, _accepted(declared), _hint(declared, wanted, unit))
        number = convert(number, unit, wanted) - (convert(0.0, unit, wanted) if is_rise(declared) else 0.0)
    number = float(f"{number:.14g}")
    if number.is_integer() and abs(number) < 1e15:
        return int(number)
    if is_counted(declared):
        raise _refusal(declared, text, "a whole number", "It is a count.")
    return number


def _hint(declared: Input, wanted: str, unit: str) -> str:
    """What to write instead of a unit that does not fit."""
    if (wanted, unit) in _MEANT:
        return _MEANT[wanted, unit]
    quantity = UNITS[wanted].quantity
    if quantity in ("nitrogen", "phosphorus", "potassium") and unit in ("mg/L", "ppm"):
        return f"Say what the test counts: {' or '.join(units_taken(declared))}."
    if quantity == "concentration" and unit == "ppm":
        return "In water write mg/L."
    if quantity == "concentration" and unit.startswith("mg/L "):
        return "Write mg/L, and keep to one form from start to end."
    if not wanted:
        return "It takes a plain number: leave the unit out."
    return ""


def _range(declared: Input, left: str, text: str) -> tuple[str, tuple[float, ...]]:
    """The unit and the numbers of `from:to:step unit`."""
    parts = left.split(":")
    accepted, example = "from:to:step", "Write for example 6:8:0.1."
    if len(parts) != 3 or not all(part.strip() for part in parts):
        raise _refusal(declared, text, accepted, example)
    quantities = [_quantity(declared, part, text) for part in parts]
    unit = quantities[2][1]
    if any(own not in ("", unit) for _, own in quantities):
        raise _refusal(declared, text, accepted, "Write the unit once, at the end.")
    first, last, step = (number for number, _ in quantities)
    if step <= 0:
        raise _refusal(declared, text, accepted, f"The step is {step:g}; it must be above 0.")
    if last <= first:
        raise _refusal(declared, text, accepted, "It goes from the smaller to the larger number.")
    steps = (last - first) / step
    if steps < 1 - 1e-9:
        raise _refusal(declared, text, accepted, "The step is longer than the whole range.")
    if steps + 1 > MOST_ROWS + 1e-6:
        raise _refusal(declared, text, f"at most {MOST_ROWS} values", "Take a larger step.")
    count = math.floor(steps + 1e-9) + 1
    return unit, tuple(float(f"{first + index * step:.12g}") for index in range(count))


def _row(declared: Input, row: str, text: str, takes: str) -> list[float | int]:
    """Numbers separated by commas; a unit at the last one alone counts for all."""
    found = []
    for part in row.split(","):
        try:
            found.append(quantity_from_text(part))
        except InputError as error:
            raise _refusal(declared, text, takes, "Write decimals with a point.") from error
    units = [unit for _, unit in found]
    if units[-1] and not any(units[:-1]):
        units = [units[-1]] * len(units)
    numbers = []
    for (number, _), unit in zip(found, units, strict=True):
        try:
            numbers.append(_in_unit(declared, number, unit, text))
        except InputError as error:
            accepted = "whole numbers" if error.accepted == "a whole number" else error.accepted
            raise _refusal(declared, text, accepted, error.hint) from error
    return numbers


def _accepted(declared: Input) -> str:
    """What a single number may look like, in words."""
    units = units_taken(declared)
    if declared.choices:
        return accepted_range(declared)
    if not units:
        return "a number"
    others = f"; other units: {', '.join(units[1:])}" if len(units) > 1 else ""
    return f"a number in {units[0]}{others}"
