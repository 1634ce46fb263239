"""What is known of a trial when its kit is written: the one thing from which every text about the kit is made."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.trial import CarriedValues, Plan, TrialFolder

FORM = 2  # of a kit, the newest; a newer one is refused by name
FORM_BEFORE = 1  # of a kit in which no photo has another name and no answers of people are carried: any fairtank reads it
PHOTOS = ("full", "reduced", "none")
REDUCED_PX = 1280


@dataclass(frozen=True)
class KitWishes:
    """What the keeper chose.

    photos: one of PHOTOS. licence: a key of licences.LICENCES; empty keeps the statement that lies in the folder, and says that all rights
    remain where there is none. with_place: photos keep the place where they were taken.
    """

    photos: str = "full"
    licence: str = ""
    with_place: bool = False


@dataclass(frozen=True)
class KitFile:
    """One file of a kit.

    path: inside the kit. what: one of WHATS. size_bytes, sha256: of the file in the kit, 0 and empty for a photo that was left out.
    original_bytes, original_sha256: of the photo as it was measured, where the kit holds another one or none. original_path: what that one
    is called, where the name says another kind of picture.
    """

    path: str
    what: str
    size_bytes: int
    sha256: str
    original_bytes: int = 0
    original_sha256: str = ""
    original_path: str = ""


TRIAL, VALUES, MEASURED, RESULT, ABOUT = "trial", "values carried", "as measured", "result", "about the kit"
WHOLE, WITHOUT_PLACE, REDUCED, LEFT_OUT = "photo", "photo without its place", "reduced photo", "photo left out"
WHATS = (TRIAL, VALUES, MEASURED, RESULT, ABOUT, WHOLE, WITHOUT_PLACE, REDUCED, LEFT_OUT)
ABSENT = (LEFT_OUT,)
MADE = (RESULT, ABOUT)  # made anew for each kit, and no part of the trial


def form_of(carried: Sequence[CarriedValues], files: Sequence[KitFile] = ()) -> int:
    """The earliest form in which a kit can be told: with answers of people carried, or photos under other names, a reader of the first one
    would judge otherwise or refuse its list."""
    return FORM if any(one.eyes is not None for one in carried) or any(one.original_path for one in files) else FORM_BEFORE


@dataclass(frozen=True)
class KitFacts:
    """A trial as its kit tells of it.

    folder, findings: as they were judged. photos: one of PHOTOS. licence: key of licences.LICENCES, or `own` where the folder's own
    statement was kept. inputs_digest: over everything that was judged; digest_here: over what the folder in the kit gives, the same where
    nothing had to be changed. software: name and version.
    """

    folder: TrialFolder
    findings: tuple[Finding, ...]
    photos: str
    licence: str
    inputs_digest: str
    digest_here: str
    software: str

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.folder.plan

    @property
    def title(self) -> str:
        """What readers call it."""
        return self.plan.title or "A trial without a title"
