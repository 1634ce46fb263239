"""From the trial and its findings to the ordered blocks of a report: the question, the sentence, the picture, the table, the rest."""

from collections.abc import Sequence

from fairtank import __version__
from fairtank.finding import Finding
from fairtank.publish import methods, setup
from fairtank.publish.amounts import estimate_words
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.assumptions import assumptions
from fairtank.publish.blocks import Block, Bullets, Document, Heading, Section, Table, Words
from fairtank.publish.consort import SOURCE as CHECKLIST_SOURCE
from fairtank.publish.content import ReportContent
from fairtank.publish.even_section import even_blocks
from fairtank.publish.explain import how_computed
from fairtank.publish.eyes_words import eyes_blocks
from fairtank.publish.many_arms_words import ranking_words
from fairtank.publish.numbers import p_words, shown
from fairtank.publish.phrases import comparison_words, title_words
from fairtank.publish.report_brief import NONE_STATED, brief_blocks, disclosed
from fairtank.publish.report_build import build_blocks
from fairtank.publish.report_checklist import checklist_blocks
from fairtank.publish.report_days import day_blocks
from fairtank.publish.report_harm import harm_blocks
from fairtank.publish.report_limits import limits
from fairtank.publish.report_numbers import number_blocks
from fairtank.publish.report_pictures import curves_blocks, photo_blocks, picture_blocks
from fairtank.publish.report_plan import draw_blocks, question_blocks
from fairtank.publish.report_sensitivity import sensitivity_blocks
from fairtank.publish.sentences import in_full, sentence, spoken, spoken_sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.span import outside_words
from fairtank.publish.unrecorded import unrecorded
from fairtank.publish.words import cautions_text
from fairtank.sources import SOURCES
from fairtank.trial import Plan

MOST_SECONDARY_CURVES = 6


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
    primary = primary_of(content)
    sections = [part for part in (*_opening_sections(content, primary, looks), *_done_sections(content, looks),
                                  *_found_sections(content, primary, looks), *_closing_sections(content, primary)) if part.blocks]
    titles = {part.key: part.title for part in sections}
    sections.append(Section("checklist", "Reporting checklist", checklist_blocks(content, primary, titles)))
    software = shown(content.software) or f"fairtank {__version__}"
    foot = (f"Made with {software}.", f"Digest of everything that was judged: {shown(content.inputs_digest)}")
    question = shown(plan.question) or shown(plan.change)
    return Document(shown(plan.title) or "A trial without a title", question, headline(primary), byline(plan), tuple(sections), foot,
                    content.paper, whole_sentences(primary))


def primary_of(content: ReportContent) -> list[Finding]:
    """The primary findings; the first finding where none is called so."""
    return [finding for finding in content.findings if finding.role == "primary"] or list(content.findings[:1])


def headline(primary: list[Finding]) -> tuple[str, ...]:
    """The one honest sentence for each primary finding as it is spoken, and the order of the arms where there are more than two."""
    places = dict.fromkeys(shown(ranking_words(finding)) for finding in primary)  # the same for every comparison of a measure
    return (*(shown(spoken_sentence(finding)) for finding in primary), *(text for text in places if text)) or ("Nothing was judged.",)


def whole_sentences(findings: Sequence[Finding]) -> tuple[str, ...]:
    """What stands right below: the whole sentence of each finding that is told shorter above."""
    return tuple(text for text in dict.fromkeys(in_full(shown(sentence(finding))) for finding in findings) if text)


def byline(plan: Plan) -> str:
    """Who, where, when, and whether by lot."""
    lot = "arms drawn by lot" if plan.drawn else ""
    return ", ".join(part for part in (shown(plan.keeper), shown(plan.place), _length(plan), lot) if part)


def _opening_sections(content: ReportContent, primary: list[Finding], looks: dict[str, ArmLook]) -> list[Section]:
    return [
        Section("picture", "The picture", picture_blocks(content, primary, looks)),
        Section("brief", "In brief", brief_blocks(content, primary), is_box=True),
        Section("photos", "The photos", photo_blocks(content, looks)),
    ]


def _done_sections(content: ReportContent, looks: dict[str, ArmLook]) -> list[Section]:
    folder = content.folder
    return [
        Section("plan", "Question, plan and seal", question_blocks(content)),
        Section("draw", "Tanks and draw", draw_blocks(content, looks)),
        Section("build", "Planned and weighed", build_blocks(content)),
        Section("even", "How even the tanks were", even_blocks(content.evenness, looks)),
        Section("done", "What was done", (*day_blocks(content), *setup.readings_blocks(content, looks))),
        Section("deviations", "Deviations and amendments",
                (*setup.events_blocks(folder.events), *setup.spoilt_blocks(content), *setup.amended_blocks(content),
                 *setup.photos_blocks(content), *_outside_blocks(content))),
    ]


def _found_sections(content: ReportContent, primary: list[Finding], looks: dict[str, ArmLook]) -> list[Section]:
    secondary = [finding for finding in content.findings if finding not in primary]
    return [
        Section("numbers", "The numbers", number_blocks(content, primary, looks)),
        Section("secondary", "Secondary measures, one at a time", _secondary_blocks(content, secondary, looks)),
        Section("sensitivity", "Other ways of analysing", sensitivity_blocks(primary)),
        Section("harm", "Losses and side effects", harm_blocks(content, looks)),
        Section("limits", "What this trial cannot show", (Bullets(limits(content, primary)),)),
        Section("cautions", "Cautions", caution_blocks(content)),
        Section("unrecorded", "What was not recorded", unrecorded_blocks(content)),
        Section("settle", "What would settle it", settle_blocks(primary)),
    ]


def _closing_sections(content: ReportContent, primary: list[Finding]) -> list[Section]:
    plan = content.folder.plan
    return [
        Section("methods", "How it was computed", method_blocks(content, primary)),
        Section("disclosure", "Who paid or supplied what", disclosure_blocks(plan)),
        Section("sources", "Sources", (Bullets(report_references(content.findings, plan)),)),
    ]


def disclosure_blocks(plan: Plan) -> tuple[Block, ...]:
    """Interests and gifts in the keeper's own words; plainly where nothing was said."""
    if shown(plan.disclosure):
        return (Words(disclosed(plan)),)
    return (Words(f"{NONE_STATED} Nothing was written down about interests or gifts, which is not the same as that there were none."),)


def report_references(findings: Sequence[Finding], plan: Plan) -> tuple[str, ...]:
    """The sources behind the findings, and the statement that the checklist follows."""
    return tuple(sorted({*methods.references(findings, plan), SOURCES[CHECKLIST_SOURCE].reference}))


def _length(plan: Plan) -> str:
    days = "one day" if plan.days == 0 else f"{plan.days + 1} days"
    return f"from {plan.start.isoformat()}, {days}"


def _secondary_blocks(content: ReportContent, secondary: list[Finding], looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    if not secondary:
        return ()
    blocks: list[Block] = [Words(methods.holm_words(content.findings), "quiet")]
    rows = tuple((title_words(finding), shown(estimate_words(finding)), finding.grade,
                  "none" if finding.p_value is None else p_words(finding.p_value),
                  "none" if finding.p_value is None or finding.holm_p is None else p_words(finding.holm_p)) for finding in secondary)
    blocks.append(Table("Secondary measures, intervals one at a time",
                        ("Measure", "Estimate with interval", "Grade", "p alone", "p after Holm"), rows, wide=(0, 1), numeric=(3, 4)))
    for index, finding in enumerate(secondary):
        whole = shown(sentence(finding))
        blocks += [Heading(title_words(finding)), Words(spoken(whole)), *([Words(in_full(whole), "quiet")] if in_full(whole) else []),
                   *eyes_blocks(finding)]
        if index < MOST_SECONDARY_CURVES:
            blocks += curves_blocks(content, [finding], looks, f"secondary{index}")
    return tuple(blocks)


def settle_blocks(primary: list[Finding]) -> tuple[Block, ...]:
    """What would settle each primary finding; the same words for several comparisons stand once."""
    told = {shown(comparison_words(finding)): shown(settling_words(finding)) for finding in primary}
    texts = dict.fromkeys(text for text in told.values() if text)
    if len(texts) < 2:
        return tuple(Words(text) for text in texts)
    return tuple(block for name, text in told.items() if text for block in (Heading(name), Words(text)))


def method_blocks(content: ReportContent, primary: list[Finding]) -> tuple[Block, ...]:
    """How each primary finding was computed, in its own numbers and in general, and what must hold for it."""
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


def caution_blocks(content: ReportContent) -> tuple[Block, ...]:
    """The cautions of measuring and of every finding, each once."""
    said = dict.fromkeys(text for text in map(shown, content.cautions) if text)
    for finding in content.findings:
        for text in cautions_text(finding):
            said.setdefault(text)
    if not said:
        return (Words("The analysis raised no caution of its own. A single trial is still a single trial."),)
    return (Bullets(tuple(said)),)


def unrecorded_blocks(content: ReportContent) -> tuple[Block, ...]:
    """What was not recorded, and columns of the tables that nothing here uses."""
    missing = unrecorded(content)
    blocks: list[Block] = [Bullets(missing) if missing else Words("Nothing that this report looks for is missing.")]
    if content.folder.unknown_columns:
        rows = tuple((shown(file), shown(column)) for file, column in content.folder.unknown_columns)
        blocks.append(Table("Columns that fairtank does not know: kept in the folder, used for nothing here", ("File", "Column"), rows,
                            wide=(0, 1)))
    return tuple(blocks)
