"""The report of a trial: one HTML file and one PDF with the same words in the same order.

The step before is `publish.sentences.sentence`; nothing is computed here.
"""

from dataclasses import replace
from pathlib import Path

from fairtank.publish.content import ReportContent, ReportFiles, UnitPictures
from fairtank.publish.document import document
from fairtank.publish.page import html_text
from fairtank.publish.pdf import pdf_bytes


def write_report(content: ReportContent, out: Path, *, pictures: tuple[UnitPictures, ...] | None = None) -> ReportFiles:
    """Write report.html and report.pdf into a folder, making it where needed.

    Both are complete in themselves. A report without a single photo is whole too: what needs photos is left out.

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
        Where the two files lie.

    References
    ----------
    iso14289 for the PDF, wcag22 for the page (keys from sources.py).

    Examples
    --------
    See `tests/publish/test_report.py`.
    """
    report = document(content if pictures is None else replace(content, pictures=pictures))
    out.mkdir(parents=True, exist_ok=True)
    files = ReportFiles(out / "report.html", out / "report.pdf")
    files.html.write_text(html_text(report), encoding="utf-8")
    files.pdf.write_bytes(pdf_bytes(report))
    return files
