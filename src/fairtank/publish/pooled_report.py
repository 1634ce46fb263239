"""The report of several trials taken together: the sentence, the forest plot, what a further trial would find, how the trials differ."""

from collections.abc import Sequence
from pathlib import Path

from fairtank import __version__
from fairtank.publish.blocks import Block, Bullets, Document, Facts, Figure, Section, Table, Words
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.page import html_text
from fairtank.publish.pdf import pdf_bytes
from fairtank.publish.phrases import capital, title_words
from fairtank.publish.pool_chart import pool_spec
from fairtank.publish.pool_facts import (
    CARE_HEAD,
    SETUP_HEAD,
    PooledFacts,
    care_rows,
    disclosure_rows,
    lot_words,
    next_words,
    setup_rows,
    varied_words,
)
from fairtank.publish.pool_words import ALL_OF_THEM, PoolStory, effect_heading, headline, prediction_words, sentences, table_rows
from fairtank.publish.report_pictures import figure
from fairtank.sources import SOURCES

HTML_FILE, PDF_FILE = "pooled-report.html", "pooled-report.pdf"
CAPTION = "One row for each trial, then all of them together, and where a further trial would probably lie."
ROWS_ONLY = "One row for each trial."
HEADINGS = {"": "", "trial": "Trial", "grade": "Grade", "effect": "Effect with interval", "weight": "Weight"}
HOW = ("The trials are the sample here, not their tanks: each brings one effect with its interval.",
       "Every trial may have a true effect of its own, since tanks, plants, water and keepers differ. How far these effects lie apart is "
       "worked out by Paule and Mandel's method; the interval is Hartung and Knapp's, and never narrower than it would be without their "
       "factor.",
       "Trials that tell how many tanks they had share one like-tank spread, so that a trial whose tanks came out alike by luck does not "
       "weigh most.",
       "The span for a further trial holds both: that the mean effect is not known exactly, and that trials differ.")
NOT_POOLED = ("Nothing was put together here: each trial was judged by itself, and its own report tells how. It takes three trials with an "
              "interval.",)
SOURCE_KEYS = ("hartung2001", "higgins2009", "okabe2008", "paule1982", "rover2015")


def pooled_document(story: PoolStory, facts: Sequence[PooledFacts], *, question: str = "", left_out: Sequence[tuple[str, str]] = (),
                    passed_over: Sequence[str] = (), digest: str = "") -> Document:
    """The report as blocks, in the order in which it is read.

    Parameters
    ----------
    story : PoolStory
        The trials and their frozen result.
    facts : sequence of PooledFacts
        How each was done, in the order of the result's rows.
    question : str
        As the first of them asks it.
    left_out : sequence of (str, str)
        Trials that do not count, each with the reason.
    passed_over : sequence of str
        Folders that hold no trial.
    digest : str
        Over everything that was judged.

    Returns
    -------
    Document

    References
    ----------
    common_practice (keys from sources.py).
    """
    count, is_pooled = len(story.pooled.rows), story.pooled.prediction_low is not None
    title = f"{title_words(story.pattern)}: {'one trial' if count == 1 else f'{count} trials of one question'}"
    sections = (
        Section("picture", "The picture", (_forest(story), _table(story))),
        Section("further", "What a further trial would probably find", _further(story)),
        Section("differ", "How far the trials agree", _agreement(story)),
        Section("trials", "How the trials were done", _done(facts)),
        Section("next", "What the next trial should keep, and what it should change", (Bullets(next_words(story, facts)),)),
        Section("disclosure", "Who paid for or gave what", (Facts(disclosure_rows(facts), "Trial by trial", ("Trial", "Written down")),)),
        Section("left-out", "Left out, and why", _left_out(left_out, passed_over)),
        Section("methods", "How it was worked out", (Bullets(HOW if is_pooled else NOT_POOLED),)),
        Section("sources", "Sources", (Bullets(_sources()),) if is_pooled else ()),
    )
    keepers = list(dict.fromkeys(shown(one.keeper) for one in facts if one.keeper))
    starts = [one.start for one in facts]
    begun = f"begun {min(starts).isoformat()}" + (f" to {max(starts).isoformat()}" if len(set(starts)) > 1 else "")
    byline = ", ".join(part for part in (in_a_row(keepers) if keepers else "", begun) if part)
    foot = (f"Made with fairtank {__version__}.", *([f"Digest of everything that was judged: {shown(digest)}"] if digest else []))
    told = tuple(text for text in (headline(story), lot_words(facts)) if text)
    return Document(title, shown(question), told, byline, tuple(part for part in sections if part.blocks), foot)


def _forest(story: PoolStory) -> Figure:
    caption = ROWS_ONLY if story.pooled.prediction_low is None else CAPTION
    return figure("trials-together", lambda width: pool_spec(story, width_px=width), caption)


def _table(story: PoolStory) -> Table:
    head, *rows = table_rows(story)
    names = tuple(HEADINGS.get(name, capital(name)) or "Letter" for name in head)
    return Table(f"The same in numbers. {effect_heading(story)}", names, tuple(map(tuple, rows)), wide=(1,),
                 numeric=tuple(place for place, name in enumerate(head) if name == "weight"))


def _further(story: PoolStory) -> tuple[Block, ...]:
    told = prediction_words(story)
    if not told:
        return (Words("These trials cannot say it yet: it takes three with an interval."),)
    return (Words(told), Words("This span is the one to plan by: the interval above is about the mean of all trials, and a single new "
                               "trial with other tanks is not that mean.", "quiet"))


def _agreement(story: PoolStory) -> tuple[Block, ...]:
    prediction = prediction_words(story)
    told = tuple(text for text in sentences(story) if text not in (prediction, ALL_OF_THEM))
    return ((Bullets(told),) if told else ()) + (Words(ALL_OF_THEM, "quiet"),)


def _done(facts: Sequence[PooledFacts]) -> tuple[Block, ...]:
    setup = Table("The tanks of each trial, as far as it was written down; tanks: with the change and without", SETUP_HEAD,
                  setup_rows(facts), wide=(1,), numeric=(3, 6))
    care = Table("What was done against fooling oneself, and what others may do with it", CARE_HEAD, care_rows(facts))
    varied = varied_words(facts)
    return (*((Bullets(varied),) if varied else ()), setup, care)


def _left_out(left_out: Sequence[tuple[str, str]], passed_over: Sequence[str]) -> tuple[Block, ...]:
    blocks: list[Block] = [Facts(tuple((shown(name), shown(reason)) for name, reason in left_out), "Folders and files that do not count",
                                  ("Folder", "Why"))] if left_out else []
    if passed_over:
        blocks.append(Words(f"Folders without a trial: {in_a_row(map(shown, passed_over))}."))
    return tuple(blocks) or (Words("No trial was left out."),)


def _sources() -> tuple[str, ...]:
    return tuple(SOURCES[key].reference + (" (cited from memory)" if SOURCES[key].from_memory else "") for key in SOURCE_KEYS
                 if key in SOURCES)


def write_pooled_report(report: Document, out: Path) -> tuple[Path, Path]:
    """Write the page and the PDF into a folder, making it where needed.

    Parameters
    ----------
    report : Document
        The blocks.
    out : Path
        The folder.

    Returns
    -------
    (Path, Path)
        Of the page and of the PDF.

    References
    ----------
    iso14289 for the PDF, wcag22 for the page (keys from sources.py).
    """
    out.mkdir(parents=True, exist_ok=True)
    html, pdf = out / HTML_FILE, out / PDF_FILE
    html.write_text(html_text(report), encoding="utf-8")
    pdf.write_bytes(pdf_bytes(report))
    return html, pdf
