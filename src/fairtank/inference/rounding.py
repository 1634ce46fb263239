"""Every number of a finding is rounded here, so that two machines agree to the last digit that is stored."""

from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

Record = TypeVar("Record")

SIGNIFICANT_DIGITS = 12


def rounded(value: float) -> float:
    """The number with 12 significant digits; minus zero becomes zero.

    Mathematical libraries of different machines differ in the 15th or 16th digit; twelve leaves room for that to build up.

    >>> rounded(0.1 + 0.2), rounded(-0.0)
    (0.3, 0.0)
    """
    return float(f"{value:.{SIGNIFICANT_DIGITS}g}") + 0.0


def _settled(value: Any) -> Any:
    if isinstance(value, float):
        return rounded(value)
    if isinstance(value, tuple):
        return tuple(_settled(item) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        return settled(value)
    return value


def settled(record: Record) -> Record:
    """The same frozen dataclass with every float in it, however deep, rounded to 12 significant digits.

    Parameters
    ----------
    record : a frozen dataclass
        Its fields may be numbers, text, None, other dataclasses, and tuples of these.

    Returns
    -------
    a frozen dataclass of the same kind

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> from fairtank.finding import Natural
    >>> settled(Natural(0.1 + 0.2, 1 / 3, None, None, "%"))
    Natural(reference=0.3, changed=0.333333333333, low=None, high=None, unit='%')
    """
    return replace(record, **{item.name: _settled(getattr(record, item.name)) for item in fields(record)})  # type: ignore[arg-type, type-var]
