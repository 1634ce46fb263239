"""The pictures of a report: the dots or the ladder of each primary measure, its curves over the days, and the photos."""

import functools
from collections.abc import Callable, Sequence

from fairtank.finding import Finding
from fairtank.publish import charts, curves, dot_row, event_marks, ladder_chart, strip_wall
from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Figure, Heading, Pairs, Picture, Wall
from fairtank.publish.content import ReportContent
from fairtank.publish.dots import partners_of
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import title_words, word_of
from fairtank.publish.span import pictures_inside, series_inside
from fairtank.trial import Event, Plan, Series


def picture_blocks(content: ReportContent, primary: list[Finding], looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """One picture of the tanks for each primary measure, with all its comparisons, then its curves."""
    blocks: list[Block] = []
    for index, measure in enumerate(dict.fromkeys(finding.measure for finding in primary)):
        own = [finding for finding in primary if finding.measure == measure]
        if any(unit.z is not None for finding in own for unit in finding.units):
            blocks.append(_tanks(content.folder.plan, own, looks, f"dots{index}"))
        blocks += curves_blocks(content, own, looks, f"curves{index}")
    return tuple(blocks)


def figure(key: str, spec_of: Callable[[int], charts.Spec], caption: str) -> Figure:
    """A chart, drawn wide for desks and paper and narrow for phones."""
    wide, narrow = spec_of(charts.WIDE_PX), spec_of(charts.NARROW_PX)
    return Figure(key, caption, wide["description"], charts.svg_of(wide, key=f"{key}-wide"), charts.svg_of(narrow, key=f"{key}-narrow"))


def _tanks(plan: Plan, own: list[Finding], looks: dict[str, ArmLook], key: str) -> Figure:
    drawn = functools.partial(_ladder, own[0], plan, looks) if is_ladder(plan, own[0]) else functools.partial(
        _dots, own, looks, partners_of(plan))
    return figure(key, drawn, tanks_caption(plan, own))


def is_ladder(plan: Plan, finding: Finding) -> bool:
    """Whether the tanks of a finding are drawn by their doses."""
    return plan.kind == "ladder" and finding.summary != "threshold"


def tanks_caption(plan: Plan, own: Sequence[Finding]) -> str:
    """What the picture of a measure's tanks shows beyond its own legend, for all its comparisons."""
    return _ladder_caption(own[0]) if is_ladder(plan, own[0]) else _dots_caption(own[0], len(own))


def _ladder(finding: Finding, plan: Plan, looks: dict[str, ArmLook], width_px: int) -> charts.Spec:
    return ladder_chart.ladder_chart(finding, plan, looks, width_px=width_px)


def _dots(own: list[Finding], looks: dict[str, ArmLook], partners: dict[str, str], width_px: int) -> charts.Spec:
    return dot_row.dot_row(own[0], looks, width_px=width_px, partners=partners, others=own[1:])


def _ladder_caption(finding: Finding) -> str:
    """What the ladder's picture shows beyond its own legend."""
    word = finding.unit_word
    text = f"Each {word}'s {_mean_over(finding)}, above the dose that it had."
    if finding.summary == "change":
        text = f"How far each {word} moved since its run-in, above the dose that it had; set upon the level of the reference."
    elif finding.summary == "slope":
        text = f"What each day added in each {word}, above the dose that it had."
    if finding.low is None:
        return text
    text += " The line goes through all of them. The bar at the side is the interval of the whole step"
    bends = finding.scale != "identity" and finding.summary != "slope"
    return text + (f"; the line is straight on the scale on which {word}s are compared, and bends here." if bends else ".")


def _mean_over(finding: Finding) -> str:
    """What a tank's number is: the mean over the days, or the value of the one day on which all were read."""
    return "mean over the days" if finding.reading_day is None else f"value on day {finding.reading_day}"


def _dots_caption(finding: Finding, comparisons: int = 1) -> str:
    word = finding.unit_word
    text = f"Each {word}'s {_mean_over(finding)}: one mark for each {word}, and each arm's mean."
    if finding.summary == "slope":
        text = f"What each day added in each {word}: one mark for each {word}, and each arm's mean."
    if finding.design == "drawn_start":
        text = (f"How much the slope of each {word} changed at the start." if finding.summary == "slope" else
                f"Each {word}'s mean over the days before the start (open mark) and from it on (filled mark).")
    elif finding.summary == "change":
        text = (f"Each {word}'s mean over its run-in (open mark) and over the days after the change (filled mark), and each arm's mean "
                "after the change.")
    if finding.design == "pairs":
        text += f" A thin line joins the two {word}s of each pair."
    if finding.summary == "threshold":
        text = (f"Between which days each {word} reached the threshold: the last day below it (open mark) and the first day at or above it "
                "(filled mark). A single open mark: not reached by that day.")
    if finding.summary == "swap":
        text = (f"Each {word}'s mean over the days under the reference (open mark) and under the change (filled mark), by what it had "
                "first, and the mean of each order under the change.")
    if finding.below_detection is not None and finding.summary != "threshold":
        text += " Readings below what the test can tell count as its limit divided by the square root of 2."
    if finding.low is not None:
        text += _interval_caption(finding, comparisons)
    return text


def _interval_caption(finding: Finding, comparisons: int) -> str:
    """What the interval below the dots is set against."""
    if finding.design == "two_changes":
        text = (" Below, one interval for each change: with it, set against the mean without it; both sides averaged over the other "
                "change.")
    elif comparisons > 1:
        text = " Below, one interval for each comparison, set against the mean of the arm with which it is compared."
    else:
        text = " Below, the interval for the changed arm, set against the reference's mean."
    if finding.summary == "change":
        text += (f" Its middle is not the changed arm's mean: it says where that arm would stand had all {finding.unit_word}s started "
                 "alike, while the mean still holds the head start that the run-in shows.")
    return text


def curves_blocks(content: ReportContent, own: Sequence[Finding], looks: dict[str, ArmLook], key: str) -> list[Block]:
    """The curves of a measure over the days; none where there was one day only."""
    finding = own[0]
    plan, events = content.folder.plan, content.folder.events
    series = [one for one in series_inside(plan, content.series) if one.measure == finding.measure]
    if len({day for one in series for day in one.days}) < 2:
        return []  # one day, such as weights at harvest, has no course to draw
    unit = finding.unit_of_measure or (finding.natural.unit if finding.natural else "")
    unused = frozenset(out.unit for one in own for out in one.units if out.z is None)
    caption = curves_caption(plan, series, events, own)
    return [figure(key, lambda width: curves.curves(plan, series, looks, title=title_words(finding), unit=unit, events=events,
                                                    width_px=width, unused=unused), caption)]


def curves_caption(plan: Plan, series: Sequence[Series], events: Sequence[Event], own: Sequence[Finding]) -> str:
    """What the curves of a measure do not say themselves: gaps, days and units that were taken out, what the bars at the foot are."""
    points = curves.points_of(plan, series)
    caption = f"{title_words(own[0])} over the days. A gap of more than {curves.LONGEST_BRIDGE_D} days is not bridged."
    if plan.kind == "swap":
        caption += f" Each line is named by what its {word_of(plan)} had first; after the places change it has the other."
        if plan.washout_days:
            caption += f" Shaded: the wash-out, days {plan.swap_day} to {plan.swap_day + plan.washout_days - 1}, which does not count."
    if any(any(one.below) for one in series):
        caption += " Readings below what the test can tell are drawn at its limit."
    if any(curves.taken_out(unit, own, events) for unit, own in points.items()):
        caption += " Hollow marks off the line: days that an event takes out of the analysis."
    seen = [event for event in events if event.day_until >= 0 and event.day_from <= plan.days]
    if seen:
        caption += " Grey bars at the foot: events, listed under Deviations."
    if any(event_marks.keys_of(plan, event) for event in seen):
        caption += f" A bar with a key concerns that {word_of(plan)} only."
        spans = [(curves.day_span(points, width), width) for width in (charts.WIDE_PX, charts.NARROW_PX)]
        unnamed = event_marks.unplaced_words(plan, events, spans)
        caption += f" No room for a key at every width: {unnamed}." if unnamed else ""
    if {one.unit for one in series} & {out.unit for finding in own for out in finding.units if out.z is None}:
        caption += f" Fainter: {own[0].unit_word}s that could not be used, listed under Deviations."
    return caption


def photo_blocks(content: ReportContent, looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """First and last photo of each unit, then the strip wall; none where there are no photos."""
    plan, rows = content.folder.plan, []
    word = word_of(plan)
    inside = pictures_inside(plan, content.pictures)
    by_unit = {own.unit: own for own in inside}
    for unit in sorted((unit for unit in plan.units if unit.key in by_unit), key=lambda unit: list(looks).index(unit.arm)):
        own, look = by_unit[unit.key], looks[unit.arm]
        pictures = tuple(Picture(jpeg, f"{shown(unit.key)}, arm {look.letter} ({shown(look.label)}), day {day}", f"day {day}")
                         for jpeg, day in ((own.first, own.first_day), (own.last, own.last_day)) if jpeg is not None)
        if pictures:
            name = "" if look.is_nameless else f", {shown(look.label)}"
            rows.append((f"{look.letter}  {shown(unit.key)}{name}", pictures))
    blocks: list[Block] = []
    if rows:
        blocks += [Heading(f"First and last photo of each {word}"),
                   Pairs("All photos are brought to the same frame; nothing else was changed.", tuple(rows))]
    unused = strip_wall.left_out(plan, content.folder.events, content.qualities)
    screen, paper = (functools.partial(strip_wall.strip_wall, plan, inside, looks, unused, days_per_block=days)
                     for days in (strip_wall.SCREEN_DAYS, strip_wall.PAPER_DAYS))
    on_screen = tuple(screen())
    if on_screen:
        caption = (f"One row for each {word}, one column for each day. Blank paper: no photo that day. Hatched: a photo that was not used."
                   if len(strip_wall.wall_days(inside)) < strip_wall.MANY_DAYS else
                   f"One row for each {word}, one column for each day with a photo. Hatched: a photo that was not used.")
        blocks += [Heading(f"Strip wall: every photographed day of every {word}, side by side"),
                   Wall(caption, on_screen, lambda: tuple(paper()))]
    return tuple(blocks)
