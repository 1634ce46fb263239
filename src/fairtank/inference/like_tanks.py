"""Entries of the library of like tanks: what a finished trial tells of how far tanks set up alike end up apart, and which entries fit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.finding import UnitSummary
from fairtank.inference.grades import is_clipped_arm
from fairtank.inference.rounding import settled
from fairtank.inference.welch import SMALLEST_RELATIVE_VARIANCE, mean
from fairtank.trial import SpreadEntry

FEWEST_GROUPS = 5
FEWEST_DF = 8.0
# Below this a variance on a logit or log scale is the end of the scale, not scatter of tanks: an SD of 0.01, one hundredth of the odds.
SMALLEST_ENTRY_VARIANCE = 1e-4
# A slope is a change per day. The same limit is put to what it makes of three weeks, else every slope would be refused.
SLOPE_DAYS = 21

# Lower ends of the classes. Common practice, no source: neighbours differ by about half (days) or about twice (litres), and the usual
# lengths and sizes (2, 3, 4, 6, 8, 12 weeks; 20, 30, 54, 112, 180 L) stand well inside a class.
DAYS_FROM = (1, 11, 17, 25, 35, 50, 75, 110, 165)
LITRES_FROM = (0, 10, 25, 45, 80, 150, 300, 600)


@dataclass(frozen=True)
class SpreadKind:
    """What an entry must be about to say something on a trial: all five must be the same.

    measure, scale, summary: as in the plan. window_class, tank_class: see the functions of these names; empty means not known.
    """

    measure: str
    scale: str
    summary: str
    window_class: str
    tank_class: str


@dataclass(frozen=True)
class LeftOut:
    """An entry that does not count, and why, as the end of the sentence `left out: ...`."""

    entry: SpreadEntry
    reason: str


@dataclass(frozen=True)
class Library:
    """The earlier trials whose like tanks speak for a trial's own.

    kind: what was asked for. groups: one entry per trial, in the order of the trials' names. left_out: all other entries, in their order.
    """

    kind: SpreadKind
    groups: tuple[SpreadEntry, ...]
    left_out: tuple[LeftOut, ...]

    @property
    def total_df(self) -> float:
        """The degrees of freedom of all groups together."""
        return math.fsum(entry.df for entry in self.groups)

    @property
    def is_qualified(self) -> bool:
        """Whether the groups are enough for an interval: at least 5, with at least 8 degrees of freedom in all."""
        return len(self.groups) >= FEWEST_GROUPS and self.total_df >= FEWEST_DF

    @property
    def shortfall(self) -> str:
        """What is missing, as a sentence; empty when the library qualifies."""
        if self.is_qualified:
            return ""
        trials = "1 earlier trial" if len(self.groups) == 1 else f"{len(self.groups) or 'no'} earlier trials"
        degrees = "1 degree" if self.total_df == 1 else f"{self.total_df:g} degrees"
        return (f"Earlier tanks cannot help yet: {trials} of this kind with {degrees} of freedom; needed are "
                f"{FEWEST_GROUPS} trials and {FEWEST_DF:g} degrees of freedom.")


def _band(value: float, starts: Sequence[int], unit: str, *, whole: bool) -> str:
    place = max(index for index, start in enumerate(starts) if value >= start)
    if place == len(starts) - 1:
        return f"{starts[place]} {unit} or more"
    end = starts[place + 1]
    return f"{starts[place]} to {end - 1} {unit}" if whole else f"{starts[place]} to under {end} {unit}"


def window_class(days: int, *, run_in_days: int = 0, read_once: bool = False) -> str:
    """The class of windows that are long enough alike for their spreads to be compared.

    The longer a window, the less day-to-day noise is left in a mean, and the farther tanks have grown apart: a change since a run-in, a
    level and a value read on one day have spreads of their own.

    Parameters
    ----------
    days : int
        Days from the first to the last of the treated window, both counted; for a swap those of one period; for a value read on one day
        the days of the trial up to it. [d] 1 or more.
    run_in_days : int
        Days of the run-in where it enters the summary, else 0. [d] 0 or more.
    read_once : bool
        Whether the value was read on one day only.

    Returns
    -------
    str

    Raises
    ------
    OutOfRangeError
        If a number of days lies outside its range.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> window_class(42), window_class(42, run_in_days=14)
    ('35 to 49 days', '35 to 49 days after 11 to 16 days alike')
    """
    if days < 1:
        raise OutOfRangeError("days", days, "1 or more")
    if run_in_days < 0:
        raise OutOfRangeError("run_in_days", run_in_days, "0 or more")
    said = _band(days, DAYS_FROM, "days", whole=True)
    if read_once:
        said = f"one day within {said}"
    return f"{said} after {_band(run_in_days, DAYS_FROM, 'days', whole=True)} alike" if run_in_days else said


def tank_class(volume_l: float | None, *, unit_word: str = "tank") -> str:
    """The class of tanks that are alike enough in size for their spreads to be compared; empty when the size is not known.

    Parameters
    ----------
    volume_l : float or None
        Water of one unit. [L] Above 0.
    unit_word : str
        `tank` or `compartment`: a part of a tank is not a tank of its own.

    Returns
    -------
    str

    Raises
    ------
    OutOfRangeError
        If volume_l is not above 0.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> tank_class(54), tank_class(60, unit_word="compartment"), tank_class(None)
    ('tank of 45 to under 80 L', 'compartment of 45 to under 80 L', '')
    """
    if volume_l is None:
        return ""
    if not 0 < volume_l < math.inf:
        raise OutOfRangeError("volume_l", volume_l, "a number above 0")
    return f"{unit_word} of {_band(volume_l, LITRES_FROM, 'L', whole=False)}"


def pooled_variance(arms: Sequence[Sequence[float]]) -> tuple[float, float]:
    """The variance within the arms, pooled, and its degrees of freedom; an arm with one value adds nothing.

    >>> pooled_variance([[1.0, 3.0], [5.0, 5.0], [9.0]])
    (1.0, 2.0)
    """
    df = sum(len(arm) - 1 for arm in arms if arm)
    squares = math.fsum((value - centre) ** 2 for arm in arms if arm for centre in [mean(arm)] for value in arm)
    return (squares / df if df else 0.0), float(df)


def smallest_variance(kind: SpreadKind) -> float:
    """The variance below which an entry says that the scale ended, not that tanks are alike. [summary scale, squared]

    0 for values as they are: their size depends on the unit. For these `entry_of` looks at the values themselves.
    """
    if kind.scale == "identity":
        return 0.0
    return SMALLEST_ENTRY_VARIANCE / SLOPE_DAYS**2 if kind.summary == "slope" else SMALLEST_ENTRY_VARIANCE


def run_in_levels(units: Sequence[UnitSummary]) -> tuple[UnitSummary, ...]:
    """Units summarised as the change since the run-in, turned into their run-in levels: all tanks were alike then."""
    return tuple(replace(unit, z=unit.treated_mean - unit.z) for unit in units if unit.z is not None and unit.treated_mean is not None)


def entry_of(units: Sequence[UnitSummary], kind: SpreadKind, *, trial: str, alike: bool = False) -> SpreadEntry:
    """What a finished trial adds to the library: the variance of its units' numbers within the arms.

    The variance is that of the summary itself, so day noise, photo noise and gaps are inside. For a swap z is the first period minus the
    second, not halved, and the arm is the order.

    Parameters
    ----------
    units : sequence of UnitSummary
        All units of the trial; unusable ones are passed over.
    kind : SpreadKind
        What the numbers are.
    trial : str
        The trial's name, the same for every entry of the trial.
    alike : bool
        Whether all units were treated alike while these numbers arose (a run-in, a trial without a change): the arms then do not count.

    Returns
    -------
    SpreadEntry
        df is the number of usable units less the number of arms, or less 1 when alike.

    Raises
    ------
    NotEnoughDataError
        If no arm has two usable units, an arm lies at the limit of the scale, or the units do not scatter at all.

    References
    ----------
    smyth2004 (keys from sources.py).

    Examples
    --------
    >>> kind = SpreadKind("algae_cover", "logit", "mean", window_class(42), tank_class(54))
    >>> units = [UnitSummary(f"T{place}", arm, z, 40) for place, (arm, z) in enumerate([("R", 0.1), ("R", 0.5), ("C", 0.9), ("C", 1.1)])]
    >>> entry = entry_of(units, kind, trial="first")
    >>> entry.variance, entry.df
    (0.05, 2.0)
    """
    usable = [unit for unit in units if unit.z is not None]
    arms: dict[str, list[UnitSummary]] = {}
    for unit in usable:
        arms.setdefault("" if alike else unit.arm, []).append(unit)
    values = [[unit.z for unit in arm if unit.z is not None] for arm in arms.values()]
    variance, df = pooled_variance(values)
    if df == 0:
        raise NotEnoughDataError(f"{trial} tells nothing of how far like tanks end up apart: no two usable units were treated alike.")
    if any(is_clipped_arm(arm) for arm in arms.values()):
        raise NotEnoughDataError(f"{trial} tells nothing of how far like tanks end up apart: an arm lies at the limit of the scale.")
    rounding = SMALLEST_RELATIVE_VARIANCE * max(value * value for arm in values for value in arm)
    if variance <= rounding or variance < smallest_variance(kind):
        raise NotEnoughDataError(f"{trial} tells nothing of how far like tanks end up apart: its like units hardly differ at all.")
    named = kind.measure, kind.scale, kind.summary, kind.window_class, kind.tank_class
    return settled(SpreadEntry(*named, variance=variance, df=df, trial=trial))


_SAID = (("measure", "measure"), ("scale", "scale"), ("summary", "summary"), ("window_class", "window"), ("tank_class", "tanks"))


def _mismatch(entry: SpreadEntry, kind: SpreadKind) -> str:
    """In what an entry is of another kind; empty when it is of this kind."""
    for name, word in _SAID:
        theirs, ours = getattr(entry, name).strip(), getattr(kind, name).strip()
        if not ours:
            return f"this trial's {word} {'are' if word == 'tanks' else 'is'} not known"
        if not theirs:
            return f"its {word} {'are' if word == 'tanks' else 'is'} not known"
        if theirs != ours:
            return f"another {word} ({theirs}, not {ours})" if word != "tanks" else f"other tanks ({theirs}, not {ours})"
    return ""


def _flaw(entry: SpreadEntry, kind: SpreadKind) -> str:
    """Why an entry of the right kind cannot be used; empty when it can."""
    if not (0 < entry.variance < math.inf and 1 <= entry.df < math.inf):
        return "its variance must be above 0 and its degrees of freedom 1 or more"
    if entry.variance < smallest_variance(kind):
        return "its tanks hardly differ at all, as at the limit of the scale"
    return ""


def library_of(entries: Sequence[SpreadEntry], kind: SpreadKind, *, own_trial: str = "") -> Library:
    """The entries that speak for a trial of this kind: one per trial, the newest, whatever the trial showed.

    Parameters
    ----------
    entries : sequence of SpreadEntry
        In the order in which they were made, oldest first.
    kind : SpreadKind
        Of the trial that is judged.
    own_trial : str
        Its name: a trial does not vouch for itself.

    Returns
    -------
    Library
        Every entry is either a group or left out with its reason.

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    reasons = [_mismatch(entry, kind) for entry in entries]
    newest: dict[str, int] = {entry.trial.strip(): place for place, entry in enumerate(entries) if not reasons[place]}
    for place, entry in enumerate(entries):
        trial = entry.trial.strip()
        if reasons[place]:
            continue
        if not trial:
            reasons[place] = "it names no trial"
        elif trial == own_trial.strip():
            reasons[place] = "it comes from this trial itself"
        elif newest[trial] != place:
            reasons[place] = "a newer entry of the same trial replaces it"
        else:
            reasons[place] = _flaw(entry, kind)
    groups = sorted((entry for entry, reason in zip(entries, reasons, strict=True) if not reason), key=lambda entry: entry.trial)
    left_out = tuple(LeftOut(entry, reason) for entry, reason in zip(entries, reasons, strict=True) if reason)
    return Library(kind, tuple(groups), left_out)
