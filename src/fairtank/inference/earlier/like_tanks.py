"""Entries of the library of like tanks: what a finished trial tells of how far tanks set up alike end up apart, and which entries fit."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.errors import NotEnoughDataError
from fairtank.finding import UnitSummary
from fairtank.inference.earlier.classes import days_said, litres_said, one_in_the_other, tank_class
from fairtank.inference.grades import is_clipped_arm
from fairtank.inference.intervals.welch import SMALLEST_RELATIVE_VARIANCE, mean
from fairtank.inference.rounding import settled
from fairtank.trial import SpreadEntry

MOST_REASONS = 3  # why entries do not count, in one sentence
FEWEST_GROUPS = 5
FEWEST_DF = 8.0
# Below this a variance on a logit or log scale is the end of the scale, not scatter of tanks: an SD of 0.01, one hundredth of the odds.
SMALLEST_ENTRY_VARIANCE = 1e-4
# A slope is a change per day. The same limit is put to what it makes of three weeks, else every slope would be refused.
SLOPE_DAYS = 21


@dataclass(frozen=True)
class SpreadKind:
    """What an entry must be about to say something on a trial: all five must be the same.

    measure, scale, summary: as in the plan. window_class, tank_class: see the functions of these names in `classes`; empty means not
    known.
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
    cautions: sentences about what had to be taken on trust.
    """

    kind: SpreadKind
    groups: tuple[SpreadEntry, ...]
    left_out: tuple[LeftOut, ...]
    cautions: tuple[str, ...] = ()

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
                f"{FEWEST_GROUPS} trials and {FEWEST_DF:g} degrees of freedom. {self.others_told}").rstrip()

    @property
    def others_told(self) -> str:
        """How many entries do not count, and why, as a sentence; empty where all of them do."""
        if not self.left_out:
            return "" if self.groups else "No entry of earlier tanks was found."
        counts = Counter(out.reason for out in self.left_out)
        entries = "1 entry does" if len(self.left_out) == 1 else f"{len(self.left_out)} entries do"
        if len(counts) == 1:
            return f"{entries} not count: {self.left_out[0].reason}."
        named = counts.most_common(MOST_REASONS)
        rest = len(self.left_out) - sum(count for _, count in named)
        told = [f"{reason}, {count} of them" for reason, count in named] + ([f"other reasons, {rest} of them"] if rest else [])
        return f"{entries} not count: {'; '.join(told)}."


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
    >>> kind = SpreadKind("algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L")
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


_SAID = (("measure", "measure"), ("scale", "scale"), ("summary", "summary"))
_ONE_DAY = "one day within "


def _mismatch(entry: SpreadEntry, kind: SpreadKind) -> str:
    """In what an entry is surely of another kind; empty when it is not."""
    for name, word in _SAID:
        theirs, ours = getattr(entry, name).strip(), getattr(kind, name).strip()
        if not theirs or not ours:
            return f"{'its' if ours else 'this trial' + chr(39) + 's'} {word} is not known"
        if theirs != ours:
            return f"another {word} ({theirs}, not {ours})"
    return _window_mismatch(entry.window_class.strip(), kind.window_class) or _tanks_mismatch(entry.tank_class.strip(), kind.tank_class)


def _window_mismatch(theirs: str, ours: str) -> str:
    """The same for the window; words that cannot be read are not surely another one."""
    if not ours or not theirs:
        return f"{'its' if ours else 'this trial' + chr(39) + 's'} window is not known"
    days, own = days_said(theirs), days_said(ours)
    if theirs == ours or days is None or own is None:
        return ""
    alike = [text.partition(" after ")[2] for text in (theirs, ours)]
    is_other = (not one_in_the_other(days, own) or theirs.startswith(_ONE_DAY) != ours.startswith(_ONE_DAY)
                or (bool(alike[0]) and alike[0] != alike[1]))
    return f"another window ({theirs}, not {ours})" if is_other else ""


def _tanks_mismatch(theirs: str, ours: str) -> str:
    """The same for the tanks. Where this trial's are not known, no entry is surely of other ones."""
    if not ours or theirs == ours:
        return ""
    if not theirs:
        return "its tanks are not known"
    litres, own = litres_said(theirs), litres_said(ours)
    word = "compartment" if theirs.startswith("compartment") else "tank"
    same = (litres is not None and own is not None and ours.startswith(word)
            and (tank_class(litres[0], unit_word=word) == ours if litres[0] == litres[1] > 0 else one_in_the_other(litres, own)))
    return "" if same else f"other tanks ({theirs}, not {ours})"


def _on_trust(entry: SpreadEntry, kind: SpreadKind) -> tuple[tuple[str, str], ...]:
    """What about an entry cannot be checked: `window` or `tanks`, with the entry's own words for it."""
    window, tanks = entry.window_class.strip(), entry.tank_class.strip()
    doubts = []
    if window != kind.window_class and days_said(window) is None:
        doubts.append(("window", window))
    if not kind.tank_class:
        doubts.append(("tanks", tanks))
    return tuple(doubts)


def _trust_caution(doubt: tuple[str, str], kind: SpreadKind) -> str:
    """A sentence about something that was taken on trust."""
    what, words = doubt
    if what == "window":
        return f"That this trial's window ({kind.window_class}) is like that of the earlier trials (“{words}”) is taken on trust."
    if words:
        return f"The plan does not say how large the tanks are; that they are like the earlier ones (“{words}”) is taken on trust."
    return "Neither the plan nor the earlier trials say how large the tanks are; that they are alike is taken on trust."


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
        Every entry is either a group or left out with its reason. What an entry says in words that cannot be held against this trial (a
        window called `long`, tanks of a size where the plan names none) is taken on trust if all entries use the same words, and told.

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    reasons = [_mismatch(entry, kind) for entry in entries]
    doubts = [() if reason else _on_trust(entry, kind) for entry, reason in zip(entries, reasons, strict=True)]
    told = sorted({doubt for own in doubts for doubt in own})
    for what in ("window", "tanks"):
        if sum(doubt[0] == what for doubt in told) > 1:
            for place, own in enumerate(doubts):
                if any(doubt[0] == what for doubt in own):
                    reasons[place] = f"which {what} are like this trial's cannot be told: the entries use different words"
            told = [doubt for doubt in told if doubt[0] != what]
    _leave_out_doubles(entries, reasons, kind, own_trial.strip())
    groups = sorted((entry for entry, reason in zip(entries, reasons, strict=True) if not reason), key=lambda entry: entry.trial)
    left_out = tuple(LeftOut(entry, reason) for entry, reason in zip(entries, reasons, strict=True) if reason)
    cautions = tuple(_trust_caution(doubt, kind) for doubt in told) if groups else ()
    return Library(kind, tuple(groups), left_out, cautions)


def _leave_out_doubles(entries: Sequence[SpreadEntry], reasons: list[str], kind: SpreadKind, own_trial: str) -> None:
    """Add the reasons of entries of the right kind that do not count: of the trial itself, older ones, flawed ones."""
    newest: dict[str, int] = {entry.trial.strip(): place for place, entry in enumerate(entries) if not reasons[place]}
    for place, entry in enumerate(entries):
        trial = entry.trial.strip()
        if reasons[place]:
            continue
        if not trial:
            reasons[place] = "it names no trial"
        elif trial == own_trial:
            reasons[place] = "it comes from this trial itself"
        elif newest[trial] != place:
            reasons[place] = "a newer entry of the same trial replaces it"
        else:
            reasons[place] = _flaw(entry, kind)
