"""What is shown: a trial folder and the folder of its results, or neither, when the pages were started for the bench alone."""

from pathlib import Path

from django.conf import settings


def trial_folder() -> Path | None:
    """The trial folder; None where none is shown."""
    return Path(settings.FAIRTANK_FOLDER) if settings.FAIRTANK_FOLDER else None


def results_folder() -> Path | None:
    """The folder of the results; None where no trial is shown."""
    return Path(settings.FAIRTANK_OUT) if settings.FAIRTANK_FOLDER and settings.FAIRTANK_OUT else None
