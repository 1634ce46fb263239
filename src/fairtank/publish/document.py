"""From the trial and its findings to the ordered blocks of a report: the question, the sentence, the picture, the table, the rest."""

from fairtank import __version__
from fairtank.finding import Finding
from fairtank.publish import methods, setup
from fairtank.publish.amounts import estimate_words
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.assumptions import assumptions
from fairtank.publish.blocks import Block, Bullets, Document, Heading, Section, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.even_section import even_blocks
from fairtank.publish.explain import how_computed
from fairtank.publish.eyes_words import eyes_blocks
from fairtank.publish.many_arms_words import ranking_words
from fairtank.publish.numbers import p_words, shown
from fairtank.publish.phrases import comparison_words, title_words
from fairtank.publish.report_numbers import number_blocks
from fairtank.publish.report_pictures import curves_blocks, picture_blocks
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.span import outside_words
from fairtank.publish.unrecorded import unrecorded
from fairtank.publish.words import cautions_text
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
    primary = [finding for finding in content.findings if finding.role == "primary"] or list(content.findings[:1])
    secondary = [finding for finding in content.findings if finding not in primary]
    sections = [
        Section("picture", "The picture", picture_blocks(content, primary, looks)),
        Section("numbers", "The numbers", number_blocks(content, primary, looks)),
        Section("settle", "What would settle it", settle_blocks(primary)),
        Section("secondary", "Secondary measures, one at a time", _secondary_blocks(content, secondary, looks)),
        Section("methods", "How it was computed", method_blocks(content, primary)),
        Section("even", "How even the tanks were", even_blocks(content.evenness, looks)),
        Section("setup", "How the trial was set up", (setup.plan_facts(plan, content.folder.seal, content.folder.draws),
                                                      setup.units_table(plan, looks), *setup.build_blocks(content),
                                                      *setup.readings_blocks(content, looks))),
        Section("deviations", "Deviations and exclusions", (*setup.events_blocks(content.folder.events), *setup.spoilt_blocks(content),
                                                            *setup.photos_blocks(content), *_outside_blocks(content))),
        Section("cautions", "Cautions", caution_blocks(content)),
        Section("unrecorded", "What was not recorded", unrecorded_blocks(content)),
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
        blocks += [Heading(title_words(finding)), Words(shown(sentence(finding))), *eyes_blocks(finding)]
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
