"""What the front page tells: the plan, the photos by tank and day, and the sentences of the findings."""

import json
import os
import shlex
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.utils.translation import gettext as _

from fairtank.errors import FairtankError, FolderError
from fairtank.publish.arms import arm_looks
from fairtank.publish.sentences import spoken
from fairtank.records.folder import read_folder
from fairtank.trial import TrialFolder
from fairtank.web.contents import Shown

MOST_FINDINGS_BYTES = 20_000_000


@dataclass(frozen=True)
class Trial:
    """A folder that was read, or the sentences that say why it was refused."""

    folder: TrialFolder | None
    refusals: tuple[str, ...] = ()


@dataclass(frozen=True)
class Verdict:
    """One finding as it is told: measure, its role and its sentence as it is spoken."""

    measure: str
    role: str
    sentence: str


def trial_in(root: Path, files: dict[str, Shown]) -> Trial:
    """The trial in a folder; read again only when a file in it has changed."""
    return _trial(root, tuple((file.name, file.size, file.changed_ns) for file in files.values()))


@lru_cache(maxsize=2)
def _trial(root: Path, state: tuple[tuple[str, int, int], ...]) -> Trial:
    # Held for every visitor, so these sentences are English, as the page says of them.
    if not root.is_dir():
        return Trial(None, (f"There is no folder {root}.",))
    try:
        return Trial(read_folder(root))
    except FolderError as error:
        return Trial(None, tuple(str(problem) for problem in error.problems))
    except FairtankError as error:
        return Trial(None, (str(error),))
    except OSError as error:
        return Trial(None, (f"The folder could not be read: {error.strerror or error}.",))


def command_start() -> str:
    """How a command begins: with run.py where that is what fairtank was started by."""
    python = "python" if os.name == "nt" else "python3"
    return f"{python} run.py" if os.environ.get("FAIRTANK_STARTED_BY") == "run.py" else "fairtank"


def run_command(root: Path, out: Path) -> str:
    """What to type to get the results."""
    return f"{command_start()} run {shlex.quote(str(root))} --out {shlex.quote(str(out))}"


def verdicts_in(files: dict[str, Shown]) -> tuple[Verdict, ...]:
    """The sentences of findings.json, the primary measure's first; empty where there is none or it cannot be read."""
    file = files.get("findings.json")
    if file is None or file.size > MOST_FINDINGS_BYTES:
        return ()
    try:
        document = json.loads(file.path.read_text(encoding="utf-8"))
        told = [Verdict(str(finding["measure"]).replace("_", " "), str(finding["role"]), spoken(str(finding["sentence"])))
                for finding in document["findings"]]
    except (OSError, ValueError, KeyError, TypeError):
        return ()
    return tuple(sorted(told, key=lambda verdict: verdict.role != "primary"))


@dataclass(frozen=True)
class Picture:
    """One photo on the wall: the file and what it is called by somebody who cannot see it."""

    file: Shown
    words: str


@dataclass(frozen=True)
class WallRow:
    """One tank: its photos, one cell per day."""

    unit: str
    cells: tuple[tuple[Picture, ...], ...]


@dataclass(frozen=True)
class Wall:
    """The wall of photos: tanks as rows, days as columns."""

    days: tuple[int, ...]
    rows: tuple[WallRow, ...]


def wall_of(folder: TrialFolder, files: dict[str, Shown]) -> Wall:
    """The photos of a trial by tank and day, without telling the arm."""
    days = tuple(sorted({photo.day for photo in folder.photos}))
    rows = []
    for unit in folder.plan.units:
        by_day: dict[int, list[Picture]] = {day: [] for day in days}
        for photo in folder.photos:
            if photo.unit == unit.key and photo.path in files:
                by_day[photo.day].append(Picture(files[photo.path], _("%(unit)s, day %(day)s") % {"unit": unit.key, "day": photo.day}))
        rows.append(WallRow(unit.key, tuple(tuple(by_day[day]) for day in days)))
    return Wall(days, tuple(rows))


def unit_rows(folder: TrialFolder) -> tuple[dict[str, str], ...]:
    """Unit, tank, position and arm with its letter, for the table of units."""
    looks = arm_looks(folder.plan)
    return tuple({
        "unit": unit.key, "tank": unit.tank, "position": unit.position,
        "letter": looks[unit.arm].letter, "arm": looks[unit.arm].label, "role": folder.plan.arm(unit.arm).role,
    } for unit in folder.plan.units)
