"""A trial repeated on the shelf: from a kit that was handed in, or from a trial that is there."""

import secrets
import tempfile
from collections.abc import Iterable
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.records.folder.problems import shown
from fairtank.records.jobs.packed import INTAKE
from fairtank.records.models import Trial
from fairtank.records.services.importing import trial_import
from fairtank.records.services.repeating import OtherTanks, RepeatedTrial, trial_repeat
from fairtank.records.services.trail import By
from fairtank.records.services.working import opened

LONGEST_TITLE = 200


def shelf_repeat(*, by: By, tanks: OtherTanks, start: date | None = None, trial: Trial | None = None, content: Iterable[bytes]
                 | None = None,
                 called: str = "", owner: Any = None) -> tuple[Trial, RepeatedTrial]:  # fmt: skip
    """Put a plan on the shelf that repeats another trial.

    Parameters
    ----------
    by : By
    tanks : OtherTanks
    start : date, optional
        Of day 0.
    trial : Trial, optional
        Of the shelf, to be repeated; else `content`.
    content : iterable of bytes, optional
        A kit, part by part.
    called : str
        The name of its file where it came from, for what is said of it.
    owner : account, optional

    Returns
    -------
    tuple of Trial and RepeatedTrial
        The new one, and what became of the first.

    Raises
    ------
    InputError
        If there is neither, or the kit is none.
    FolderError, DesignError
        As `trial_repeat`.

    References
    ----------
    common_practice (keys from sources.py).
    """
    intake = Path(settings.DATA) / INTAKE
    intake.mkdir(parents=True, exist_ok=True, mode=0o700)
    with ExitStack() as held:
        there = Path(held.enter_context(tempfile.TemporaryDirectory(prefix="repeat-", dir=intake)))
        if trial is not None:
            place = held.enter_context(opened(trial))
        elif content is not None:
            place = _put_down(content, there / f"{secrets.token_hex(8)}.zip")
        else:
            raise InputError("What is repeated", "neither a trial nor a kit", "one of the two")
        try:
            made = trial_repeat(place=place, root=there / "repeated", tanks=tanks, start=start)
        except InputError as error:
            if error.value != place:
                raise
            raise InputError(error.name, shown(called or place.name), error.accepted, error.hint) from error
        return trial_import(root=made.root, by=by, origin=origin_of(made.plan.repeats), owner=owner), made


def origin_of(repeats: str) -> str:
    """Where a repeated trial came from: the first one's title, cut where it is long, and its mark, whole, by which the shelf tells it."""
    title, _, mark = repeats.rpartition("; ")
    return f"{title[:LONGEST_TITLE]}; {mark}"


def _put_down(content: Iterable[bytes], place: Path) -> Path:
    try:
        with place.open("xb") as file:
            for part in content:
                file.write(part)
    except OSError as error:
        raise JobError(f"The kit cannot be kept: {plain_reason(error)}.") from error
    return place
