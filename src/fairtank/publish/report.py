"""The report of a trial: one HTML file and one PDF with the same words in the same order, and both again on one page.

The step before is `publish.sentences.sentence`; nothing is computed here.
"""

from dataclasses import replace
from pathlib import Path

from fairtank.publish.content import ReportContent, ReportFiles, UnitPictures
from fairtank.publish.document import document
from fairtank.publish.one_page import one_page
from fairtank.publish.page import html_text, one_page_text
from fairtank.publish.pdf import one_page_pdf, pdf_bytes


def write_report(content: ReportContent, out: Path, *, pictures: tuple[UnitPictures, ...] | None = None) -> ReportFiles:
    """Write report.html, report.pdf, one-page.html and one-page.pdf into a folder, making it where needed.

    All are complete in themselves. A report without a single photo is whole too: what needs photos is left out.

    Parameters
    ----------
    content : ReportContent
        The trial, its findings and what they were made from.
    out : Path
        The folder.
    pictures : tuple of UnitPictures, optional
        Pictures by unit; None keeps those that the content carries.

    Returns
    -------
    ReportFiles
        Where the files lie.

    References
    ----------
    iso14289 for the PDF, wcag22 for the page (keys from sources.py).

    Examples
    --------
    See `tests/publish/test_report.py`.
    """
    told = content if pictures is None else replace(content, pictures=pictures)
    report = document(told)
    page = one_page(told, report)
    out.mkdir(parents=True, exist_ok=True)
    for name, text in (("report.html", html_text(report)), ("one-page.html", one_page_text(page))):
        (out / name).write_text(text, encoding="utf-8")
    for name, data in (("report.pdf", pdf_bytes(report)), ("one-page.pdf", one_page_pdf(page))):
        (out / name).write_bytes(data)
    return ReportFiles(out / "report.html", out / "report.pdf", out / "one-page.html", out / "one-page.pdf")
