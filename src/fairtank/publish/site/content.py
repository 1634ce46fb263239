"""What a public page is made from: the report's content, larger pictures to compare, and what lies beside the page."""

from dataclasses import dataclass, field

from fairtank.publish.content import ReportContent


@dataclass(frozen=True)
class LargePicture:
    """One photo of a unit brought to its frame: unit, day, WebP bytes, width and height [px]."""

    unit: str
    day: int
    webp: bytes = field(repr=False)
    width_px: int = 0
    height_px: int = 0


@dataclass(frozen=True)
class Beside:
    """A file that lies beside the page: its name there, what it is, its size [bytes], its SHA-256 where a reader may want it."""

    name: str
    words: str
    size_bytes: int
    sha256: str = ""


@dataclass(frozen=True)
class Film:
    """A time-lapse beside the page: (name, media type) of each form, the poster's name, the captions' name; empty where there is none."""

    forms: tuple[tuple[str, str], ...]
    poster: str = ""
    captions: str = ""
    size_bytes: int = 0


@dataclass(frozen=True)
class SiteContent:
    """Everything a public page shows.

    report: the trial, its findings and its pictures. large: photos to compare, some days of each unit. files: what lies beside the page and
    is offered; kit: the package with which somebody else can check or repeat the trial. address: where the page will stand, with a slash
    at its end; empty where the keeper did not say.
    """

    report: ReportContent
    large: tuple[LargePicture, ...] = ()
    files: tuple[Beside, ...] = ()
    kit: Beside | None = None
    film: Film | None = None
    address: str = ""
