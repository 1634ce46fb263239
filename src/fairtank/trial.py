"""The nouns of a trial, as frozen dataclasses that every room shares.

Days are whole numbers; day 0 is the date `Plan.start`. Values of a series are in the measure's natural unit
(cover in %, height in cm); only `inference` moves them to another scale.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from fairtank.build import Setup
from fairtank.chore import Chore, ChoreDone, Slip
from fairtank.factor import FactorValue
from fairtank.finding import Eyes
from fairtank.lens import Lens
from fairtank.lot import Draw
from fairtank.seal import Seal

DESIGN_KINDS = ("side_by_side", "run_in", "swap", "drawn_start", "pairs", "rounds", "ladder", "two_changes")
COMPARED = ("reference", "all")
SUMMARIES = ("mean", "change", "swap", "slope", "threshold")
SCALES = ("logit", "log", "identity")
EXPECTED = ("less", "more", "either")
ROLES = ("reference", "changed")
MEASURE_ROLES = ("primary", "secondary")
FRAME_MODES = ("registered", "fixed", "by_hand")
VIEWS = ("front", "top")
ZONE_KINDS = ("water", "floor", "plant", "backdrop", "static", "ignore", "patch")
EFFECTS = ("keep", "exclude_window", "exclude_unit")
QUALITIES = ("usable", "doubtful", "not usable")


@dataclass(frozen=True)
class Arm:
    """One way of treating a unit. role is `reference` or `changed`; name is what people call it.

    dose: in a ladder, how much of the change the arm receives, in the plan's dose_unit. changes: with two changes at once, the names of
    those that the arm receives.
    """

    key: str
    role: str
    name: str = ""
    dose: float | None = None
    changes: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """The arm's name for readers: its own name, else its key."""
        return self.name or self.key


@dataclass(frozen=True)
class Unit:
    """The tank or compartment that receives an arm: the experimental unit."""

    key: str
    arm: str
    tank: str = ""
    compartment: str = ""
    block: str = ""
    position: str = ""
    pair: str = ""
    round: str = ""
    first_arm: str = ""

    @property
    def in_tank(self) -> str:
        """The tank it stands in; a unit that names none is a tank of its own."""
        return self.tank or self.key


@dataclass(frozen=True)
class MeasureChoice:
    """What the plan says about one measure.

    scale None means: the measure's own (logit for cover, log for heights and areas, else identity). margin is the smallest difference
    that matters, on the summary scale. window is the first and last day that count; None means the whole trial
    (with a run-in: the treated days). title and unit_of_measure serve measures that are not fairtank's own.
    """

    key: str
    role: str = "secondary"
    summary: str = "mean"
    scale: str | None = None
    margin: float | None = None
    window: tuple[int, int] | None = None
    threshold: float | None = None
    title: str = ""
    unit_of_measure: str = ""


@dataclass(frozen=True)
class Looks:
    """Planned reading days and the share of the 5 % that each may spend."""

    days: tuple[int, ...] = ()
    budget: tuple[float, ...] = ()


@dataclass(frozen=True)
class Plan:
    """The frozen plan: what is asked, how the trial is laid out, and what will be judged."""

    title: str
    start: date
    days: int
    kind: str
    arms: tuple[Arm, ...]
    units: tuple[Unit, ...]
    measures: tuple[MeasureChoice, ...]
    question: str = ""
    change: str = ""
    reference: str = ""
    rationale: str = ""
    keeper: str = ""
    place: str = ""
    disclosure: str = ""
    expect: str = "either"
    run_in_days: int = 0
    swap_day: int = 0
    washout_days: int = 0
    round_days: int = 0  # rounds that follow one another: how long each lasts; 0: every round's days are counted from 0
    start_window: tuple[int, int] | None = None
    drawn_day: int | None = None
    shared_water: bool = False
    drawn: bool = False
    seed: int | None = None
    blinded: bool = False
    compare: str = "reference"  # more than two arms: each changed arm with the reference, or `all` pairs
    dose_unit: str = ""
    earlier_tanks: bool = True  # whether spread.csv may help where an arm has two units or fewer
    tank_litres: float | None = None  # water of one unit, where setup.toml does not say it
    change_factors: tuple[str, ...] = ()  # keys of the factors that the change is meant to move
    repeats: str = ""  # the trial that this one repeats: its title, and the code of its seal or the digest of its data
    looks: Looks = Looks()

    def arm(self, key: str) -> Arm:
        """The arm with that key."""
        return next(arm for arm in self.arms if arm.key == key)

    def arm_of(self, unit: str) -> Arm:
        """The arm a unit was allotted."""
        return self.arm(next(candidate.arm for candidate in self.units if candidate.key == unit))

    def arm_with(self, role: str) -> Arm:
        """The arm with that role (`reference` or `changed`)."""
        return next(arm for arm in self.arms if arm.role == role)


@dataclass(frozen=True)
class Series:
    """One measure of one unit over the trial: parallel tuples of day, value [natural unit] and standard error (None = not known).

    A unit may have several values on one day (several photos); inference reduces them to their median.
    ready_made marks values that came from series.csv or readings.csv. scored marks values that are people's scores, which knowing the arms
    can sway; eyes is then what is known of these people. below: for values from readings.csv, whether each lay below the test's limit; its
    value is then that limit.
    """

    unit: str
    measure: str
    days: tuple[int, ...]
    values: tuple[float, ...]
    ses: tuple[float | None, ...] = ()
    ready_made: bool = False
    scored: bool = False
    eyes: Eyes | None = None
    below: tuple[bool, ...] = ()


@dataclass(frozen=True)
class Event:
    """Something that happened to some units on some days, and what follows from it for the analysis.

    day_from and day_until are inclusive. units is empty when the event was in all of them.
    """

    units: tuple[str, ...]
    at: datetime
    until: datetime | None
    day_from: int
    day_until: int
    kind: str
    note: str = ""
    effect: str = "keep"


@dataclass(frozen=True)
class SpreadEntry:
    """One trial's like-tank spread: a variance of the unit summary with its degrees of freedom."""

    measure: str
    scale: str
    summary: str
    window_class: str
    tank_class: str
    variance: float
    df: float
    trial: str


@dataclass(frozen=True)
class Photo:
    """One photo of one unit. path is inside the folder, with forward slashes; taken_at is the keeper's local clock."""

    path: str
    unit: str
    taken_at: datetime
    day: int


Corners = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Frame:
    """How photos of a unit map to centimetres.

    corners are top-left, top-right, bottom-right, bottom-left in px of the upright reference photo (in mode
    `by_hand`: of the upright photo itself, which `reference_photo` then names). width_cm and height_cm are the
    size of the rectangle that the corners span.
    """

    unit: str
    reference_photo: str
    mode: str
    view: str
    corners: Corners
    width_cm: float
    height_cm: float


@dataclass(frozen=True)
class Zone:
    """A part of the frame: polygon in cm from the frame's top-left corner (x to the right, y downwards)."""

    unit: str
    key: str
    kind: str
    polygon: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class LabelClass:
    """A class of strokes: its name, its stroke colour (sRGB, 0..255) and which of plant, algae, background it counts as."""

    key: str
    rgb: tuple[int, int, int]
    counts_as: str


@dataclass(frozen=True)
class Label:
    """One picture of strokes: the photo it belongs to and the path of the stroke picture, both inside the folder."""

    photo: str
    path: str


@dataclass(frozen=True)
class AuditPoint:
    """One random point of a photo [px of the upright photo] and what a person saw there."""

    photo: str
    x: float
    y: float
    answer: str
    rater: str = ""


@dataclass(frozen=True)
class Reading:
    """One test result of one unit."""

    unit: str
    taken_at: datetime
    day: int
    quantity: str
    value: float
    unit_of_measure: str
    method: str = ""
    below_detection: bool = False


@dataclass(frozen=True)
class BuildLine:
    """What a unit should receive and what it did receive when weighed in."""

    unit: str
    material: str
    kind: str
    planned: float | None
    weighed: float | None
    unit_of_measure: str
    batch: str = ""
    note: str = ""


@dataclass(frozen=True)
class Score:
    """A person's score of a photo."""

    photo: str
    measure: str
    rater: str
    value: float


@dataclass(frozen=True)
class PairChoice:
    """A person's answer to `which of the two photos shows more?`: more is `a`, `b` or `same`."""

    measure: str
    rater: str
    photo_a: str
    photo_b: str
    more: str


@dataclass(frozen=True)
class CarriedValues:
    """A measure whose values were taken from photos that a kit holds smaller or not at all, and now stand in series.csv.

    told: for each comparison (reference arm, changed arm) what was said beside its finding of the photos themselves, in sentences. eyes:
    what is known of the people, where the values are their scores or choices.
    """

    measure: str
    told: tuple[tuple[str, str, tuple[str, ...]], ...] = ()
    eyes: Eyes | None = None


@dataclass(frozen=True)
class TrialFolder:
    """A whole trial folder after it was read and found free of problems.

    root: where it lies. setup: what is to be built, where setup.toml says so. unknown_columns: (file, column) pairs that
    were kept and are reported; their cells are in unknown_cells by file, one mapping per row. digest: `sha256:` over every
    file that was read. unread_files: tables (CSV, TOML) at the top of the folder whose names fairtank does not know.
    file_digests: SHA-256 of each file that was read, by path; digest is made from these. seal: the plan's seal, where there is one.
    cautions: sentences about what was probably not meant, though it could be read. factors: what the keeper wrote down of each unit.
    chores, chores_done, slips: the schedule and what became of it. draws: every draw, the one that counts last. carried: measures whose
    values came with a kit in place of the photos that they were taken from.
    """

    root: Path
    plan: Plan
    digest: str
    photos: tuple[Photo, ...] = ()
    frames: tuple[Frame, ...] = ()
    zones: tuple[Zone, ...] = ()
    label_classes: tuple[LabelClass, ...] = ()
    labels: tuple[Label, ...] = ()
    audit: tuple[AuditPoint, ...] = ()
    scores: tuple[Score, ...] = ()
    pairs: tuple[PairChoice, ...] = ()
    readings: tuple[Reading, ...] = ()
    events: tuple[Event, ...] = ()
    series: tuple[Series, ...] = ()
    spread: tuple[SpreadEntry, ...] = ()
    build: tuple[BuildLine, ...] = ()
    setup: Setup | None = None
    unknown_columns: tuple[tuple[str, str], ...] = ()
    unknown_cells: dict[str, tuple[dict[str, str], ...]] = field(default_factory=dict, hash=False, compare=False)
    unread_files: tuple[str, ...] = ()
    file_digests: dict[str, str] = field(default_factory=dict, hash=False, compare=False)
    seal: Seal | None = None
    cautions: tuple[str, ...] = ()
    cards: tuple["CardOfUnit", ...] = ()
    lens: tuple[Lens, ...] = ()
    factors: tuple[FactorValue, ...] = ()
    chores: tuple[Chore, ...] = ()
    chores_done: tuple[ChoreDone, ...] = ()
    slips: tuple[Slip, ...] = ()
    draws: tuple[Draw, ...] = ()
    carried: tuple[CarriedValues, ...] = ()


@dataclass(frozen=True)
class Measured:
    """One value taken from one photo.

    zone is empty for the whole frame. se is the standard error of the measurement where an honest one exists,
    else None. version names the method that made the value.
    """

    photo: str
    unit: str
    taken_at: datetime
    day: int
    measure: str
    zone: str
    value: float
    unit_of_measure: str
    se: float | None
    quality: str
    version: str


@dataclass(frozen=True)
class PhotoQuality:
    """What is known about a photo as a measurement: quality is one of QUALITIES, reasons are whole sentences.

    corners are the frame's corners found in this photo [px of the upright photo], None when it could not be placed.
    map_at_audit: what the map says at each of this photo's audit points, one letter each in the order of audit.csv: `b` background,
    `p` plant, `a` algae, `-` outside what is counted; empty where there was no map. verdicts: keys of what is wrong, in the order of
    reasons.
    colour_basis: what makes its colours comparable: `card`, `patch` or `none`; empty where that was not told.
    new_fraction: share of what counts in colours that no stroke showed. closeness: how close plants and algae came to each other, mean over
    the frame [0 to 0.5]. classifier: digest of what told the classes apart, the same in all photos of a trial; empty where nothing did.
    """

    photo: str
    unit: str
    day: int
    quality: str
    reasons: tuple[str, ...]
    corners: Corners | None
    sharpness: float | None
    clipped_fraction: float | None
    light_level: float | None
    uncertain_fraction: float | None
    version: str
    map_at_audit: str = ""
    verdicts: tuple[str, ...] = ()
    colour_basis: str = ""
    new_fraction: float | None = None
    closeness: float | None = None
    classifier: str = ""


@dataclass(frozen=True)
class CardOfUnit:
    """Which photo card stands beside a unit: its number, which its markers tell, and the code that is printed on it."""

    unit: str
    card: int
    code: str
