"""The inputs of a calculator on the command line: what each takes, how it is read, and how its help tells it.

What an input takes (one number, several, a matrix) stands in the docstring of the calculator; an example to copy stands there too.
"""

import ast
import inspect
import re
from typing import Any

from fairtank.errors import InputError
from fairtank.registry import Entry, Input

ONE, SEVERAL, ROWS = "a number", "numbers separated by commas", "rows of equal length: numbers separated by commas, rows by semicolons"
# The range of everything that is counted ends here; nothing else without a unit goes that far.
_MOST_COUNTED = 1e9
_WORDS = {ONE: "number", SEVERAL: "number,number,...", ROWS: "row;row;..."}


def option_of(declared: Input) -> str:
    """The option of an input: `--length-mm`."""
    return f"--{declared.name.replace('_', '-')}"


def is_counted(declared: Input) -> bool:
    """Whether an input counts things, so that only whole numbers make sense."""
    return not declared.unit and declared.high == _MOST_COUNTED


def taken_by(entry: Entry, declared: Input) -> str:
    """What an input takes: one number, several, or the rows of a matrix."""
    found = re.search(rf"^{re.escape(declared.name)} : (.*)$", inspect.getdoc(entry.function) or "", flags=re.MULTILINE)
    kind = found[1] if found else "float"
    if kind.startswith("float"):
        return ONE
    return ROWS if re.search(r"shape \(\w+, \w+\)", kind) else SEVERAL


def value_from_text(entry: Entry, declared: Input, text: str) -> Any:
    """The value of an input as it was typed, refused in a sentence where it cannot be read."""
    if declared.choices:
        return text
    option, accepted = option_of(declared), taken_by(entry, declared)
    if accepted == ONE:
        if re.fullmatch(r"\s*-?\d+,\d+\s*", text):
            raise InputError(option, text, ONE, f"Write decimals with a point: {text.strip().replace(',', '.')}")
        return _number(declared, text, text, ONE)
    rows = [[_number(declared, part, text, accepted) for part in row.split(",")] for row in text.split(";")]
    if accepted == SEVERAL and len(rows) > 1:
        raise InputError(option, text, SEVERAL, "Semicolons separate the rows of a matrix.")
    if len({len(row) for row in rows}) > 1:
        lengths = ", ".join(str(len(row)) for row in rows)
        raise InputError(option, text, ROWS, f"The rows have {lengths} numbers.")
    return rows if accepted == ROWS else rows[0]


def _number(declared: Input, part: str, text: str, accepted: str) -> float | int:
    try:
        number = float(part)
    except ValueError as error:
        hint = "It takes one number, not several." if accepted == ONE and re.search("[,;]", text) else "Write decimals with a point."
        raise InputError(option_of(declared), text, accepted, hint) from error
    if number.is_integer() and abs(number) < 1e15:
        return int(number)
    if is_counted(declared) and number == number and abs(number) != float("inf"):
        raise InputError(option_of(declared), text, "whole numbers" if accepted != ONE else "a whole number", "It is a count.")
    return number


def inputs_told(entry: Entry) -> list[tuple[str, str]]:
    """For each input its option and, in words, what it is, what it accepts and what stands in for it when it is left out."""
    rows = []
    for declared in entry.inputs:
        accepted = taken_by(entry, declared)
        words = "word" if declared.choices else _WORDS[accepted]
        rest = "" if declared.default is None else f"; {_shown(declared.default)} when left out"
        unit = f" [{declared.unit}]" if declared.unit else ""
        rows.append((f"{option_of(declared)} {words}", f"{declared.label}{unit}{_range(declared)}{rest}"))
    return rows


def _range(declared: Input) -> str:
    if declared.choices:
        return f": {', '.join(declared.choices)}"
    if declared.low is None or declared.high is None:
        return ""
    if is_counted(declared):
        return f": whole, {_shown(declared.low)} or more"
    return f": {_shown(declared.low)} to {_shown(declared.high)}"


def _shown(value: float | str) -> str:
    if isinstance(value, str):
        return value
    return str(int(value)) if float(value).is_integer() else f"{value:g}"


def example_of(entry: Entry) -> str:
    """A command that can be copied, made from the example in the calculator's docstring; empty where there is none."""
    lines = re.findall(r"^\s*(?:>>>|\.\.\.) ?(.*)$", inspect.getdoc(entry.function) or "", flags=re.MULTILINE)
    calls = [node for node in ast.walk(ast.parse("\n".join(lines))) if isinstance(node, ast.Call) and ast.unparse(node.func) == entry.key]
    if not calls:
        return ""
    names = [declared.name for declared in entry.inputs]
    given = [*zip(names, calls[0].args, strict=False), *((word.arg or "", word.value) for word in calls[0].keywords)]
    words = [f"--{name.replace('_', '-')} {_typed(ast.literal_eval(value))}" for name, value in given]
    return " ".join(["fairtank calc", entry.key, *words])


def _typed(value: Any) -> str:
    """A value as it is typed on the command line."""
    if isinstance(value, (list, tuple)):
        inner = [_typed(part) for part in value]
        return f'"{";".join(inner)}"' if any(isinstance(part, (list, tuple)) for part in value) else ",".join(inner)
    return str(value)
