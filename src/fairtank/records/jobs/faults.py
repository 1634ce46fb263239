"""What went wrong inside fairtank: a sentence for the page, and the whole story in a file of the data folder."""

import errno
import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

from django.conf import settings

from fairtank.records.models import Job

LOG = Path("log") / "jobs.log"
_LARGEST_BYTES, _OLDER = 2_000_000, 2


def fault_told(job: Job, error: Exception) -> str:
    """Write a fault down and say where.

    Parameters
    ----------
    job : Job
        Whose work failed.
    error : Exception
        That is no `FairtankError`.

    Returns
    -------
    str
        For the page: no trace of the program in it.

    References
    ----------
    common_practice (keys from sources.py).
    """
    _write_down(job, error)
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "The disk is full. Make room on it and ask for this again; nothing that you recorded is lost."
    return ("This is a fault of fairtank, not of your trial, and nothing that you recorded is lost. What happened is written in the "
            f"data folder, file {LOG.as_posix()}, entry of job {job.pk}.")


def _write_down(job: Job, error: Exception) -> None:
    place = Path(settings.DATA) / LOG
    place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    file = RotatingFileHandler(place, maxBytes=_LARGEST_BYTES, backupCount=_OLDER, encoding="utf-8", delay=True)
    file.setFormatter(logging.Formatter("%(asctime)s %(message)s"))
    try:
        about = (type(error), error, error.__traceback__)
        said = f"job {job.pk}, {job.kind}, attempt {job.attempts}, trial {job.trial_id}"
        file.handle(logging.LogRecord("fairtank.jobs", logging.ERROR, __file__, 0, said, None, about))
    finally:
        file.close()
