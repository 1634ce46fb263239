"""The charts of a finding in a page: where each tank stands with the interval (or the ladder of doses), and the curves over the days."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish import curves, dot_row, ladder_chart
from fairtank.publish.arms import ArmLook, arm_looks, arm_words
from fairtank.publish.blocks import Table
from fairtank.publish.charts import NARROW_PX, WIDE_PX, Spec
from fairtank.publish.dots import Dot, axis_unit, judged_on_axis, partners_of, reference_of
from fairtank.publish.numbers import figures, shown, unit_words, with_unit
from fairtank.publish.page_chart import PageChart, with_touch
from fairtank.publish.phrases import capital, named, title_words, under
from fairtank.publish.printed import levels_in_short
from fairtank.publish.report_pictures import curves_caption, is_ladder, tanks_caption
from fairtank.publish.span import series_inside
from fairtank.trial import Event, Plan, Series

_MOST_ARMS_TOLD = 3
# What the one or two numbers of a tank are: (open mark, filled mark).
_ENDS = {"mean": ("", "Mean over the days"), "change": ("Run-in", "After the change"), "slope": ("", "Each day added"),
         "swap": ("Under the reference", "Under the change"), "threshold": ("Last day below", "Reached")}


def finding_charts(findings: Sequence[Finding], plan: Plan, series: Sequence[Series], events: Sequence[Event] = (), *,
                   widths_px: tuple[int, int] = (WIDE_PX, NARROW_PX)) -> tuple[PageChart, ...]:
    """All charts of one measure: the tanks with their interval where any can be used, the curves where there is more than one day.

    Parameters
    ----------
    findings : sequence of Finding
        All comparisons of one measure, at least one.
    plan : Plan
        Of the same trial.
    series : sequence of Series
        Of any measures; those of others and values outside the trial's days are left out.
    events : sequence of Event
        Of the trial.
    widths_px : (int, int)
        Outer widths of the two drawings of each chart. [px]

    Returns
    -------
    tuple of PageChart
        None, one or two, in the order in which they are read.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    charts = []
    if any(unit.z is not None for one in findings for unit in one.units):
        charts.append(_tanks(findings, plan, widths_px))
    own = [one for one in series_inside(plan, series) if one.measure == findings[0].measure]
    if len({day for one in own for day in one.days}) > 1:
        charts.append(_curves(findings, plan, own, events, widths_px))
    return tuple(charts)


def _tanks(findings: Sequence[Finding], plan: Plan, widths_px: tuple[int, int]) -> PageChart:
    if is_ladder(plan, findings[0]):
        return _ladder(findings[0], plan, widths_px)
    finding, others, looks = findings[0], findings[1:], arm_looks(plan)
    touched = _dots_told(findings, looks)
    wide, narrow = (_touch_dots(dot_row.dot_row(finding, looks, width_px=width, partners=partners_of(plan), others=others), touched)
                    for width in widths_px)
    return PageChart(_key("tanks", finding), _tanks_title(findings, looks), wide["description"], tanks_caption(plan, findings),
                     wide, narrow, _dots_table(findings, looks))


def _key(what: str, finding: Finding) -> str:
    return f"{what}-{''.join(sign if sign.isascii() and sign.isalnum() else '-' for sign in finding.measure)}"


def _tanks_title(findings: Sequence[Finding], looks: dict[str, ArmLook]) -> str:
    finding = findings[0]
    title, word = title_words(finding), finding.unit_word
    if finding.summary == "threshold":
        return f"{title}: between which days each {word} reached the threshold"
    if len(findings) > 1:
        return f"{title}: where each {word} stands, and each comparison with its interval"
    told = _levels(finding, looks)
    if told is None:
        return f"{title}: where each {word} stands; no interval can be given"
    reference, changed, bounds = told
    return f"{title}: {changed} ({bounds}) {under(finding.changed_label)}, {reference} {under(finding.reference_label)}"


def _levels(finding: Finding, looks: dict[str, ArmLook]) -> tuple[str, str, str] | None:
    """The reference's level, the changed level and its interval, with their unit; None without an interval."""
    judged = judged_on_axis(finding, reference_of(finding, looks))
    if judged is None:
        return None
    told = levels_in_short(finding, judged.reference, judged.changed, judged.low, judged.high)
    reference, changed, bounds = (with_unit(text, axis_unit(finding)) for text in told)
    return reference, changed, bounds


def _value(value: float, finding: Finding) -> str:
    """A tank's own number: no interval belongs to it, so that it has two figures."""
    return f"day {value:.0f}" if finding.summary == "threshold" else with_unit(figures(value), axis_unit(finding))


def _heads(finding: Finding) -> tuple[str, str]:
    if finding.design == "drawn_start" and finding.summary != "slope":
        return "Before the start", "From the start on"
    if finding.reading_day is not None and finding.summary == "mean":
        return "", f"Day {finding.reading_day}"
    return _ENDS.get(finding.summary, ("", "Number"))


def _dots_told(findings: Sequence[Finding], looks: dict[str, ArmLook]) -> dict[float, str]:
    """What is told at each place along the axis at which a mark stands."""
    told: dict[float, list[str]] = {}
    before, after = _heads(findings[0])
    for dot in dot_row.all_dots(findings, looks):
        who = f"{shown(dot.unit)}, {arm_words(looks[dot.arm], is_swap=findings[0].summary == 'swap')}"
        if dot.start is not None:
            told.setdefault(dot.start, []).append(f"{who}, {before.lower()}: {_value(dot.start, findings[0])}")
        told.setdefault(dot.place, []).append(f"{who}, {after.lower()}: {_value(dot.place, findings[0])}")
    for one in findings:
        judged, levels = judged_on_axis(one, reference_of(one, looks)), _levels(one, looks)
        if judged is not None and levels is not None:
            words = f"{capital(named(one.changed_label))} where the reference has {levels[0]}: {levels[1]} ({levels[2]})"
            told.setdefault(judged.changed, []).append(words)
    return {place: "; ".join(words) for place, words in told.items()}


def _touch_dots(spec: Spec, told: dict[float, str]) -> Spec:
    rows = [row for layer in spec["layer"] if layer["mark"]["type"] == "point" for row in layer["data"]["values"]]
    return with_touch(spec, [(row["x"], row["y"], told[row["x"]]) for row in rows if row["x"] in told], size=360)


def _dots_table(findings: Sequence[Finding], looks: dict[str, ArmLook]) -> Table:
    finding, drawn = findings[0], dot_row.all_dots(findings, looks)
    before, after = _heads(finding)
    has_start = any(dot.start is not None for dot in drawn)
    rows = [_dot_row(dot, look, finding, has_start) for look in looks.values() for dot in drawn if dot.arm == look.key]
    for one in findings:
        told = _levels(one, looks)
        if told is not None:
            both = f"{shown(one.changed_label)} against {shown(one.reference_label)}"
            rows.append(("Interval", both, *([""] if has_start else []), f"{told[1]} ({told[2]}), where the reference has {told[0]}"))
    head = (capital(finding.unit_word), "Arm", *([before] if has_start else []), after)
    return Table(f"{title_words(finding)}: the number of each {finding.unit_word}", head, tuple(rows), wide=(1,),
                 numeric=tuple(range(2, len(head))))


def _dot_row(dot: Dot, look: ArmLook, finding: Finding, has_start: bool) -> tuple[str, ...]:
    start = [] if not has_start else ["" if dot.start is None else _value(dot.start, finding)]
    return shown(dot.unit), shown(look.words), *start, _value(dot.place, finding)


def _ladder(finding: Finding, plan: Plan, widths_px: tuple[int, int]) -> PageChart:
    looks, unit = arm_looks(plan), axis_unit(finding)
    dots = ladder_chart.dots_of(finding, plan)
    points = [(dot.dose, dot.place, f"{shown(dot.unit)}, dose {with_unit(f'{dot.dose:g}', plan.dose_unit)}: "
               f"{with_unit(figures(dot.place), unit)}") for dot in dots]
    wide, narrow = (with_touch(ladder_chart.ladder_chart(finding, plan, looks, width_px=width), points, size=360)
                    for width in widths_px)
    rows = tuple((shown(dot.unit), with_unit(f"{dot.dose:g}", plan.dose_unit), with_unit(figures(dot.place), unit))
                 for dot in sorted(dots, key=lambda dot: (dot.dose, dot.unit)))
    head = capital(finding.unit_word), "Dose", _heads(finding)[1]
    table = Table(f"{title_words(finding)} of each {finding.unit_word} by its dose", head, rows, numeric=(1, 2))
    # The last sentence of the description is the line with its interval.
    line = wide["description"].rpartition(" The line goes ")[2]
    title = f"{title_words(finding)} by dose: " + (f"the line goes {line.rstrip('.')}" if line != wide["description"] else "no interval")
    return PageChart(_key("tanks", finding), title, wide["description"], tanks_caption(plan, [finding]), wide, narrow, table)


def _curves(findings: Sequence[Finding], plan: Plan, series: Sequence[Series], events: Sequence[Event],
            widths_px: tuple[int, int]) -> PageChart:
    finding, looks = findings[0], arm_looks(plan)
    unit = finding.unit_of_measure or (finding.natural.unit if finding.natural else "")
    unused = frozenset(out.unit for one in findings for out in one.units if out.z is None)
    points = curves.points_of(plan, series)
    touched = []
    for key, own in points.items():
        out = curves.taken_out(key, own, events)
        who = f"{shown(key)}, {arm_words(looks[plan.arm_of(key).key], is_swap=plan.kind == 'swap')}"
        touched += [(float(day), value, f"{who}, day {day}: {with_unit(figures(value), unit)}"
                     + (" (taken out)" if (day, value) in out else "")) for day, value in own]
    wide, narrow = (with_touch(curves.curves(plan, series, looks, title=title_words(finding), unit=unit, events=events, width_px=width,
                                             unused=unused), touched) for width in widths_px)
    title = f"{title_words(finding)} over the days: {_ends_told(plan, points, looks, unit)}"
    caption = curves_caption(plan, series, events, findings)
    return PageChart(_key("curves", finding), title, wide["description"], caption, wide, narrow,
                     _curves_table(plan, points, looks, f"{title_words(finding)} of each unit by day", unit, events))


def _ends_told(plan: Plan, points: dict[str, list[tuple[int, float]]], looks: dict[str, ArmLook], unit: str) -> str:
    """Between which values the units of each arm end; of many arms those of all."""
    ends: dict[str, list[float]] = {}
    for key, own in points.items():
        ends.setdefault(plan.arm_of(key).key, []).append(own[-1][1])
    if len(ends) > _MOST_ARMS_TOLD or plan.kind == "swap":
        return f"all units end at {_span([value for own in ends.values() for value in own], unit)}"
    return ", ".join(f"arm {look.letter} ends at {_span(ends[key], unit)}" for key, look in looks.items() if key in ends)


def _span(values: list[float], unit: str) -> str:
    low, high = figures(min(values)), figures(max(values))
    return with_unit(low if low == high else f"{low} to {high}", unit)


def _curves_table(plan: Plan, points: dict[str, list[tuple[int, float]]], looks: dict[str, ArmLook], caption: str, unit: str,
                  events: Sequence[Event]) -> Table:
    """One row for each day, one column for each unit; a day that an event takes out stands in brackets."""
    order = sorted(points, key=lambda key: (list(looks).index(plan.arm_of(key).key), key))
    values = {key: dict(points[key]) for key in order}
    out = {key: {day for day, _ in curves.taken_out(key, points[key], events)} for key in order}
    days = sorted({day for own in points.values() for day, _ in own})
    rows = tuple((str(day), *(_cell(values[key].get(day), day in out[key]) for key in order)) for day in days)
    heads = (f"{shown(key)}, {arm_words(looks[plan.arm_of(key).key], is_swap=plan.kind == 'swap')}"
             + (f" [{unit_words(unit)}]" if unit else "") for key in order)
    note = "; in brackets: days that an event takes out" if any(out.values()) else ""
    return Table(f"{caption}{note}", ("Day", *heads), rows, numeric=tuple(range(len(order) + 1)))


def _cell(value: float | None, is_out: bool) -> str:
    told = "" if value is None else figures(value)
    return f"({told})" if is_out and told else told
