"""What a report is made from: the trial as it was read, its findings, its series, its photos' quality and its pictures."""

from dataclasses import dataclass
from pathlib import Path

from fairtank.finding import Finding
from fairtank.planning.evenness.result import Evenness
from fairtank.trial import PhotoQuality, Series, TrialFolder

PAPERS = ("a4", "letter")


@dataclass(frozen=True)
class UnitPictures:
    """Pictures of one unit as JPEG bytes, all brought to the same frame.

    first and last are the unit's first and last photo, about 900 px wide, None where there is none; thumbnails are (day, picture) pairs,
    one for each day with a photo, about 150 px wide.
    """

    unit: str
    first: bytes | None = None
    first_day: int | None = None
    last: bytes | None = None
    last_day: int | None = None
    thumbnails: tuple[tuple[int, bytes], ...] = ()


@dataclass(frozen=True)
class ReportContent:
    """Everything a report shows. series are those that the analysis saw; qualities has one entry for each photo that was measured.

    inputs_digest: the digest that the findings carry too. software: name and version of the program; empty means this one.
    cautions: whole sentences from measuring, such as strokes that could not be used; they stand before those of the analysis. evenness: how
    even the tanks were; None where that was not checked. paper: what it is printed on, one of PAPERS.
    """

    folder: TrialFolder
    findings: tuple[Finding, ...]
    series: tuple[Series, ...]
    qualities: tuple[PhotoQuality, ...]
    inputs_digest: str
    pictures: tuple[UnitPictures, ...] = ()
    software: str = ""
    cautions: tuple[str, ...] = ()
    evenness: Evenness | None = None
    paper: str = "a4"


@dataclass(frozen=True)
class ReportFiles:
    """Where a report was written; one_page_html and one_page_pdf: its version of one page, None where there is none."""

    html: Path
    pdf: Path
    one_page_html: Path | None = None
    one_page_pdf: Path | None = None

    @property
    def all(self) -> tuple[Path, ...]:
        """Every file that was written."""
        return tuple(place for place in (self.html, self.pdf, self.one_page_html, self.one_page_pdf) if place is not None)
