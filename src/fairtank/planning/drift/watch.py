"""The result of the drift watch, as frozen dataclasses: what it found of each factor, and how sure that is."""

from dataclasses import dataclass

STATES = ("steady", "arms", "tank", "few", "change")


@dataclass(frozen=True)
class Departure:
    """Something that left the others.

    kind: `arms` (one arm against the reference) or `tank` (one tank against the others of its arm). arm: the arm, or the tank's arm.
    against: the reference arm, or empty. unit: the tank; empty for an arm. other: in an arm of two tanks, the one it was told from, since
    two tanks alone do not say which of them moved; else empty. since_day: first day of the stretch that departs most clearly.
    noticed_day: when the watch could first tell. size, low, high: mean difference over that stretch, of a level beyond what it was at
    first, with its 95 % interval, in the factor's unit. share: the size as a share of the others' mean; None where that says nothing.
    is_over: it has come back since.
    """

    kind: str
    arm: str
    against: str
    unit: str
    other: str
    since_day: int
    noticed_day: int
    size: float
    low: float
    high: float
    share: float | None
    is_over: bool


@dataclass(frozen=True)
class Chart:
    """One control chart: a difference over the days.

    kind, arm, against, unit, other as in Departure. days: of the values. values: the difference, of a level beyond what it was at first.
    watched: the days after the baseline. smooth: the weighted mean of the differences up to each of them. limits: how far it may
    lie from zero on each. now, low, high: the last weighted mean with its 95 % interval. departure: what it found; None where nothing.
    """

    kind: str
    arm: str
    against: str
    unit: str
    other: str
    days: tuple[int, ...]
    values: tuple[float, ...]
    watched: tuple[int, ...]
    smooth: tuple[float, ...]
    limits: tuple[float, ...]
    now: float
    low: float
    high: float
    departure: Departure | None = None


@dataclass(frozen=True)
class UnitLine:
    """What one unit shows over the days: parallel tuples of day and value; of a week's sum the day is the last of that week."""

    unit: str
    days: tuple[int, ...]
    values: tuple[float, ...]


@dataclass(frozen=True)
class WatchedFactor:
    """What the watch found of one factor.

    key: of the factor; part: which of several, such as the nutrient of a dose. title, unit: for readers. kind: `level` or `sum`.
    state: one of STATES: steady, the arms drift apart, one tank departs, too few readings to tell, differs by the change itself.
    units: what each shows. charts: those that were drawn up. departures: those of the charts, clearest first. baseline_until: last day
    that a level is held against; None for a sum. tolerance: difference that does not matter, in its unit; None where none is declared.
    remedy: what to do, from the factor's own entry; may be empty. unrecorded: units without a value. why_few: why nothing could be told.
    """

    key: str
    part: str
    title: str
    unit: str
    kind: str
    state: str
    units: tuple[UnitLine, ...]
    charts: tuple[Chart, ...] = ()
    departures: tuple[Departure, ...] = ()
    baseline_until: int | None = None
    tolerance: float | None = None
    remedy: str = ""
    unrecorded: tuple[str, ...] = ()
    why_few: str = ""


@dataclass(frozen=True)
class Watch:
    """The drift watch of one trial.

    factors: all that the diary tells anything of. absent: keys of those that it tells nothing of. false_alarm_share: at most this share
    of trials without any drift gets an alarm, over all factors, tanks and days together. charts: how many charts share it. days: length of
    the trial. last_day: of the diary. change_day: when the change starts; 0 where it was there from the first day. has_single_arm: an
    arm has one tank only, so that tank and arm cannot be told apart and the natural scatter is taken from a table.
    """

    factors: tuple[WatchedFactor, ...]
    absent: tuple[str, ...]
    false_alarm_share: float
    charts: int
    days: int
    last_day: int
    change_day: int
    has_single_arm: bool
