"""From the trial and its findings to the ordered blocks of a report: the question, the sentence, the picture, the table, the rest."""

import functools
from collections.abc import Callable, Sequence

from fairtank import __version__
from fairtank.finding import Finding, UnitSummary
from fairtank.publish import charts, curves, dot_row, event_marks, forest, methods, setup, strip_wall
from fairtank.publish.amounts import estimate_words
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.assumptions import assumptions
from fairtank.publish.blocks import Block, Bullets, Document, Figure, Heading, Pairs, Picture, Section, Table, Wall, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.explain import how_computed
from fairtank.publish.eyes_words import eyes_blocks
from fairtank.publish.looks_words import LOOKS_CAPTION, LOOKS_HEAD, looks_rows
from fairtank.publish.many_arms_words import ranking_words
from fairtank.publish.numbers import figures, p_words, shown, with_unit
from fairtank.publish.phrases import comparison_words, title_words
from fairtank.publish.scales import natural_value
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.span import outside_words, pictures_inside, series_inside
from fairtank.publish.unrecorded import unrecorded
from fairtank.publish.words import GRADE_WORDS, cautions_text, tag_sentence
from fairtank.trial import Event, Plan, Series

MOST_SECONDARY_CURVES = 6
SCALE_MEANINGS = {
    "logit": "The scale on which units are compared is log-odds: ln(cover / (100 − cover))",
    "log": "The scale on which units are compared is the natural logarithm",
}


def document(content: ReportContent) -> Document:
    """The report as blocks, in the order in which it is read.

    Parameters
    ----------
    content : ReportContent
        The trial and what was made of it.

    Returns
    -------
    Document
        The same for HTML and PDF.
    """
    plan, looks = content.folder.plan, arm_looks(content.folder.plan)
    primary = [finding for finding in content.findings if finding.role == "primary"] or list(content.findings[:1])
    secondary = [finding for finding in content.findings if finding not in primary]
    sections = [
        Section("picture", "The picture", _picture_blocks(content, primary, looks)),
        Section("numbers", "The numbers", _number_blocks(content, primary, looks)),
        Section("settle", "What would settle it", _settle_blocks(primary)),
        Section("secondary", "Secondary measures, one at a time", _secondary_blocks(content, secondary, looks)),
        Section("methods", "How it was computed", _method_blocks(content, primary)),
        Section("setup", "How the trial was set up", (setup.plan_facts(plan, content.folder.seal), setup.units_table(plan, looks),
                                                      *setup.build_blocks(content), *setup.readings_blocks(content, looks))),
        Section("deviations", "Deviations and exclusions", (*setup.events_blocks(content.folder.events), *setup.spoilt_blocks(content),
                                                            *setup.photos_blocks(content), *_outside_blocks(content))),
        Section("cautions", "Cautions", _caution_blocks(content)),
        Section("unrecorded", "What was not recorded", _unrecorded_blocks(content)),
        Section("sources", "Sources", (Bullets(methods.references(content.findings, plan)),)),
    ]
    byline = ", ".join(part for part in (shown(plan.keeper), shown(plan.place), _length(plan))
                       if part)
    software = shown(content.software) or f"fairtank {__version__}"
    foot = (f"Made with {software}.", f"Digest of everything that was judged: {shown(content.inputs_digest)}")
    places = dict.fromkeys(shown(ranking_words(finding)) for finding in primary)  # the same for every comparison of a measure
    sentences = (*(shown(sentence(finding)) for finding in primary), *(text for text in places if text)) or ("Nothing was judged.",)
    question = shown(plan.question) or shown(plan.change)
    return Document(shown(plan.title) or "A trial without a title", question, sentences, byline,
                    tuple(part for part in sections if part.blocks), foot)


def _length(plan: Plan) -> str:
    days = "one day" if plan.days == 0 else f"{plan.days + 1} days"
    return f"from {plan.start.isoformat()}, {days}"


def _picture_blocks(content: ReportContent, primary: list[Finding], looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for index, finding in enumerate(primary):
        if any(unit.z is not None for unit in finding.units):
            drawn = functools.partial(_dots, finding, looks, dot_row.partners_of(content.folder.plan))
            blocks.append(_figure(f"dots{index}", drawn, _dots_caption(finding)))
        if finding.measure not in (later.measure for later in primary[index + 1:]):  # once, behind the dots of all its comparisons
            blocks += _curves(content, finding, looks, f"curves{index}")
    blocks += _photo_blocks(content, looks)
    return tuple(blocks)


def _dots(finding: Finding, looks: dict[str, ArmLook], partners: dict[str, str], width_px: int) -> charts.Spec:
    return dot_row.dot_row(finding, looks, width_px=width_px, partners=partners)


def _figure(key: str, spec_of: Callable[[int], charts.Spec], caption: str) -> Figure:
    wide, narrow = spec_of(charts.WIDE_PX), spec_of(charts.NARROW_PX)
    return Figure(key, caption, wide["description"], charts.svg_of(wide, key=f"{key}-wide"), charts.svg_of(narrow, key=f"{key}-narrow"))


def _dots_caption(finding: Finding) -> str:
    word = finding.unit_word
    text = f"Where each {word} ended: one mark for each {word}, and each arm's mean."
    if finding.design == "drawn_start":
        text = (f"How much the slope of each {word} changed at the start." if finding.summary == "slope" else
                f"Where each {word} stood before the start (open mark) and from it on (filled mark).")
    elif finding.summary == "change":
        text = (f"Where each {word} stood in its run-in (open mark) and after the change (filled mark), and each arm's mean after the "
                "change.")
    if finding.design == "pairs":
        text += f" A thin line joins the two {word}s of each pair."
    if finding.summary == "threshold":
        text = (f"Between which days each {word} reached the threshold: the last day below it (open mark) and the first day at or above it "
                "(filled mark). A single open mark: not reached by that day.")
    if finding.summary == "swap":
        text = (f"Where each {word} stood under the reference (open mark) and under the change (filled mark), by the arm it had first, and "
                "each order's mean under the change.")
    if finding.below_detection is not None and finding.summary != "threshold":
        text += " Readings below what the test can tell count as its limit divided by the square root of 2."
    if finding.low is not None:
        text += " Below, the interval for the changed arm, set against the reference's mean."
        if finding.summary == "change":
            text += (f" Its middle is not the changed arm's mean: it says where that arm would stand had all {word}s started alike, while "
                     "the mean still holds the head start that the run-in shows.")
    return text


def _curves(content: ReportContent, finding: Finding, looks: dict[str, ArmLook], key: str) -> list[Block]:
    plan, events = content.folder.plan, content.folder.events
    series = [one for one in series_inside(plan, content.series) if one.measure == finding.measure]
    if len({day for one in series for day in one.days}) < 2:
        return []  # one day, such as weights at harvest, has no course to draw
    unit = finding.unit_of_measure or (finding.natural.unit if finding.natural else "")
    return [_figure(key, lambda width: curves.curves(plan, series, looks, title=title_words(finding), unit=unit, events=events,
                                                     width_px=width), _curves_caption(plan, series, events, title_words(finding)))]


def _curves_caption(plan: Plan, series: Sequence[Series], events: Sequence[Event], title: str) -> str:
    """What the curves do not say themselves: gaps, days that were taken out, and what the bars at the foot are."""
    points = curves.points_of(plan, series)
    caption = f"{title} over the days. A gap of more than {curves.LONGEST_BRIDGE_D} days is not bridged."
    if any(any(one.below) for one in series):
        caption += " Readings below what the test can tell are drawn at its limit."
    if any(curves.taken_out(unit, own, events) for unit, own in points.items()):
        caption += " Hollow marks off the line: days that an event takes out of the analysis."
    seen = [event for event in events if event.day_until >= 0 and event.day_from <= plan.days]
    if seen:
        caption += " Grey bars at the foot: events, listed under Deviations."
    if any(event_marks.keys_of(plan, event) for event in seen):
        caption += " A bar with a key concerns that unit only."
        spans = [(curves.day_span(points, width), width) for width in (charts.WIDE_PX, charts.NARROW_PX)]
        unnamed = event_marks.unplaced_words(plan, events, spans)
        caption += f" No room for a key at every width: {unnamed}." if unnamed else ""
    return caption


def _photo_blocks(content: ReportContent, looks: dict[str, ArmLook]) -> list[Block]:
    plan, rows = content.folder.plan, []
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
        blocks += [Heading("First and last photo of each unit"),
                   Pairs("All photos are brought to the same frame; nothing else was changed.", tuple(rows))]
    unused = strip_wall.left_out(plan, content.folder.events, content.qualities)
    screen, paper = (tuple(strip_wall.strip_wall(plan, inside, looks, unused, days_per_block=days)) for days in
                     (strip_wall.SCREEN_DAYS, strip_wall.PAPER_DAYS))
    if screen:
        caption = ("One row for each unit, one column for each day. Blank paper: no photo that day. Hatched: a photo that was not used."
                   if len(strip_wall.wall_days(inside)) < strip_wall.MANY_DAYS else
                   "One row for each unit, one column for each day with a photo. Hatched: a photo that was not used.")
        blocks += [Heading("Strip wall: every photographed day of every unit, side by side"), Wall(caption, screen, paper)]
    return blocks


def _number_blocks(content: ReportContent, primary: list[Finding], looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    if not content.findings:
        return (Words("Nothing was judged."),)
    blocks: list[Block] = [_figure("forest", lambda width: forest.forest(content.findings, width_px=width),
                                   "All measures. Each row has a scale of its own; the upright line is no difference, the grey band (where "
                                   "one was fixed) holds differences too small to matter.")]
    blocks.append(Table("Estimate, interval, grade and what it rests on",
                        ("Measure", "Estimate with interval", "Grade", "Rests on", "Units"),
                        tuple(_number_row(finding) for finding in content.findings), wide=(0, 1)))
    used = [grade for grade in GRADE_WORDS if any(finding.grade == grade for finding in content.findings)]
    blocks.append(Bullets(tuple(f"“{grade}”: {GRADE_WORDS[grade]}." for grade in used)))
    tabled: list[tuple[str, tuple[UnitSummary, ...]]] = []
    for finding in primary:
        tags = tuple(shown(tag_sentence(tag, finding)) for tag in finding.tags)
        if tags:
            blocks.append(Bullets(tags))
        if finding.units and (finding.measure, finding.units) not in tabled:
            tabled.append((finding.measure, finding.units))
            blocks.append(_units_table(finding, looks))
        if finding.looks:
            blocks.append(Table(LOOKS_CAPTION, LOOKS_HEAD, looks_rows(finding), wide=(1,), numeric=(3,)))
        blocks += eyes_blocks(finding)
    return tuple(blocks)


def _number_row(finding: Finding) -> tuple[str, ...]:
    return (comparison_words(finding), shown(estimate_words(finding)), finding.grade, finding.basis,
            f"{finding.n_changed} against {finding.n_reference}")


def _units_table(finding: Finding, looks: dict[str, ArmLook]) -> Table:
    rows = []
    is_said = finding.scale == "identity" and finding.summary == "mean"  # the mean is then the number that is judged
    for unit in finding.units:
        look = looks.get(unit.arm)
        natural = "none"
        if unit.reached is not None:
            natural = _reached_words(unit.reached)
        if unit.treated_mean is not None and finding.summary in ("mean", "change", "swap"):
            natural = with_unit(figures(natural_value(unit.treated_mean, finding.scale), 3), finding.unit_of_measure)
        z = "none" if unit.z is None or is_said or finding.summary == "threshold" else figures(unit.z, 3)
        rows.append((shown(unit.unit), shown(look.words) if look else shown(unit.arm), natural, z, str(unit.days),
                     shown(unit.spoilt or "")))
    level = {"swap": "Mean under the reference", "threshold": "Reached"}.get(finding.summary, "Mean")
    head = ("Unit", "Arm", level if finding.reading_day is None else f"Day {finding.reading_day}", _scale_head(finding), "Days",
            "Why not used")
    keep = [index for index in range(len(head)) if any(row[index] not in ("", "none") for row in rows) or index < 2]
    caption = ". ".join(filter(None, (f"{title_words(finding)}: the number of each unit", SCALE_MEANINGS.get(finding.scale))))
    return Table(caption, tuple(head[index] for index in keep),
                 tuple(tuple(row[index] for index in keep) for row in rows),
                 wide=tuple(place for place, index in enumerate(keep) if index in (1, 5)),
                 numeric=tuple(place for place, index in enumerate(keep) if index in (2, 3, 4)))


def _reached_words(reached: tuple[int | None, int | None]) -> str:
    """Between which days a threshold was reached."""
    below, at = reached
    if at is None:
        return f"not by day {below}"
    return f"by day {at}" if below is None else f"after day {below}, by day {at}"


def _scale_head(finding: Finding) -> str:
    """The head of the column with the number that is judged: what it is, and on which scale."""
    words = {"logit": "log-odds", "log": "natural log"}.get(finding.scale, "")
    if finding.summary == "slope":
        words = f"{words or finding.unit_of_measure} per day".strip()
    what = {"change": "Change", "swap": "First less second"}.get(finding.summary, "On the scale")
    return f"{what} ({words})" if words else what


def _secondary_blocks(content: ReportContent, secondary: list[Finding], looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    if not secondary:
        return ()
    blocks: list[Block] = [Words(methods.holm_words(content.findings), "quiet")]
    rows = tuple((title_words(finding), shown(estimate_words(finding)), finding.grade,
                  "none" if finding.p_value is None else p_words(finding.p_value),
                  "none" if finding.holm_p is None else p_words(finding.holm_p)) for finding in secondary)
    blocks.append(Table("Secondary measures, intervals one at a time",
                        ("Measure", "Estimate with interval", "Grade", "p alone", "p after Holm"), rows, wide=(0, 1), numeric=(3, 4)))
    for index, finding in enumerate(secondary):
        blocks += [Heading(title_words(finding)), Words(shown(sentence(finding))), *eyes_blocks(finding)]
        if index < MOST_SECONDARY_CURVES:
            blocks += _curves(content, finding, looks, f"secondary{index}")
    return tuple(blocks)


def _settle_blocks(primary: list[Finding]) -> tuple[Block, ...]:
    """What would settle each primary finding; the same words for several comparisons stand once."""
    told = {shown(comparison_words(finding)): shown(settling_words(finding)) for finding in primary}
    texts = dict.fromkeys(text for text in told.values() if text)
    if len(texts) < 2:
        return tuple(Words(text) for text in texts)
    return tuple(block for name, text in told.items() if text for block in (Heading(name), Words(text)))


def _method_blocks(content: ReportContent, primary: list[Finding]) -> tuple[Block, ...]:
    if not primary:
        return ()
    blocks: list[Block] = []
    said: set[str] = set()
    for finding in primary:
        if len(primary) > 1:
            blocks.append(Heading(comparison_words(finding)))
        computed = shown(how_computed(finding))
        if computed:
            blocks.append(Words(computed))
        told = methods.methods_words(finding, content.folder.plan)
        for opening, texts in (("", told), ("What must hold for this:", assumptions(finding))):
            new = tuple(text for text in texts if text not in said)  # several comparisons of a measure share most of it
            said.update(new)
            blocks += [*([Words(opening)] if opening and new else []), *([Bullets(new)] if new else [])]
    if any(finding.low is not None for finding in content.findings):
        blocks.append(Words(methods.level_words(content.findings)))
    return tuple(blocks)


def _outside_blocks(content: ReportContent) -> tuple[Block, ...]:
    words = outside_words(content.folder.plan, content.folder.photos)
    return (Words(words),) if words else ()


def _caution_blocks(content: ReportContent) -> tuple[Block, ...]:
    said = dict.fromkeys(text for text in map(shown, content.cautions) if text)
    for finding in content.findings:
        for text in cautions_text(finding):
            said.setdefault(text)
    if not said:
        return (Words("The analysis raised no caution of its own. A single trial is still a single trial."),)
    return (Bullets(tuple(said)),)


def _unrecorded_blocks(content: ReportContent) -> tuple[Block, ...]:
    missing = unrecorded(content)
    blocks: list[Block] = [Bullets(missing) if missing else Words("Nothing that this report looks for is missing.")]
    if content.folder.unknown_columns:
        rows = tuple((shown(file), shown(column)) for file, column in content.folder.unknown_columns)
        blocks.append(Table("Columns that fairtank does not know: kept in the folder, used for nothing here", ("File", "Column"), rows,
                            wide=(0, 1)))
    return tuple(blocks)
