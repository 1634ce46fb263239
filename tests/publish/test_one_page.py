"""The report on one page: it fits, says what the report says, and can be read by programs that read for people."""

import io
import itertools
import re
from dataclasses import replace

import pytest
from invented_trials import dark_break_report, one_cover_glass

from fairtank.publish.blocks import Figure
from fairtank.publish.document import document
from fairtank.publish.one_page import one_page
from fairtank.publish.page import html_text, one_page_text
from fairtank.publish.pdf import KNOWN_SIGNS, missing_signs, one_page_pdf
from fairtank.publish.report import write_report
from fairtank.publish.sentences import sentence

A4_PT, LETTER_PT = (595, 842), (612, 792)


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    content, files = dark_break_report(tmp_path_factory)
    return content, document(content), files


def reader_of(data: bytes):
    from pypdf import PdfReader

    return PdfReader(io.BytesIO(data))


def text_of(reader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).replace("\u00a0", " ").split())


def structure(reader) -> list[str]:
    """Kinds of the tags of a PDF, in reading order."""
    found: list[str] = []

    def walk(node):
        node = node.get_object()
        if isinstance(node, list):
            for part in node:
                walk(part)
        elif isinstance(node, dict):
            if "/S" in node and node.get("/Type") != "/MCR":
                found.append(str(node["/S"]))
            if "/K" in node:
                walk(node["/K"])

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return found


@pytest.mark.parametrize(("paper", "size"), [("a4", A4_PT), ("letter", LETTER_PT)])
def test_one_page_is_one_page_of_its_paper(written, paper, size):
    content, report, _files = written
    page = one_page(content, replace(report, paper=paper))
    reader = reader_of(one_page_pdf(page))
    assert len(reader.pages) == 1
    assert tuple(round(float(side)) for side in reader.pages[0].mediabox[2:]) == size
    assert f"@page {{ size: {paper};" in one_page_text(page)
    assert f"@page {{ size: {paper};" in html_text(replace(report, sections=(), paper=paper))


def test_a_plan_of_very_long_words_still_fits_one_page():
    content = one_cover_glass()
    long = " ".join(["algae and light and water"] * 60)
    plan = replace(content.folder.plan, title=long, question=long, change=long, reference=long, disclosure=long, keeper=long, place=long)
    content = replace(content, folder=replace(content.folder, plan=plan))
    reader = reader_of(one_page_pdf(one_page(content, document(content))))
    assert len(reader.pages) == 1
    assert "…" in text_of(reader)


def test_the_page_and_the_paper_say_the_sentence_five_lines_the_intervals_who_paid_and_the_seal(written):
    import html5lib

    content, _report, files = written
    page = files.one_page_html.read_text(encoding="utf-8")
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    for style in tree.findall(".//style"):
        style.text = ""
    told = " ".join(" ".join(tree.itertext()).replace("\u00a0", " ").split())
    paper = text_of(reader_of(files.one_page_pdf.read_bytes()))
    for words in (sentence(content.findings[0]).replace("\u00a0", " "), "None stated.", "The plan was not sealed.", "sha256:" + "cd" * 32,
                  "Every measure with its interval", "Canopy height", "drawn by lot, with seed 7", "Measured"):
        assert words in told, words
        assert words in paper, words
    assert len(tree.findall(".//dt")) == 5
    assert len(tree.findall(".//table/tbody/tr")) == 3


def test_both_pages_are_valid_html(written):
    import html5lib

    for place in (written[2].html, written[2].one_page_html):
        html5lib.HTMLParser(strict=True).parse(place.read_text(encoding="utf-8"))  # raises on the first fault


def test_links_inside_the_report_lead_to_places_that_are_there(written):
    page = written[2].html.read_text(encoding="utf-8")
    wanted, there = re.findall(r'<a [^>]*href="#([^"]+)"', page), re.findall(r'\sid="([^"]+)"', page)
    assert len(wanted) > 50
    assert set(wanted) <= set(there)
    assert len(there) == len(set(there))


def test_the_pdf_has_bookmarks_for_its_sections_and_links_from_the_checklist(written):
    content, report, files = written
    reader = reader_of(files.pdf.read_bytes())
    (top,) = [entry for entry in reader.outline if not isinstance(entry, list)]
    nested = next(entry for entry in reader.outline if isinstance(entry, list))
    titles = [entry.title for entry in nested if not isinstance(entry, list)]
    assert top.title == content.folder.plan.title
    assert titles == [section.title for section in report.sections]
    links = [note.get_object() for page in reader.pages for note in page.get("/Annots", [])]
    assert len(links) > 40
    assert all(link["/Subtype"] == "/Link" and link["/Contents"] for link in links)


def test_both_papers_are_tagged_with_headings_tables_and_figures_in_order(written):
    for place, figures in ((written[2].pdf, 8), (written[2].one_page_pdf, 1)):
        reader = reader_of(place.read_bytes())
        kinds = structure(reader)
        levels = [int(kind[2:]) for kind in kinds if re.fullmatch("/H[1-6]", kind)]
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(after - before <= 1 for before, after in itertools.pairwise(levels))
        assert kinds.count("/Figure") >= figures
        assert kinds.count("/TH") > 0 < kinds.count("/Table")
        assert re.search(rb"<pdfuaid:part>\s*1\s*</pdfuaid:part>", reader.trailer["/Root"]["/Metadata"].get_data())


def test_the_one_page_draws_no_chart_of_its_own(written):
    content, report, _files = written
    picture = next(block for block in report.sections[0].blocks if isinstance(block, Figure))
    assert one_page(content, report).picture is picture


def test_a_report_without_findings_has_a_page_too(tmp_path):
    files = write_report(replace(one_cover_glass(), findings=()), tmp_path)
    assert "Nothing was judged." in files.one_page_html.read_text(encoding="utf-8")
    assert len(reader_of(files.one_page_pdf.read_bytes()).pages) == 1


def test_signs_that_need_no_probe_can_all_be_set(monkeypatch):
    from fairtank.publish import pdf

    monkeypatch.setattr(pdf, "KNOWN_SIGNS", frozenset())
    assert missing_signs(["".join(sorted(KNOWN_SIGNS))]) == set()
