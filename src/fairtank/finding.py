"""The frozen result of judging one comparison of one measure: what every sentence, chart and file about it is made from."""

from dataclasses import dataclass

GRADES = ("spoilt", "alone", "matters", "alike", "differs", "open")
BASES = ("own tanks", "own and earlier tanks", "earlier tanks only", "none")
MOST_NEEDED = 60  # units per arm; a number above it is told as more than that


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
    natural: the same in the measure's own unit, None where a finding would have none.
    """

    day: int
    level: float
    estimate: float | None
    low: float | None
    high: float | None
    p_value: float | None
    grade: str
    natural: Natural | None = None


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
class SelfAgreed:
    """How well one person agrees with their own earlier score of the same photo.

    rater: who. repeats: photos scored twice. same_share: of them, the share with the same score. kappa, low, high: weighted kappa with its
    95 % interval; None with fewer than two repeats, or where every score is the same.
    """

    rater: str
    repeats: int
    same_share: float
    kappa: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class RankedUnit:
    """A unit's place by people's choices between two photos, and how sure that place is.

    unit: its key. strength: log odds of being picked, against the mean of all units. low, high: 95 % interval over people; None where there
    is none. place: 1 shows most. best, worst: the places it may hold, judged against each other unit in turn; None without an interval.
    picked_share: the share of its comparisons in which it was picked, half for `same`. comparisons: their number.
    """

    unit: str
    strength: float
    low: float | None
    high: float | None
    place: int
    best: int | None
    worst: int | None
    picked_share: float
    comparisons: int


@dataclass(frozen=True)
class Eyes:
    """What is known of people as the instrument of a measure: scores of photos, or choices between two photos.

    kind: `scores` or `choices`. use: `use`, `raters differ` (judged, with that tag), `display only` (shown, not judged) or `not known`
    (judged, with a caution). raters, photos, answers: how many people, photos, and scores or choices that counted. reason: a whole sentence
    about how far people agree, or why it is not known. alpha, low, high: Krippendorff's ordinal alpha with its 95 % interval (scores).
    alone: one entry for each person with repeats (scores). ranking: units, strongest first (choices). same: choices answered `same`.
    cautions: what had to be set aside or taken on trust. unseen_variance: what chance in the choices adds to the variance of the
    difference of the arms beyond what the units' scatter shows. one_sided: every choice between the arms went the same way.
    settles: what would settle a measure that is shown only, where it is not the usual.
    """

    kind: str
    use: str
    raters: int
    photos: int
    answers: int
    reason: str
    alpha: float | None = None
    low: float | None = None
    high: float | None = None
    alone: tuple[SelfAgreed, ...] = ()
    ranking: tuple[RankedUnit, ...] = ()
    same: int = 0
    cautions: tuple[str, ...] = ()
    unseen_variance: float = 0.0
    one_sided: bool = False
    settles: str = ""


@dataclass(frozen=True)
class BelowDetection:
    """Readings that a test could only call less than its limit, in the days that were judged.

    days: unit-days with a reading. below: of them, those whose reading lay below the limit. lowest, highest: the limits that occurred
    [natural unit]. arms_below: keys of the arms in which every unit was below on 80 % of its days or more. arms_half: of the arms that were
    below on more than half of their unit-days.
    """

    days: int
    below: int
    lowest: float
    highest: float
    arms_below: tuple[str, ...] = ()
    arms_half: tuple[str, ...] = ()


@dataclass(frozen=True)
class Settling:
    """What would settle a finding: reckoned from the scatter of like units and the margin, never from the difference that was seen.

    aim: `difference` (to tell one as large as the margin from none, 4 times in 5), `width` (an interval that reaches no farther than the
    margin to either side), `size` (no margin was fixed: see reach), `count` (too few pairs, rounds or tanks whatever they show),
    `repeat` (the finding stands; a repeat adds to it), `scale` (the values give no scatter to judge by), `more` (more units, without a
    number), `wait` (the trial goes on), `blind` (only that people knew the arms holds a claim back) or `again` (spoilt).
    margin: what is asked for [summary scale], None where none was fixed. sample: what is counted, `tank`, `compartment`, `pair` or
    `round`. have: how many of them there are, in the smaller arm. spread: standard deviation of one of them [summary scale], None where
    nothing shows it; spread_basis: `own tanks` or `earlier tanks`; spread_df: its degrees of freedom. needed: about so many (per arm), with
    needed_low and needed_high as the spread may be smaller or larger (4 times in 5); MOST_NEEDED stands for more than can be told. reach:
    pairs of a count and the smallest difference that so many would tell 4 times in 5. spread_for_three: the largest standard deviation
    with which three per arm would tell the margin, where no spread is known. with_run_in, with_swap: the number needed after a run-in of
    two weeks or in a swap over the same days, if most of the scatter are lasting differences; None where that is no way out.
    """

    aim: str
    margin: float | None = None
    sample: str = "tank"
    have: int = 0
    spread: float | None = None
    spread_basis: str = ""
    spread_df: float | None = None
    needed: int | None = None
    needed_low: int | None = None
    needed_high: int | None = None
    reach: tuple[tuple[int, float], ...] = ()
    spread_for_three: float | None = None
    with_run_in: int | None = None
    with_swap: int | None = None


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
    before the last. ranking: the arms from the highest mean, where there are more than two. settling: what would settle it, None for a
    secondary measure.
    eyes: the people behind the numbers, where people scored or chose. below_detection: readings below a test's limit, where there were any.
    dose_unit: of a ladder, the unit in which its doses are told.
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
    eyes: Eyes | None = None
    below_detection: BelowDetection | None = None
    settling: Settling | None = None
    dose_unit: str = ""
