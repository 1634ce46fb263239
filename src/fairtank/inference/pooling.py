"""Several trials of one question: what they say together, how far they differ, and what the next one may find.

The trials are the sample: each brings its estimate with an interval. One trial stays what it is; two are shown beside each other and
get no verdict; from three on there is one pooled estimate with an interval, a prediction for one more trial, and a grade.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from fairtank.errors import DesignError, InputError, NotEnoughDataError, OutOfRangeError
from fairtank.finding import Finding
from fairtank.inference.grades import claim_of
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import Interval
from fairtank.inference.rounding import settled

FEWEST_POOLED = 3
STEPS = 200
FARTHEST = 1e100  # its square is still a float


@dataclass(frozen=True)
class TrialResult:
    """What one trial found.

    trial: its name, unlike the others'. estimate: changed minus reference [summary scale]. low, high: its interval; None where it had
    none. level: the interval's level. measure, summary, scale: what the estimate is of; trials that differ in them answer different
    questions. grade: the trial's own, for its row.
    """

    trial: str
    estimate: float
    low: float | None
    high: float | None
    level: float = 0.95
    measure: str = ""
    summary: str = ""
    scale: str = ""
    grade: str = ""
    df: float | None = None
    tanks: tuple[int, int] | None = None
    swayed: bool = False


@dataclass(frozen=True)
class ForestRow:
    """One trial in the forest plot.

    trial: its name. estimate, low, high: as the trial gave them; low and high are None where it had no interval. weight_share: its share
    of the pooled estimate; 0 where it is not counted, None where nothing was pooled. grade: the trial's own.
    """

    trial: str
    estimate: float
    low: float | None
    high: float | None
    weight_share: float | None
    grade: str


@dataclass(frozen=True)
class PoolFacts:
    """What a sentence about several trials needs.

    trials: counted ones. not_counted: names of trials without an interval. less, more, none: how many counted estimates lie below, above
    and at 0. largest_trial, largest_share: which trial weighs most, and how much; empty and None where nothing was pooled.
    leaves_out_zero: the pooled interval leaves out no effect. next_may_be_none, next_may_be_opposite: the prediction for one more trial
    reaches 0, or the other side of 0 from the estimate. swayed: names of counted trials scored by people who could know the arms; with
    one of them the grade is open, whatever the interval says.
    """

    trials: int
    not_counted: tuple[str, ...]
    less: int
    more: int
    none: int
    largest_trial: str
    largest_share: float | None
    leaves_out_zero: bool
    next_may_be_none: bool
    next_may_be_opposite: bool
    swayed: tuple[str, ...]


@dataclass(frozen=True)
class Pooled:
    """Several trials of one question.

    rows: every trial handed over, in that order. level: of the pooled interval and the prediction. margin: smallest difference that
    matters. note: a whole sentence on what was done. facts: for sentences. estimate, low, high: pooled, on the summary scale; None where
    nothing was pooled, as all that follow. p_value: two-sided. df: trials - 1. tau2, tau: variance and standard deviation of the trials'
    true effects; q: how much the trials scatter (Cochran's Q, against trials - 1). prediction_low, prediction_high: where one more trial's
    true effect may lie. like_tank_spread: standard deviation of one tank's number, learnt from all trials together; None where the trials
    do not say how many tanks they had. grade: by the same rules as one trial; None where there is no verdict. fragile: a claim
    (matters, alike, differs) that does not stand when every trial counts the same; even_low, even_high: that interval.
    """

    rows: tuple[ForestRow, ...]
    level: float
    margin: float | None
    note: str
    facts: PoolFacts
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    p_value: float | None = None
    df: int | None = None
    tau2: float | None = None
    tau: float | None = None
    q: float | None = None
    prediction_low: float | None = None
    prediction_high: float | None = None
    like_tank_spread: float | None = None
    grade: str | None = None
    fragile: bool = False
    even_low: float | None = None
    even_high: float | None = None


@dataclass(frozen=True)
class Combined:
    """The numbers of a random-effects mean at one given tau2.

    estimate: weighted mean. se: its Hartung-Knapp standard error. scatter: the factor q by which the trials scatter, before the 1 that it
    is never let fall below. shares: each trial's share of the weight.
    """

    estimate: float
    se: float
    scatter: float
    shares: tuple[float, ...]


def _scatter(estimates: Sequence[float], variances: Sequence[float], tau2: float) -> tuple[float, float]:
    """The weighted mean, and the weighted sum of squares round it (generalised Q), at one tau2."""
    weights = [1.0 / (variance + tau2) for variance in variances]
    total = math.fsum(weights)
    centre = math.fsum(weight * estimate for weight, estimate in zip(weights, estimates, strict=True)) / total
    return centre, math.fsum(weight * (estimate - centre) ** 2 for weight, estimate in zip(weights, estimates, strict=True))


def paule_mandel(estimates: Sequence[float], variances: Sequence[float]) -> float:
    """The variance of the trials' true effects, by Paule and Mandel: that under which the trials scatter just as much as expected.

    0 where they scatter less than their own standard errors explain. The scatter falls steadily as tau2 grows, so the answer is the only
    one; it is found by halving.

    Parameters
    ----------
    estimates : sequence of float, shape (k,), k >= 2
        One per trial. [summary scale]
    variances : sequence of float, shape (k,)
        Squared standard errors, above 0. [summary scale, squared]

    Returns
    -------
    float
        tau2, 0 or more. [summary scale, squared]

    Raises
    ------
    NotEnoughDataError
        If there are fewer than two trials.
    OutOfRangeError
        If a variance is not above 0, or a number is not finite.

    References
    ----------
    paule1982 (keys from sources.py).

    Examples
    --------
    >>> round(paule_mandel([0.0, 2.0, 4.0], [1.0, 1.0, 1.0]), 6)
    3.0
    """
    if len(estimates) < 2:
        raise NotEnoughDataError("One trial cannot show how far trials differ.")
    for variance in variances:
        if not (math.isfinite(variance) and variance > 0):
            raise OutOfRangeError("variance", variance, "a number above 0")
    for estimate in estimates:
        if not math.isfinite(estimate):
            raise OutOfRangeError("estimate", estimate, "a finite number")
    expected = len(estimates) - 1.0
    if _scatter(estimates, variances, 0.0)[1] <= expected:
        return 0.0
    # At this tau2 the scatter is below what is expected even if the trials' own variances were nothing.
    low, high = 0.0, (max(estimates) - min(estimates)) ** 2 * len(estimates) / expected
    for _ in range(STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if _scatter(estimates, variances, middle)[1] > expected:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def combined(estimates: Sequence[float], variances: Sequence[float], tau2: float) -> Combined:
    """The random-effects mean at a given tau2, with Hartung and Knapp's standard error, never below the plain one.

    Parameters
    ----------
    estimates, variances : sequence of float, shape (k,), k >= 2
        As for `paule_mandel`.
    tau2 : float
        Variance of the trials' true effects, 0 or more. [summary scale, squared]

    Returns
    -------
    Combined

    References
    ----------
    hartung2001, rover2015 (keys from sources.py).
    """
    weights = [1.0 / (variance + tau2) for variance in variances]
    total = math.fsum(weights)
    centre, squares = _scatter(estimates, variances, tau2)
    scatter = squares / (len(estimates) - 1)
    return Combined(centre, math.sqrt(max(1.0, scatter) / total), scatter, tuple(weight / total for weight in weights))


def trial_result(trial: str, finding: Finding) -> TrialResult:
    """One trial's finding as a result to be pooled.

    Raises
    ------
    NotEnoughDataError
        If the trial has no estimate (it was spoilt).
    """
    if finding.estimate is None:
        raise NotEnoughDataError(f"{trial} gave no estimate of {finding.title}, so it cannot be shown beside the others.")
    own = finding.basis == "own tanks" and finding.low is not None and finding.df is not None
    return TrialResult(trial, finding.estimate, finding.low, finding.high, finding.level, finding.measure, finding.summary, finding.scale,
                       finding.grade, finding.df if own else None, (finding.n_reference, finding.n_changed) if own else None,
                       "not blinded" in finding.tags)


def _checked(trials: Sequence[TrialResult]) -> None:
    if not trials:
        raise NotEnoughDataError("There is no trial to pool.")
    names = [one.trial for one in trials]
    for name in names:
        if names.count(name) > 1:
            raise InputError("trial", name, "each trial once", "A trial that is handed over twice would count double.")
    if len({(one.measure, one.summary, one.scale) for one in trials}) > 1:
        raise DesignError("The trials differ in what was measured, how it was summed up, or on which scale; "
                          "only trials of one question can be pooled.")
    for one in trials:
        _check_numbers(one)


def _check_numbers(one: TrialResult) -> None:
    given = f"It was given for {one.trial}."
    if not abs(one.estimate) <= FARTHEST:
        raise OutOfRangeError("estimate", one.estimate, "a finite number", given)
    if (one.low is None) != (one.high is None):
        raise InputError("interval", f"half given for {one.trial}", "both limits, or neither")
    if one.low is not None and one.high is not None and not (
        -FARTHEST <= one.low <= one.estimate <= one.high <= FARTHEST and one.low < one.high
    ):
        raise InputError("interval", f"{one.low} to {one.high} for {one.trial}", "a lower limit, the estimate, then a higher limit")
    if not 0 < one.level < 1:
        raise OutOfRangeError("level", one.level, "above 0 and below 1", given)
    if one.df is not None and not one.df >= 1:
        raise OutOfRangeError("df", one.df, "at least 1", given)
    if one.tanks is not None and min(one.tanks) < 1:
        raise OutOfRangeError("tanks", min(one.tanks), "at least 1 in each arm", given)


def standard_error(one: TrialResult) -> float:
    """The standard error inside a trial's interval: half its width over Student's quantile, or the normal one where df is not known.

    Raises
    ------
    NotEnoughDataError
        If the trial has no interval.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(standard_error(TrialResult("one", 0.0, -1.96, 1.96)), 3)
    1.0
    """
    if one.low is None or one.high is None:
        raise NotEnoughDataError(f"{one.trial} has no interval, so it cannot be weighed against other trials.")
    reach = NormalDist().inv_cdf((1 + one.level) / 2) if one.df is None else quantile((1 - one.level) / 2, one.df)
    return (one.high - one.low) / 2 / reach


def _tank_factor(tanks: tuple[int, int]) -> float:
    return 1 / tanks[0] + 1 / tanks[1]


def _variances(counted: Sequence[TrialResult]) -> tuple[list[float], float | None]:
    """The squared standard error with which each trial counts, and the like-tank spread they share.

    A spread from four or six tanks is far off as often as not, and the trial whose tanks came out alike by luck would pull the pooled
    estimate to itself: simulated trials of three tanks per arm, ten at a time, then held the truth in 93 of 100 intervals, of two per arm
    in 89. So trials that say how many tanks they had share one like-tank variance, each weighing by its number of tanks; simulated in the
    same way, with the trials' spreads alike or not, every setting kept 94.6 or more.
    """
    own = {one.trial: standard_error(one) ** 2 for one in counted}
    sharing = [(one.trial, one.df, _tank_factor(one.tanks)) for one in counted if one.df is not None and one.tanks is not None]
    if not sharing:
        return list(own.values()), None
    freedom = math.fsum(df for _, df, _ in sharing)
    shared = math.fsum(df * own[trial] / factor for trial, df, factor in sharing) / freedom
    own |= {trial: shared * factor for trial, _, factor in sharing}
    return list(own.values()), math.sqrt(shared)


def _facts(
    trials: Sequence[TrialResult], counted: Sequence[TrialResult], shares: Sequence[float] | None,
    interval: Interval | None, prediction: tuple[float, float] | None,
) -> PoolFacts:
    largest = max(range(len(counted)), key=lambda index: shares[index]) if shares else None
    estimate = interval.estimate if interval else 0.0
    low, high = (interval.low, interval.high) if interval else (None, None)
    reaches = prediction is not None and prediction[0] <= 0 <= prediction[1]
    opposite = prediction is not None and (prediction[0] < 0 if estimate > 0 else prediction[1] > 0 if estimate < 0 else False)
    return PoolFacts(
        len(counted), tuple(one.trial for one in trials if one.low is None),
        sum(one.estimate < 0 for one in counted), sum(one.estimate > 0 for one in counted), sum(one.estimate == 0 for one in counted),
        counted[largest].trial if largest is not None else "", shares[largest] if shares and largest is not None else None,
        low is not None and high is not None and (low > 0 or high < 0), reaches, opposite,
        tuple(one.trial for one in counted if one.swayed),
    )


def _grade(interval: Interval, margin: float | None, counted: Sequence[TrialResult]) -> str:
    """The grade of an interval; open where people scored who could see what they expected: many such trials are no surer than one."""
    return "open" if any(one.swayed for one in counted) else claim_of(interval, margin)


def _unpooled(trials: Sequence[TrialResult], counted: Sequence[TrialResult], margin: float | None, level: float) -> Pooled:
    """Fewer than three trials with an interval: one trial stays itself, others are shown beside each other."""
    rows = tuple(ForestRow(one.trial, one.estimate, one.low, one.high, None, one.grade) for one in trials)
    if len(trials) == 1:
        only = trials[0]
        interval = Interval(only.estimate, only.low, only.high)
        grade = only.grade or (_grade(interval, margin, trials) if counted else None)
        facts = _facts(trials, counted, None, interval, None)
        return Pooled(rows, only.level, margin, "There is one trial; its own finding stands.", facts, only.estimate, only.low, only.high,
                      grade=grade)
    why = ("None of the trials has an interval", "Only one of the trials has an interval", "Two trials cannot show how far trials differ")
    note = f"{why[len(counted)]}: they are shown beside each other, without a verdict. Three with an interval can be pooled."
    return Pooled(rows, level, margin, note, _facts(trials, counted, None, None, None))


def pool(trials: Sequence[TrialResult], *, margin: float | None = None, level: float = 0.95) -> Pooled:
    """What several trials of one question say together, with an interval, a prediction for one more trial, and a grade.

    Random effects: every trial has a true effect of its own, since tanks, plants and keepers differ. Their variance is Paule and
    Mandel's, the interval Hartung and Knapp's and never narrower than the one without their factor. Trials that say how many tanks
    they had share one like-tank spread. Hand over every finished trial of the question, whatever it showed: leaving out the dull ones
    makes any effect look real.

    Parameters
    ----------
    trials : sequence of TrialResult
        In the order in which they are to be shown. Those without an interval are shown and not counted.
    margin : float or None
        The smallest difference that matters, above 0; None leaves only differs and open. [summary scale]
    level : float
        Level of the pooled interval and of the prediction, above 0 and below 1.

    Returns
    -------
    Pooled

    Raises
    ------
    NotEnoughDataError
        If there is no trial.
    InputError
        If a trial is named twice, or its interval does not hold its estimate.
    DesignError
        If the trials answer different questions.
    OutOfRangeError
        If margin, level or an estimate lies outside its range.

    References
    ----------
    paule1982, hartung2001, rover2015, higgins2009 (keys from sources.py).

    Examples
    --------
    >>> found = pool([TrialResult("spring", 0.9, 0.1, 1.7), TrialResult("summer", 1.1, 0.5, 1.7), TrialResult("autumn", 0.7, 0.0, 1.4)])
    >>> round(found.estimate, 2), round(found.low, 2), round(found.high, 2), found.grade
    (0.92, 0.05, 1.79, 'differs')
    """
    _checked(trials)
    if margin is not None and not margin > 0:
        raise OutOfRangeError("margin", margin, "a number above 0, or none")
    if not 0 < level < 1:
        raise OutOfRangeError("level", level, "above 0 and below 1")
    counted = [one for one in trials if one.low is not None]
    if len(counted) < FEWEST_POOLED:
        return settled(_unpooled(trials, counted, margin, level))
    estimates = [one.estimate for one in counted]
    variances, spread = _variances(counted)
    tau2, df = paule_mandel(estimates, variances), len(counted) - 1
    found, reach = combined(estimates, variances, tau2), quantile((1 - level) / 2, df)
    interval = Interval(found.estimate, found.estimate - reach * found.se, found.estimate + reach * found.se, df)
    ahead = reach * math.sqrt(tau2 + found.se**2)
    prediction = (found.estimate - ahead, found.estimate + ahead)
    even, grade = _even(estimates, reach), _grade(interval, margin, counted)
    weight = dict(zip((one.trial for one in counted), found.shares, strict=True))
    rows = tuple(ForestRow(one.trial, one.estimate, one.low, one.high, weight.get(one.trial, 0.0), one.grade) for one in trials)
    by = "its own interval" if spread is None else "its number of tanks"
    return settled(Pooled(
        rows, level, margin, f"{len(counted)} trials, each weighed by {by} and by how far the trials differ.",
        _facts(trials, counted, found.shares, interval, prediction), found.estimate, interval.low, interval.high,
        2 * upper_tail(abs(found.estimate) / found.se, df), df, tau2, math.sqrt(tau2), _scatter(estimates, variances, 0.0)[1],
        *prediction, spread, grade, grade != "open" and _grade(even, margin, counted) != grade, even.low, even.high,
    ))


def _even(estimates: Sequence[float], reach: float) -> Interval:
    """The plain t interval of the trials' estimates: every trial counts the same, whatever its own interval."""
    centre = math.fsum(estimates) / len(estimates)
    spread = math.fsum((estimate - centre) ** 2 for estimate in estimates) / (len(estimates) - 1)
    half = reach * math.sqrt(spread / len(estimates))
    return Interval(centre, centre - half, centre + half)
