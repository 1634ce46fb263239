"""One portion of a setting: trials simulated, judged one by one as any trial is, and counted; the naive ways on the same trials."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from honest_settings import MAIN, Setting, main_settings, more_settings
from naive_ways import LAST_WEEK_D, WAYS
from stage_one import logit, window_means

from fairtank.finding import Finding
from fairtank.inference import judge
from fairtank.inference.earlier.library import interval_with_library
from fairtank.inference.earlier.like_tanks import SpreadKind, library_of, pooled_variance
from fairtank.simulation.trials import NO_EFFECT, all_receiving, course_of, series_from, simulated_cover
from fairtank.simulation.trials.course import Course
from fairtank.simulation.trials.plans import drawn_start_plan
from fairtank.simulation.trials.tanks import philox
from fairtank.trial import Plan, Series, SpreadEntry

MEASURE = "algae_cover"
EARLIER_TRIALS, EARLIER_EACH = 8, 2
CLAIMS = ("matters", "differs")
TRUTH_TANKS = 3000
# The window classes of the trials simulated here, so that the earlier trials are of their kind.
WINDOW_CLASSES = {"side_by_side": "35 to 49 days", "run_in": "35 to 49 days after 11 to 16 days alike", "swap": "17 to 24 days"}
TANK_CLASS = "tank of 45 to under 80 L"


@dataclass(frozen=True)
class Portion:
    """Some trials of one setting: `place` in the list of settings, with or without an effect, a seed and how many."""

    place: int
    with_effect: bool
    seed: int
    reps: int


@cache
def settings() -> list[Setting]:
    """All settings, in a fixed order."""
    return [*main_settings(), *more_settings()]


def unit_numbers(plan: Plan, values: np.ndarray) -> np.ndarray:
    """Stage 1 of many trials: one number for each unit, shape (trials, units), of the logit of cover."""
    summary, last = plan.measures[0].summary, values.shape[-1] - 1
    if summary == "swap":
        return window_means(values, 0, plan.swap_day - 1) - window_means(values, plan.swap_day + plan.washout_days, last)
    if summary == "slope":
        day = np.arange(last + 1) - last / 2
        return (values * day).sum(axis=-1) / (day @ day)
    treated = window_means(values, plan.run_in_days, last)
    return treated - window_means(values, 0, plan.run_in_days - 1) if plan.kind == "run_in" else treated


def _moved(setting: Setting, amounts: dict[str, float]) -> np.ndarray:
    """How far so much of each change moves the logit of cover of the same tanks, by day; shape (trials, units, days)."""
    course = course_of(setting.plan)
    world = replace(setting.world, missed_share=0.0, gap_share=0.0, shy_share=0.0, spread_df=np.inf)
    with_it, without = (logit(simulated_cover(all_receiving(course, given), world, setting.effects,
                                              reps=TRUTH_TANKS // len(course.units), seed=987)) for given in (amounts, {}))
    return with_it - without


def _mean_moved(setting: Setting, amounts: dict[str, float]) -> float:
    """The same for the summary, mean over all tanks; for a swap the mean of what it does in both periods."""
    plan, moved = setting.plan, _moved(setting, amounts)
    if plan.kind != "swap":
        return float(unit_numbers(plan, moved).mean())
    after = plan.swap_day + plan.washout_days
    return float((window_means(moved, 0, plan.swap_day - 1) + window_means(moved, after, moved.shape[-1] - 1)).mean() / 2)


def truth_of(setting: Setting) -> dict[str, float]:
    """What an interval should hold, by the two arms that it compares (`R>C`), and what the naive estimates should, by the way's name."""
    plan, course = setting.plan, course_of(setting.plan)
    if setting.is_drawn_start:
        return {}
    reference = plan.arm_with("reference").key
    if plan.kind == "ladder":
        doses = np.array([arm.dose or 0.0 for arm in plan.arms])
        line = np.polyfit(doses, [_mean_moved(setting, {"dose": dose}) for dose in doses.tolist()], 1)
        return {f"{reference}>{plan.arms[-1].key}": float(line[0] * (doses[-1] - doses[0]))}
    if plan.kind == "two_changes":
        first, second = course.changes
        alone = {change: _mean_moved(setting, {change: 1.0}) for change in course.changes}
        both = _mean_moved(setting, {first: 1.0, second: 1.0})
        named = {change: next(arm.key for arm in plan.arms if arm.changes == (change,)) for change in course.changes}
        return {f"{reference}>{named[one]}": (alone[one] + both - alone[other]) / 2 for one, other in ((first, second), (second, first))}
    to = {change: _mean_moved(setting, {change: 1.0}) for change in course.changes}
    found = {f"{reference}>{change}": effect for change, effect in to.items()}
    found |= {f"{one}>{other}": to[other] - to[one] for one in to for other in to if one != other}
    return {**found, **_naive_truth(setting, course)} if setting.group == MAIN else found


def _naive_truth(setting: Setting, course: Course) -> dict[str, float]:
    by_day = _moved(setting, {course.changes[0]: 1.0}).mean(axis=(0, 1))
    span, ends = LAST_WEEK_D if len(course.units) == 2 else 1, _ends(setting.plan, course)
    every_day = float(by_day[setting.plan.run_in_days:].mean())
    return {"daily_t": every_day, "photo_anova": every_day,
            "last_day": float(np.mean([by_day[end - span + 1:end + 1].mean() for end in ends]))}


def _ends(plan: Plan, course: Course) -> tuple[int, ...]:
    """The last day of each period."""
    return (plan.swap_day - 1, course.days - 1) if plan.kind == "swap" else (course.days - 1,)


def earlier_variances(setting: Setting, reps: int, seed: int) -> np.ndarray:
    """Within-arm variances of earlier trials of two tanks per arm, eight for each trial, each trial's own; shape (reps, trials)."""
    plan = setting.plan
    units = plan.units
    reference = next(unit for unit in units if plan.arm(unit.arm).role == "reference")
    changed = next(unit for unit in units if plan.arm(unit.arm).role == "changed")
    each = [replace(unit, key=f"E{place}", tank=f"E{place}") for place, unit in enumerate((reference, reference, changed, changed))]
    course = course_of(replace(plan, units=tuple(each)))
    world = replace(setting.world, spread_times=1.0)
    values = logit(simulated_cover(course, world, NO_EFFECT, reps=reps * EARLIER_TRIALS, seed=seed))
    z = unit_numbers(plan, values)
    variance = (z[:, :2].var(axis=1, ddof=1) + z[:, 2:].var(axis=1, ddof=1)) / 2
    assert np.isclose(variance[0], pooled_variance([z[0, :2].tolist(), z[0, 2:].tolist()])[0])
    return variance.reshape(reps, EARLIER_TRIALS)


def entries_of(plan: Plan, variances: Sequence[float]) -> tuple[SpreadEntry, ...]:
    """Earlier trials as the rows of spread.csv."""
    return tuple(SpreadEntry(MEASURE, "logit", plan.measures[0].summary, WINDOW_CLASSES[plan.kind], TANK_CLASS, variance,
                             2.0 * (EARLIER_EACH - 1), f"earlier trial {place + 1}") for place, variance in enumerate(variances))


def simulated(setting: Setting, portion: Portion) -> tuple[list[tuple[Plan, tuple[Series, ...]]], np.ndarray | None]:
    """The portion's trials as plan and series; and their cover as an array where all have the same plan."""
    effects = setting.effects if portion.with_effect else tuple(NO_EFFECT for _ in setting.effects)
    if not setting.is_drawn_start:
        course = course_of(setting.plan)
        cover = simulated_cover(course, setting.world, effects, reps=portion.reps, seed=portion.seed)
        return [(setting.plan, series_from(setting.plan, course, one, MEASURE, digits=6)) for one in cover], cover
    trials, lot, window = [], philox(portion.seed, "lot"), setting.plan.start_window
    assert window is not None
    for place in range(portion.reps):
        plan = drawn_start_plan(window, int(lot.integers(window[0], window[1] + 1)), int(lot.integers(2)), days=setting.plan.days + 1,
                                expect=setting.plan.expect)
        course = course_of(plan)
        cover = simulated_cover(course, setting.world, effects, reps=1, seed=100_000 * portion.seed + place)
        trials.append((plan, series_from(plan, course, cover[0], MEASURE, digits=6)))
    return trials, None


def _claims(finding: Finding) -> bool:
    return finding.grade in CLAIMS or any(look.grade in CLAIMS for look in finding.looks)


def _counted(findings: Sequence[Finding], truth: dict[str, float], with_effect: bool) -> Counter[str]:
    """What one trial adds to the counts: a claim of any comparison is a claim, and its intervals cover if all of them do."""
    found: Counter[str] = Counter(trials=1, claims=any(_claims(one) for one in findings))
    found["verdicts"] = any(one.grade not in ("spoilt", "alone") for one in findings)
    told = [(one.low, truth.get(f"{one.reference_arm}>{one.changed_arm}") if with_effect else 0.0, one.high) for one in findings]
    held = [low <= expected <= high for low, expected, high in told if expected is not None and low is not None and high is not None]
    found["intervals"], found["covered"] = bool(held), bool(held) and all(held)
    found[f"basis: {findings[0].basis}"] += 1
    return found


def judged(portion: Portion, truth: dict[str, float]) -> dict[str, Any]:
    """The counts of one portion, ours and those of the naive ways."""
    setting = settings()[portion.place]
    trials, cover = simulated(setting, portion)
    course, counts = course_of(setting.plan), Counter[str]()
    variances = earlier_variances(setting, portion.reps, portion.seed + 1).tolist() if setting.has_earlier else [[]] * portion.reps
    borrowing = Counter[str]()
    for place, ((plan, series), earlier) in enumerate(zip(trials, variances, strict=True)):
        entries = entries_of(plan, earlier) if earlier else ()
        findings = judge(plan, series, earlier=entries, tank_litres=plan.tank_litres)
        counts += _counted(findings, truth, portion.with_effect)
        if setting.tries_borrowing:
            borrowing += _with_help(plan, findings[0], entries, truth, portion.with_effect)
        if cover is not None and place < 10:
            _hold_together(plan, cover[place], findings[0])
    naive = {} if setting.group != MAIN or cover is None else _naive(setting, course, logit(cover), truth, portion.with_effect)
    return {"ours": dict(counts), **({"borrowing": dict(borrowing)} if borrowing else {}), **naive}


def _with_help(plan: Plan, finding: Finding, entries: Sequence[SpreadEntry], truth: dict[str, float], with_effect: bool) -> Counter[str]:
    """What the same tanks would say with earlier tanks' help at three per arm too, which the judging does not ask for."""
    found: Counter[str] = Counter(trials=1)
    arms = [[unit.z for unit in finding.units if unit.z is not None and plan.arm(unit.arm).role == role]
            for role in ("reference", "changed")]
    if min(map(len, arms)) < 3:
        return found
    one = entries[0]
    library = library_of(entries, SpreadKind(one.measure, one.scale, one.summary, one.window_class, one.tank_class))
    told = interval_with_library(*arms, alpha=1 - finding.level, library=library, scale="logit", halved=plan.kind == "swap",
                                 borrow_at_three=True).interval
    expected = truth[f"{finding.reference_arm}>{finding.changed_arm}"] if with_effect else 0.0
    if told.low is not None and told.high is not None:
        found.update(intervals=1, covered=told.low <= expected <= told.high, claims=not told.low <= 0 <= told.high)
    return found


def _hold_together(plan: Plan, cover: np.ndarray, finding: Finding) -> None:
    """The numbers of the units are those that the judging found."""
    if plan.measures[0].summary == "slope" or plan.kind == "rounds":
        return
    z = dict(zip([unit.key for unit in plan.units], unit_numbers(plan, logit(cover)).tolist(), strict=True))
    for unit in finding.units:
        assert unit.z is None or abs(unit.z - z[unit.unit]) < 1e-6, f"{unit.unit} has {unit.z} in the finding and {z[unit.unit]} here"


def _naive(setting: Setting, course: Course, values: np.ndarray, truth: dict[str, float], with_effect: bool) -> dict[str, Any]:
    plan, found = setting.plan, {}
    start = plan.run_in_days
    changed = course.received.any(axis=0)
    for name, way in WAYS.items():
        claimed = way(values[..., start:], changed[:, start:], tuple(end - start for end in _ends(plan, course)))
        expected = truth[name] if with_effect else 0.0
        covered = (claimed.low <= expected) & (expected <= claimed.high)
        found[name] = {"trials": len(values), "intervals": int(np.isfinite(claimed.low).sum()), "claims": int(claimed.is_claim.sum()),
                       "covered": int(covered.sum())}
    return found
