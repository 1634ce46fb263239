"""From findings to what others can read: sentences, charts, the report in HTML and PDF, findings.json."""

from fairtank.publish.content import ReportContent, ReportFiles, UnitPictures
from fairtank.publish.findings_file import findings_document, findings_text
from fairtank.publish.report import write_report
from fairtank.publish.sentences import sentence

__all__ = ["ReportContent", "ReportFiles", "UnitPictures", "findings_document", "findings_text", "sentence", "write_report"]
