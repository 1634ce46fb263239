"""A trial folder that came packed as a ZIP file: put down, and handed in to be taken onto the shelf."""

import secrets
import zipfile
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Job
from fairtank.records.services.trail import By

INTAKE = "derived/intake"


def packed_take_in(*, content: Iterable[bytes], name: str, by: By) -> Job:
    """Keep a ZIP file until it is taken in; whether it holds a trial is looked at then, before any of it is unpacked.

    Parameters
    ----------
    content : iterable of bytes
        The file, part by part.
    name : str
        As the file was called; the trial is said to come from it.
    by : By

    Returns
    -------
    Job
        That waits.

    Raises
    ------
    InputError
        If it is no ZIP file.
    JobError
        If it cannot be kept.

    References
    ----------
    common_practice (keys from sources.py).
    """
    called = "".join(sign for sign in Path(name.replace("\\", "/")).name if sign.isprintable()) or "the file"
    place = Path(settings.DATA) / INTAKE / f"{secrets.token_hex(16)}.zip"
    try:
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with place.open("xb") as file:
            for part in content:
                file.write(part)
        is_zip = zipfile.is_zipfile(place)
    except OSError as error:
        place.unlink(missing_ok=True)
        raise JobError(f"{called} cannot be kept: {plain_reason(error)}.") from error
    if not is_zip:
        place.unlink()
        raise InputError(called, "no ZIP file", "a trial folder packed as a ZIP file",
                         "The page “Publish” of a trial gives one; a folder is packed with what your computer has for it.")
    return enqueue(kind="import", by=by, given={"path": str(place), "origin": called.removesuffix(".zip")[:300], "is_ours": True})
