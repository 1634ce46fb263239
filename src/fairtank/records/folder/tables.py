"""Every CSV file of a trial folder with its columns: the one list, used for reading, checking and writing."""

from dataclasses import dataclass
from typing import Any

from fairtank.card import MOST_CARDS
from fairtank.records.folder.cells import CODE, KEY, PATH, POLYGON, TEXT, TIME, TIME_UNTIL, UNIT_LIST, YES_NO, Cell, choice, number, whole
from fairtank.records.folder.cells_chores import CHORE_KIND, DAY_OR_DATE, UNITS_OR_ALL
from fairtank.trial import EFFECTS, FRAME_MODES, SCALES, SUMMARIES, VIEWS, ZONE_KINDS

NEEDED: Any = object()
DAYS_AWAY = 60
LONGEST_TRIAL_DAYS = 3650
CORNERS = ("x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4")
OWN_CLASSES = ("plant", "algae", "background")
COUNTS_AS = (*OWN_CLASSES, "static")
UNSURE = "unsure"  # the answer at an audit point where the person could not tell


@dataclass(frozen=True)
class Column:
    """One column: its name, its kind of cell, the value of an empty cell (NEEDED: it may not be empty), what it refers to.

    refers_to is `unit`, `photo`, `measure` or `class`: the cell must then name one that the folder knows.
    attribute is the noun's field where its name is another one than the column's.
    """

    name: str
    cell: Cell
    blank: Any = NEEDED
    refers_to: str = ""
    attribute: str = ""

    @property
    def field(self) -> str:
        """The noun's field that this column holds."""
        return self.attribute or self.name


@dataclass(frozen=True)
class Table:
    """One CSV file: its path in the folder and its columns in the order in which they are written. if_empty: what to do about one
    without a header."""

    file: str
    columns: tuple[Column, ...]
    if_empty: str = ""


_UNIT = Column("unit", KEY, refers_to="unit")
_PHOTO = Column("photo", PATH, refers_to="photo")
_MEASURE = Column("measure", KEY, refers_to="measure")
_RATER = Column("rater", TEXT, "")
_NOTE = Column("note", TEXT, "")

PHOTOS = Table("photos.csv", (
    Column("photo", PATH, attribute="path"),
    _UNIT,
    Column("taken_at", TIME, None),
))
FRAMES = Table("frames.csv", (
    _UNIT,
    Column("reference_photo", PATH, refers_to="photo"),
    Column("mode", choice(*FRAME_MODES)),
    Column("view", choice(*VIEWS)),
    *(Column(name, number(-1e5, 1e5)) for name in CORNERS),
    Column("width_cm", number(1, 500)),
    Column("height_cm", number(1, 500)),
))
ZONES = Table("zones.csv", (
    _UNIT,
    Column("zone", TEXT, "", attribute="key"),
    Column("kind", choice(*ZONE_KINDS)),
    Column("polygon", POLYGON),
))
CLASSES = Table("labels/classes.csv", (
    Column("class", KEY, attribute="key"),
    *(Column(name, whole(0, 255)) for name in ("r", "g", "b")),
    Column("counts_as", choice(*COUNTS_AS), ""),
))
AUDIT = Table("audit.csv", (
    _PHOTO,
    Column("x", number(0, 1e5)),
    Column("y", number(0, 1e5)),
    Column("class", KEY, refers_to="class", attribute="answer"),
    _RATER,
))
SCORES = Table("scores.csv", (_PHOTO, _MEASURE, _RATER, Column("value", number())))
PAIRS = Table("pairs.csv", (
    _MEASURE,
    _RATER,
    Column("photo_a", PATH, refers_to="photo"),
    Column("photo_b", PATH, refers_to="photo"),
    Column("more", choice("a", "b", "same")),
))
READINGS = Table("readings.csv", (
    _UNIT,
    Column("taken_at", TIME),
    Column("quantity", TEXT),
    Column("value", number()),
    Column("unit_of_measure", TEXT, ""),
    Column("method", TEXT, ""),
    Column("below_detection", YES_NO, False),
))
EVENTS = Table("events.csv", (
    Column("units", UNIT_LIST, ""),
    Column("at", TIME),
    Column("until", TIME_UNTIL, None),
    Column("kind", TEXT, ""),
    _NOTE,
    Column("effect", choice(*EFFECTS), "keep"),
))
SERIES = Table("series.csv", (
    _UNIT,
    Column("day", whole(-100_000, 100_000, "a whole number of days since day 0")),  # how far from the trial: see checks_dates
    _MEASURE,
    Column("value", number()),
    Column("se", number(0), None),
))
SPREAD = Table("spread.csv", (
    Column("measure", KEY),
    Column("scale", choice(*SCALES)),
    Column("summary", choice(*SUMMARIES)),
    Column("window_class", TEXT, ""),
    Column("tank_class", TEXT, ""),
    Column("variance", number(above=0)),
    Column("df", number(above=0)),
    Column("trial", TEXT),
))
BUILD = Table("build.csv", (
    _UNIT,
    Column("material", TEXT),
    Column("kind", TEXT, ""),
    Column("planned", number(0), None),
    Column("weighed", number(0), None),
    Column("unit_of_measure", TEXT, ""),
    Column("batch", TEXT, ""),
    _NOTE,
))
CARDS = Table("cards.csv", (
    _UNIT,
    Column("card", whole(0, MOST_CARDS - 1)),
    Column("code", CODE),
), if_empty="delete it, and fairtank cards draws it anew")
CHORES = Table("chores.csv", (
    Column("unit", UNITS_OR_ALL, ""),
    Column("chore", TEXT, ""),
    Column("kind", CHORE_KIND, ""),
    Column("due", DAY_OR_DATE, None, attribute="due_day"),
    Column("done_at", TIME),
    Column("minutes", number(0, 1440), None),
    Column("quantity", TEXT, ""),
    Column("amount", number(), None),
    Column("unit_of_measure", TEXT, ""),
    Column("by", TEXT, ""),
    _NOTE,
))
LENS = Table("lens.csv", (
    Column("camera", TEXT),
    Column("focal_px", number(200, 20_000)),
    Column("k1", number(-2, 2)),
    Column("k2", number(-2, 2)),
    Column("residual_px", number(0)),
    Column("pictures", whole(1, 1000)),
    Column("units", UNIT_LIST, ""),
))
FACTORS = Table("factors.csv", (
    Column("unit", KEY, ""),  # empty: all units
    Column("factor", TEXT),
    Column("value", TEXT),
    Column("unit_of_measure", TEXT, ""),
    _NOTE,
))

TABLES = (PHOTOS, FRAMES, ZONES, CLASSES, AUDIT, SCORES, PAIRS, READINGS, EVENTS, SERIES, SPREAD, BUILD, CARDS, LENS, CHORES, FACTORS)

# Tables that can hold values of a measure, by field of `TrialFolder`, and the column that names it.
MEASURED_FIELDS = (("series", "measure"), ("scores", "measure"), ("pairs", "measure"), ("readings", "quantity"))
