"""The frozen result of judging one comparison of one measure: what every sentence, chart and file about it is made from."""

from dataclasses import dataclass

GRADES = ("spoilt", "alone", "matters", "alike", "differs", "open")
BASES = ("own tanks", "own and earlier tanks", "earlier tanks only", "none")


@dataclass(frozen=True)
class UnitSummary:
    """Stage one of an analysis: one unit's series as one number on the summary scale.

    z is None when the unit is spoilt; spoilt then says why in a sentence. treated_mean is the mean of the
    treated window on the scale (for the back-transform; in a swap, of the period under the reference); days counts photographed days in
    the window. reached: for a threshold, the last day below it and the first day at or above it; None where there was no such day.
    """

    unit: str
    arm: str
    z: float | None
    days: int
    spoilt: str | None = None
    treated_mean: float | None = None
    clipped_days: int = 0
    reached: tuple[int | None, int | None] | None = None


@dataclass(frozen=True)
class Natural:
    """The finding said in the measure's own unit: reference level, changed level and the changed level's interval."""

    reference: float
    changed: float
    low: float | None
    high: float | None
    unit: str


@dataclass(frozen=True)
class EarlierTanks:
    """What earlier like tanks did for a finding that has two units or fewer in an arm.

    groups, total_df: earlier trials that qualified and their degrees of freedom, used or not. brake: what the width was multiplied with,
    None without their help. typical_spread: the standard deviation of like tanks that they show [summary scale], None without their help.
    own_low, own_high: the interval of the own tanks alone, None where they give none. twice_low, twice_high: the interval if like tanks
    differed twice as much as the earlier ones did, None without their help. unused: why they were not asked, a sentence, else empty.
    withdrawn: why they were set aside after a look at the own scatter, a sentence, else empty. left_out: entries that do not count, each
    with its trial and the reason. cautions: sentences about what had to be taken on trust.
    """

    groups: int = 0
    total_df: float = 0.0
    brake: float | None = None
    typical_spread: float | None = None
    own_low: float | None = None
    own_high: float | None = None
    twice_low: float | None = None
    twice_high: float | None = None
    unused: str = ""
    withdrawn: str = ""
    left_out: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Look:
    """A planned look before the last one: what the trial said by that day, at that look's own share of the 5 %.

    day: the planned day. level: 1 minus its share. estimate, low, high, p_value: as in a finding, up to that day. grade: of that look.
    """

    day: int
    level: float
    estimate: float | None
    low: float | None
    high: float | None
    p_value: float | None
    grade: str


@dataclass(frozen=True)
class RankedArm:
    """An arm's place among more than two, and how sure that place is.

    arm, label: key and name. mean: mean of its units' numbers [summary scale]. place: from the highest mean, 1. best, worst: the highest
    and the lowest place that the intervals of all pairs leave open, all of them held together.
    """

    arm: str
    label: str
    mean: float
    place: int
    best: int
    worst: int


@dataclass(frozen=True)
class Finding:
    """The frozen result of judging one measure.

    estimate, low, high are on the summary scale, changed minus reference; low, high, p_value and df are None when
    no interval can be given. level is the interval's level. shuffle_p is the exact shuffle test's two-sided p where
    it has enough arrangements. n counts usable units by role. facts holds further named numbers that a sentence may need; design is the
    plan's kind. Text is made from a finding in `publish.sentences`, never the other way round.
    unit_of_measure is the natural unit of the measure (a finding without `natural` can then still be charted); unit_word is what a unit is
    called in sentences: `tank` or `compartment`. run_in is the run-in's first and last day where it entered the summary.
    reading_day is the one day on which every unit was read (a weight at harvest, a window of one day), else None. family is the
    number of secondary measures that were counted together, this one included; 0 for a primary measure.
    reference_arm, changed_arm: keys of the two arms that are compared. comparisons: how many comparisons of this measure share one promise
    (more than two arms), this one included. earlier: what earlier tanks did, None where they were not looked at. looks: planned looks
    before the last. ranking: the arms from the highest mean, where there are more than two.
    """

    measure: str
    title: str
    role: str
    summary: str
    scale: str
    window: tuple[int, int]
    estimate: float | None
    low: float | None
    high: float | None
    level: float
    df: float | None
    p_value: float | None
    shuffle_p: float | None
    arrangements: int
    grade: str
    tags: tuple[str, ...]
    basis: str
    margin: float | None
    n_reference: int
    n_changed: int
    tipping_spread: float | None
    units: tuple[UnitSummary, ...]
    natural: Natural | None
    cautions: tuple[str, ...]
    reference_label: str = "reference"
    changed_label: str = "changed"
    spoilt_reason: str = ""
    shuffle_gate_refused: bool = False
    holm_p: float | None = None
    alternatives: tuple[tuple[str, str], ...] = ()
    sources: tuple[str, ...] = ()
    unit_of_measure: str = ""
    unit_word: str = "tank"
    run_in: tuple[int, int] | None = None
    reading_day: int | None = None
    family: int = 0
    design: str = ""
    facts: tuple[tuple[str, float], ...] = ()
    reference_arm: str = ""
    changed_arm: str = ""
    comparisons: int = 1
    earlier: EarlierTanks | None = None
    looks: tuple[Look, ...] = ()
    ranking: tuple[RankedArm, ...] = ()
