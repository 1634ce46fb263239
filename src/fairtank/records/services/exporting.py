"""A trial of the shelf written as a trial folder, for others or for the command line."""

import os
import shutil
from pathlib import Path

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.records.models import Photo, Stroke, Trial
from fairtank.records.rows.texts import texts_of
from fairtank.records.shelf_photos import photo_files
from fairtank.records.writing import bytes_write


def trial_export(*, trial: Trial, root: Path) -> Path:
    """Write a trial as a folder: texts and tables that were not changed on the shelf are the same to the byte as they came.

    Parameters
    ----------
    trial : Trial
    root : Path
        A new or an empty folder.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    InputError
        If something lies there already.
    JobError
        If it cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if root.is_symlink() or (root.exists() and not (root.is_dir() and not any(root.iterdir()))):
        raise InputError("the folder to write", root, "a new or an empty folder", "Choose another name; nothing was written.")
    partial = root.parent / f".{root.name}.{os.urandom(4).hex()}.partial"
    try:
        partial.mkdir(parents=True)
        for path, content in texts_of(trial).items():
            bytes_write(partial / path, content)
        files = photo_files()
        pictures = [*Photo.objects.filter(trial=trial).values_list("path", "sha256"),
                    *Stroke.objects.filter(trial=trial).values_list("path", "sha256")]
        for path, sha256 in pictures:
            (partial / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(files.path_of(sha256), partial / path)
        if root.exists():
            root.rmdir()
        partial.rename(root)
    except OSError as error:
        raise JobError(f"{root} cannot be written: {plain_reason(error)}.") from error
    finally:
        shutil.rmtree(partial, ignore_errors=True)
    return root
