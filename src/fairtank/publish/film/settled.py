"""A film of which everything is settled: what its pictures are made from."""

from dataclasses import dataclass

from fairtank.publish.arms import ArmLook
from fairtank.publish.film.cells import Layout
from fairtank.publish.film.content import FilmContent, UnitPhotos
from fairtank.publish.film.growing import GrowingCurve
from fairtank.publish.film.notes import Note
from fairtank.publish.film.timeline import Timeline
from fairtank.publish.film.wishes import AT_THE_END, SHOWN, FilmWishes
from fairtank.trial import Plan


@dataclass(frozen=True)
class Page:
    """One page of the closing card: its lines, and the size of their letters. [px]"""

    lines: tuple[str, ...]
    size_px: int


@dataclass(frozen=True, eq=False)
class Film:
    """All that is settled of a film. photos: in the order in which they stand. closing: the pages of the finding's sentence."""

    content: FilmContent
    wishes: FilmWishes
    looks: dict[str, ArmLook]
    photos: tuple[UnitPhotos, ...]
    layout: Layout
    timeline: Timeline
    curve: GrowingCurve | None
    notes: tuple[Note, ...]
    closing: tuple[Page, ...]

    @property
    def plan(self) -> Plan:
        """The trial's plan."""
        return self.content.plan


def is_named(film: Film, kind: str) -> bool:
    """Whether a shot of that kind names the arms of the tanks."""
    return film.wishes.arms == SHOWN or (film.wishes.arms == AT_THE_END and kind in ("reveal", "close"))
