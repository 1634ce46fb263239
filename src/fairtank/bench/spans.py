"""A sensible range round a value, for a picture where nobody asked for another one; and along which input it is drawn."""

import math
from dataclasses import dataclass

from fairtank.bench.inputs import ONE, is_counted, is_rise, is_share, taken_by
from fairtank.publish.calc_words import Answer, widest
from fairtank.registry import Entry, Input, ReadingError
from fairtank.units import convert, unit_from_text

STEPS = 20
# An input without an error and without a size of its own to go by is drawn from 0 to here.
_FROM_NOTHING = 10.0
# So many times a reading's error to either side of a reading that counts from no zero of its own.
_ERRORS = 6.0
_QUARTER = 0.25


@dataclass(frozen=True)
class Span:
    """From, to and step of a range, as they are typed."""

    first: float
    last: float
    step: float

    @property
    def texts(self) -> tuple[str, str, str]:
        """The three numbers as somebody would type them."""
        first, last, step = (f"{value:.12g}" for value in (self.first, self.last, self.step))
        return first, last, step


def can_range(entry: Entry, declared: Input) -> bool:
    """Whether an input may be given as a range: one number, or a number in place of a word."""
    return taken_by(entry, declared) == ONE and (not declared.choices or declared.low is not None)


def span_round(declared: Input, value: float | None, error: ReadingError | None = None, unit: str = "", steps: int = STEPS) -> Span:
    """A range of round steps round a value, inside what the input accepts.

    Half to one and a half of the value; of temperatures and pH, which count from no zero of their own, six reading errors to either side;
    of a share the whole of it.

    Parameters
    ----------
    declared : Input
        The input.
    value : float or None
        Its value. [unit of the input]; None for a word.
    error : ReadingError or None
        How far the reading is off.
    unit : str
        The unit in which the range is to be told; empty for the input's own.
    steps : int
        At most so many steps, and two more for round ends.

    Returns
    -------
    Span
        From, to and step. [unit]
    """
    low = -math.inf if declared.low is None else declared.low
    high = math.inf if declared.high is None else declared.high
    first, last = _ends(declared, value, error, low, high)
    first, last = max(first, low), min(last, high)
    if unit:
        first, last, low, high = (number_in(declared, end, unit) for end in (first, last, low, high))
    return _rounded(first, last, low, high, steps, whole=is_counted(declared))


def _ends(declared: Input, value: float | None, error: ReadingError | None, low: float, high: float) -> tuple[float, float]:
    """Where the range ends, before it is rounded and held inside what is accepted."""
    if value is None or is_share(declared):
        return (low, high) if math.isfinite(high - low) and high <= 1e4 else (max(low, 0.0), _FROM_NOTHING)
    reach = 0.0 if error is None or error.relative else _ERRORS * error.size
    if declared.name.split("_")[-1] == "ph" or (unit_from_text(declared.unit) == "degC" and not is_rise(declared)):
        half = reach or _QUARTER * (high - low if math.isfinite(high - low) else 4 * abs(value))
    else:
        half = max(abs(value) / 2, reach) or _FROM_NOTHING
    return value - half, value + half


def number_in(declared: Input, value: float, unit: str) -> float:
    """A value of an input in another of its units; a rise of temperature has no zero of its own."""
    own = unit_from_text(declared.unit)
    if not math.isfinite(value):
        return value
    return convert(value, own, unit) - (convert(0.0, own, unit) if is_rise(declared) else 0.0)


def _rounded(first: float, last: float, low: float, high: float, steps: int, *, whole: bool) -> Span:
    """The range in steps of 1, 2 or 5 times a power of ten that begin and end on a multiple of the step."""
    raw = max((last - first) / steps, 1.0 if whole else 1e-12 * max(abs(first), abs(last), 1e-300))
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(size * factor for factor in (1, 2, 5, 10) if size * factor >= raw * (1 - 1e-9))
    begin, stop = math.floor(first / step + 1e-9), math.ceil(last / step - 1e-9)
    begin += begin * step < low - 1e-9 * abs(low)
    stop -= stop * step > high + 1e-9 * abs(high)
    if stop <= begin:  # the range is narrower than one step
        return Span(first, last, (last - first) / 2)
    return Span(begin * step, stop * step, step)


def usual_along(answer: Answer) -> Input | None:
    """The input along which an answer is drawn unless another one is asked for.

    The reading that causes most of the interval that is widest for its number; without any, the first one that is read, else the first
    that can be a range; None where none can.
    """
    able = {declared.name: declared for declared in answer.entry.inputs if can_range(answer.entry, declared)}
    if answer.uncertain:
        for name, _ in answer.uncertain[widest(answer.uncertain)].shares:
            if name in able:
                return able[name]
    return next((able[name] for name in answer.errors if name in able), next(iter(able.values()), None))
