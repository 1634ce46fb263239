"""Several trial folders: found in a folder or below it, and judged one after the other; one that cannot be does not stop the others."""

import os
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from fairtank.errors import FairtankError, FolderError, InputError
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.services.measuring import Progress
from fairtank.records.services.trials import JudgedTrial, trial_judge

Watched = Callable[[str], AbstractContextManager[Progress | None]]
DEEPEST = 6  # folders inside folders


@dataclass(frozen=True)
class LeftOutTrial:
    """A folder that does not count: its name and the reason, a whole sentence."""

    folder: str
    reason: str


def unwatched(name: str) -> AbstractContextManager[Progress | None]:
    """Nobody is told how far a folder's photos are."""
    return nullcontext(None)


def kits_in(root: Path, out: Path | None = None) -> tuple[list[Path], tuple[str, ...]]:
    """The trial folders right inside a folder, by name, and the names of its other folders.

    Raises
    ------
    InputError
        If the folder is not there, is a trial itself, or holds no trial.
    """
    name, wanted = "the folder of trials", "a folder that holds several trial folders, each with its trial.toml"
    if not root.is_dir():
        raise InputError(name, f"{root}, which is not there" if not root.exists() else f"{root}, which is a file", wanted)
    if (root / PLAN_FILE).exists():
        raise InputError(name, f"{root}, which is one trial", wanted, "Put the trial folders side by side into a folder of their own.")
    places = sorted(place for place in root.iterdir() if place.is_dir() and not place.name.startswith("."))
    kits = [place for place in places if (place / PLAN_FILE).exists()]
    if not kits:
        raise InputError(name, f"{root}, in which no folder has a trial.toml", wanted)
    results = {root.resolve() / "out", *([out.resolve()] if out is not None else [])}
    return kits, tuple(place.name for place in places if place not in kits and place.resolve() not in results)


def kits_under(roots: Sequence[Path]) -> list[Path]:
    """All trial folders among some folders and below them, each once; inside a trial folder nothing is looked for.

    Raises
    ------
    InputError
        If one of the folders is not there.
    """
    found: dict[Path, Path] = {}
    for root in roots:
        if not root.is_dir():
            raise InputError("a folder of trials", f"{root}, which is {'a file' if root.exists() else 'not there'}", "a folder")
        for place, below, files in os.walk(root):
            here = Path(place)
            if PLAN_FILE in files:
                found.setdefault(here.resolve(), here)
                below.clear()
            too_deep = len(here.relative_to(root).parts) >= DEEPEST
            below[:] = [] if too_deep else sorted(name for name in below if not name.startswith("."))
    return list(found.values())


def kits_judged(kits: Sequence[Path], workers: int | None, watched: Watched) -> tuple[list[tuple[str, JudgedTrial]], list[LeftOutTrial]]:
    """Each folder judged; one that cannot be says why and does not stop the others."""
    judged, left_out = [], []
    for kit in kits:
        found = judged_or_why(kit.name, partial(_kit_judged, kit, workers, watched))
        if isinstance(found, LeftOutTrial):
            left_out.append(found)
        else:
            judged.append((kit.name, found))
    return judged, left_out


def _kit_judged(kit: Path, workers: int | None, watched: Watched) -> JudgedTrial:
    with watched(kit.name) as progress:
        return trial_judge(root=kit, workers=workers, progress=progress)


def judged_or_why(name: str, judge: Callable[[], JudgedTrial | LeftOutTrial]) -> JudgedTrial | LeftOutTrial:
    """What judging a trial gives, or why it cannot be judged."""
    try:
        return judge()
    except FolderError as error:
        more = len(error.problems) - 1
        others = f" {more} more {'problem' if more == 1 else 'problems'}: see fairtank judge." if more else ""
        return LeftOutTrial(name, f"It cannot be read: {error.problems[0]}{others}")
    except (FairtankError, OSError) as error:
        return LeftOutTrial(name, f"It cannot be judged: {_reason(error)}")


def _reason(error: FairtankError | OSError) -> str:
    return str(error) if isinstance(error, FairtankError) else f"{error.filename or 'a file'} could not be used: {error.strerror}."
