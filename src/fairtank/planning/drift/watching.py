"""The drift watch of a whole trial: every factor of the diary, all charts sharing one false-alarm share."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fairtank.planning.drift.comparing import Table, arm_contrast, table_of, tank_contrast
from fairtank.planning.drift.control import Contrast, Course, course_of, difference
from fairtank.planning.drift.diary import Record, judged_of, last_day_of, records_of
from fairtank.planning.drift.scatter import Scatter, scatter_of, scatter_of_two
from fairtank.planning.drift.watch import Chart, Departure, UnitLine, Watch, WatchedFactor
from fairtank.planning.drift.watched import LEVEL, WATCHED, natural_scatter
from fairtank.registry import Entry, entries
from fairtank.trial import Plan, TrialFolder

FALSE_ALARM_SHARE = 0.05  # of trials without any drift, over all charts and days
_FEWEST_WATCHED = 2  # periods after the baseline; with fewer, `steady` would say too much


@dataclass(frozen=True, eq=False)
class _Prepared:
    """One chart before its limits are drawn: which contrast of which table, and the natural scatter of a reading."""

    kind: str
    arm: str
    against: str
    unit: str
    other: str
    table: Table
    contrast: Contrast
    scatter: Scatter


def watch(folder: TrialFolder) -> Watch:
    """Whether tanks or arms drift apart in anything that the diary tells, while the trial runs.

    Compared are differences between units on the same days, so that what moves all tanks alike, such as a warm week, moves nothing here. A
    level is held against its own first weeks, or its run-in; a sum such as doses against none at all. Each chart is a weighted mean of the
    differences, and all charts of all factors and tanks share one false-alarm share, half for arms and half for single tanks. Not told:
    differences that were there from the first day in a level; the evenness check tells those.

    Parameters
    ----------
    folder : TrialFolder
        As it was read; the trial may still run.

    Returns
    -------
    Watch

    References
    ----------
    roberts1959; smyth2004; satterthwaite1946 (keys from sources.py).
    """
    plan, declared = folder.plan, {entry.key: entry for entry in entries("factor")}
    records = records_of(folder)
    tables = [table_of(record, plan) for record in records]
    prepared = [[] if table is None or _is_change(folder, record) else _prepared(record, table, plan)
                for record, table in zip(records, tables, strict=True)]
    arms = sum(chart.kind == "arms" for charts in prepared for chart in charts)
    tanks = sum(chart.kind == "tank" for charts in prepared for chart in charts)
    half = FALSE_ALARM_SHARE / (2 if arms and tanks else 1)
    shares = {"arms": half / max(arms, 1), "tank": half / max(tanks, 1)}
    factors = tuple(_factor(folder, record, table, charts, shares, declared.get(record.watched.key))
                    for record, table, charts in zip(records, tables, prepared, strict=True))
    told = {record.watched.key for record in records} | judged_of(plan)
    singles = any(sum(unit.arm == arm.key for unit in plan.units) == 1 for arm in plan.arms)
    return Watch(factors, tuple(one.key for one in WATCHED if one.key not in told), FALSE_ALARM_SHARE, arms + tanks, plan.days,
                 last_day_of(folder), _change_day(plan), singles)


def _change_day(plan: Plan) -> int:
    starts = {"run_in": plan.run_in_days, "drawn_start": plan.drawn_day or 0, "swap": plan.swap_day}
    return starts.get(plan.kind, plan.run_in_days)


def _is_change(folder: TrialFolder, record: Record) -> bool:
    """Whether the change is meant to move the factor: the plan says so, or doses and water are set up for some of the units only."""
    key, setup = record.watched.key, folder.setup
    if key in folder.plan.change_factors:
        return True
    if setup is None:
        return False
    scopes = {"doses": [line.scope for line in setup.doses], "water_change": [line.scope for line in setup.water],
              "light_at_bed": [line.scope for line in setup.light]}.get(key, [])
    return any(scope.arms and set(scope.arms) != {arm.key for arm in folder.plan.arms} for scope in scopes)


def _prepared(record: Record, table: Table, plan: Plan) -> list[_Prepared]:
    """All charts of one factor: each changed arm against the reference, each tank against the others of its arm."""
    known = natural_scatter(record.watched, float(np.nanmean(np.abs(table.values))))
    reference = plan.arm_with("reference").key
    groups = {arm.key: table.rows_of(arm.key) for arm in plan.arms}
    charts = []
    for arm in plan.arms:
        if arm.key != reference and groups[arm.key] and groups[reference]:
            contrast = arm_contrast(table, plan, arm.key, reference)
            charts += _charted("arms", arm.key, reference, "", "", table, contrast, groups.values(), known)
        rows = groups[arm.key]
        for row in rows if len(rows) > 2 else rows[:1] if len(rows) == 2 else ():
            others = [other for other in rows if other != row]
            left = [[one for one in group if one != row] if len(rows) > 2 else group
                    for key, group in groups.items() if key != arm.key or len(rows) > 2]
            other = table.units[others[0]].key if len(rows) == 2 else ""
            charts += _charted("tank", arm.key, "", table.units[row].key, other, table, tank_contrast(table, row, others), left, known)
    return charts


def _charted(kind: str, arm: str, against: str, unit: str, other: str, table: Table, contrast: Contrast,
             groups: Iterable[Sequence[int]], known: tuple[float, float]) -> list[_Prepared]:
    scatter = scatter_of(table.values, table.present, table.days, table.baseline, list(groups), known)
    if scatter is None:
        days = [day for day, counts in zip(table.days, contrast.counts, strict=True) if counts]
        size = float((contrast.weights**2).sum(axis=0).max()) / 2.0  # two tanks: 1
        scatter = scatter_of_two(difference(contrast, table.values) / max(size, 0.25) ** 0.5, days, known)
    return [_Prepared(kind, arm, against, unit, other, table, contrast, scatter)] if scatter.sd > 0 and contrast.counts.any() else []


def _factor(folder: TrialFolder, record: Record, table: Table | None, prepared: list[_Prepared], shares: dict[str, float],
            declared: Entry | None) -> WatchedFactor:
    """What the watch found of one factor."""
    plan, watched = folder.plan, record.watched
    lines = tuple(UnitLine(unit, *_line(record, unit)) for unit in record.values)
    found = WatchedFactor(
        watched.key, record.part, watched.key.replace("_", " ") if declared is None else declared.title, record.unit, watched.kind, "few",
        lines, baseline_until=table.baseline_until if table is not None and watched.kind == LEVEL else None,
        tolerance=_tolerance(record, declared), remedy="" if declared is None else declared.remedy,
        unrecorded=tuple(unit.key for unit in plan.units if unit.key not in record.values))
    if _is_change(folder, record):
        return replace(found, state="change")
    charts = [chart for one in prepared if (chart := _chart(one, shares[one.kind], plan)) is not None]
    charts = _cleared(charts, prepared, shares, plan)
    departures = tuple(sorted((chart.departure for chart in charts if chart.departure is not None),
                              key=lambda one: (one.kind != "arms", -abs(one.size))))
    few = _why_few(charts, found.unrecorded, plan)
    state = departures[0].kind if departures else "few" if few else "steady"
    return replace(found, state=state, charts=tuple(charts), departures=departures, why_few="" if departures else few)


def _line(record: Record, unit: str) -> tuple[tuple[int, ...], tuple[float, ...]]:
    pairs = [(day, value) for day, value in zip(record.days, record.values[unit], strict=True) if value is not None]
    return tuple(day for day, _ in pairs), tuple(value for _, value in pairs)


def _tolerance(record: Record, declared: Entry | None) -> float | None:
    """The factor's declared tolerance, where its values are in the declared unit."""
    if declared is None or (record.watched.kind == LEVEL and record.unit != declared.unit):
        return None
    values = [abs(value) for own in record.values.values() for value in own if value is not None]
    middle = float(np.median(values)) if values else 0.0
    tolerance = declared.tolerance
    size = tolerance.of(middle) if record.watched.kind == LEVEL else tolerance.relative * middle
    return size or None


def _chart(one: _Prepared, share: float, plan: Plan) -> Chart | None:
    course = course_of(one.contrast, one.table.values, one.scatter, alarm_share=share, until_day=plan.days)
    if course is None:
        return None
    last, half = float(course.smooth[-1]), course.t95 * float(course.ses[-1])
    return Chart(one.kind, one.arm, one.against, one.unit, one.other, course.days, tuple(map(float, course.values)), course.watched,
                 tuple(map(float, course.smooth)), tuple(map(float, course.limits)), last, last - half, last + half,
                 _departure(one, course))


def _departure(one: _Prepared, course: Course) -> Departure | None:
    if course.alarm is None:
        return None
    unit, other, size = one.unit, one.other, course.size
    since = course.days[course.start]
    if other and _other_moved(one, since):
        unit, other, size = other, unit, -size
    half = course.t95 * course.size_se
    is_over = abs(float(course.smooth[-1])) < 0.5 * float(course.limits[-1])
    level = _others_mean(one, unit, since)
    share = size / level if level > 1e-9 else None
    return Departure(one.kind, one.arm, one.against, unit, other, since, course.watched[course.alarm], size, size - half, size + half,
                     share, is_over)


def _other_moved(one: _Prepared, since: int) -> bool:
    """Of two tanks of an arm that part: whether the second is further from all tanks of other arms than the first, beyond its baseline."""
    table = one.table
    filled = np.where(np.isfinite(table.values), table.values, 0.0)
    beyond = np.where(table.present > 0, filled - (filled * table.baseline).sum(axis=1, keepdims=True), np.nan)
    late = beyond[:, [day >= since for day in table.days]]
    means = {unit.key: float(np.nanmean(late[row])) for row, unit in enumerate(table.units) if np.isfinite(late[row]).any()}
    rest = [mean for unit in table.units if unit.arm != one.arm and (mean := means.get(unit.key)) is not None]
    if not rest or one.unit not in means or one.other not in means:
        return False
    middle = float(np.median(rest))
    return abs(means[one.other] - middle) > abs(means[one.unit] - middle)


def _others_mean(one: _Prepared, unit: str, since: int) -> float:
    """Mean value, since that day, of what the departing side is held against."""
    keys = {own.key for own in one.table.units if own.arm == (one.against or one.arm) and own.key != unit}
    late = [day >= since for day in one.table.days]
    values = one.table.values[[row for row, own in enumerate(one.table.units) if own.key in keys]][:, late]
    return float(np.nanmean(values)) if np.isfinite(values).any() else 0.0


def _cleared(charts: list[Chart], prepared: list[_Prepared], shares: dict[str, float], plan: Plan) -> list[Chart]:
    """Charts of arms without the departure that is one tank's: it stays only where the arms differ without that tank as well."""
    lone = frozenset(chart.departure.unit for chart in charts if chart.kind == "tank" and chart.departure is not None)
    if not lone:
        return charts
    told = []
    for chart in charts:
        if chart.kind == "arms" and chart.departure is not None:
            first = next(one for one in prepared if (one.kind, one.arm) == ("arms", chart.arm))
            contrast = arm_contrast(first.table, plan, chart.arm, chart.against, without=lone)
            course = course_of(contrast, first.table.values, first.scatter, alarm_share=shares["arms"], until_day=plan.days) \
                if contrast.counts.any() else None
            if course is None or course.alarm is None:
                chart = replace(chart, departure=None)
        told.append(chart)
    return told


def _why_few(charts: Sequence[Chart], unrecorded: tuple[str, ...], plan: Plan) -> str:
    """Why nothing can be told: half a sentence, or empty."""
    arms = [chart for chart in charts if chart.kind == "arms"]
    if len(unrecorded) == len(plan.units):
        return "nothing is written down in full weeks yet"
    bare = [arm.key for arm in plan.arms if all(unit.key in unrecorded for unit in plan.units if unit.arm == arm.key)]
    if bare:
        return "nothing is written down for an arm"
    if not arms or max(len(chart.watched) for chart in arms) < _FEWEST_WATCHED:
        return "there are fewer than two readings on common days after the first weeks"
    return ""
