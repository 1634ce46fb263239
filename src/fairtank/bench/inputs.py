"""The inputs of a calculator at the door: what each takes, in which units, how far a reading is off, and the values of its example.

What an input takes (one number, several, a matrix) stands in the docstring of the calculator; the example stands there too.
"""

import ast
import inspect
import re
from typing import Any

from fairtank.registry import Entry, Input
from fairtank.units import unit_from_text, units_like

ONE, SEVERAL, ROWS = "a number", "numbers separated by commas", "rows of equal length: numbers separated by commas, rows by semicolons"
# The range of everything that is counted ends here; nothing else without a unit goes that far.
_MOST_COUNTED = 1e9


def option_of(declared: Input) -> str:
    """The option of an input on the command line: `--length-mm`."""
    return f"--{declared.name.replace('_', '-')}"


def is_counted(declared: Input) -> bool:
    """Whether an input counts things, so that only whole numbers make sense."""
    return not declared.unit and declared.high == _MOST_COUNTED


def taken_by(entry: Entry, declared: Input) -> str:
    """What an input takes: one number, several, or the rows of a matrix."""
    found = re.search(rf"^(?:\w+, )*{declared.name}(?:, \w+)* : (.*)$", inspect.getdoc(entry.function) or "", flags=re.MULTILINE)
    kind = found[1] if found else "float"
    if not kind.startswith("array"):
        return ONE
    return ROWS if re.search(r"shape \(\w+, \w+\)", kind) else SEVERAL


def is_share(declared: Input) -> bool:
    """Whether an input is a share from 0 to 1, which may be typed in percent too."""
    return not declared.unit and declared.low is not None and declared.high is not None and declared.low >= 0 and declared.high <= 1


def is_rise(declared: Input) -> bool:
    """Whether an input is a difference of temperatures, which has no zero of its own: 9 degF more are 5 degC more."""
    return unit_from_text(declared.unit) == "degC" and re.search(r"(^|_)(rise|difference|drop)(_|$)", declared.name) is not None


def units_taken(declared: Input) -> tuple[str, ...]:
    """The units that may be typed for an input, its own first; none for a pure number."""
    own = unit_from_text(declared.unit)
    if not own:
        return ("%",) if is_share(declared) else ()
    if own == "%":
        return (own,)
    # Degrees of general hardness are no degrees of carbonate hardness, and mmol/L counts alkaline earths.
    barred = {"dKH": ("dGH", "mmol/L"), "dGH": ("dKH",)}.get(own, ())
    return (own, *(unit for unit in units_like(own) if unit != own and unit not in barred))


def usual_reading(declared: Input) -> str:
    """How far a usual reading of an input is off, in words; empty where nothing is declared."""
    error = declared.error
    if error is None:
        return ""
    size = f"{100 * error.size:g} %" if error.relative else f"{error.size:g} {declared.unit}".strip()
    size = f"{error.least:g} {declared.unit}, or {size} where that is more" if error.least else size
    off = f"±{size}" if error.kind == "within" else f"scatters by {size}"
    by = f" ({error.instrument})" if error.instrument else ""
    if declared.figure_from is None:
        return f"usual reading {off}{by}"
    below = f"{declared.figure_from:g} {declared.unit}".strip()
    return f"usual reading {off}{by}; below {below} only an interval is told"


def range_words(declared: Input) -> str:
    """What an input accepts: `5 to 9.5`, `whole, 0 or more`, its words, or both; empty where any number fits."""
    told = ", ".join(declared.choices)
    if declared.low is None or declared.high is None:
        return told
    low, high = value_words(declared.low), value_words(declared.high)
    numbers = f"whole, {low} or more" if is_counted(declared) else f"{low} to {high}"
    return f"{told}, or {numbers}" if told else numbers


def value_words(value: float | str) -> str:
    """A word as it is; a number without zeros that say nothing.

    >>> value_words("still"), value_words(25.0), value_words(0.05)
    ('still', '25', '0.05')
    """
    if isinstance(value, str):
        return value
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e7 else f"{value:g}"


def example_values(entry: Entry) -> dict[str, Any]:
    """The values in the example of the calculator's docstring, by the names of the inputs; empty where there is none."""
    lines = re.findall(r"^\s*(?:>>>|\.\.\.) ?(.*)$", inspect.getdoc(entry.function) or "", flags=re.MULTILINE)
    names = [declared.name for declared in entry.inputs]
    for node in ast.walk(ast.parse("\n".join(lines))):
        if isinstance(node, ast.Call) and ast.unparse(node.func) == entry.key:
            given = [*zip(names, node.args, strict=False), *((word.arg or "", word.value) for word in node.keywords)]
            return {name: ast.literal_eval(value) for name, value in given}
    return {}


def example_of(entry: Entry) -> str:
    """A command that can be copied, made from the example in the calculator's docstring; empty where there is none."""
    words = [f"--{name.replace('_', '-')} {_typed(value)}" for name, value in example_values(entry).items()]
    return " ".join(["fairtank calc", entry.key, *words]) if words else ""


def _typed(value: Any) -> str:
    """A value as it is typed on the command line."""
    if isinstance(value, (list, tuple)):
        inner = [_typed(part) for part in value]
        return f'"{";".join(inner)}"' if any(isinstance(part, (list, tuple)) for part in value) else ",".join(inner)
    return f'"{value}"' if isinstance(value, str) and re.search(r"[^\w.%-]", value) else str(value)
