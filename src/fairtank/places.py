"""Where the shelf's data lie, the secret that signs sessions, and the digest in the address of fixed files.

shelf.sqlite3   all rows
photos/         every photo once, named by its SHA-256
derived/        everything that can be made again: trial folders, thumbnails, results, charts
"""

import contextlib
import hashlib
import os
import secrets
from glob import escape
from pathlib import Path

from platformdirs import user_data_path

VARIABLE = "FAIRTANK_DATA"
SECRET_FILE = ".secret"
# There while work waits for a worker that is not up: whoever hands work in writes it, the worker takes it away when it looks for work.
WORK_WAITS = Path("derived", "work-waits")
# How the name of a folder ends that was unpacked from a backup, checked, and is about to become the data folder.
READY_END = ".ready"


def data_folder() -> Path:
    """The data folder; it is made, for its owner alone, where it is missing.

    Where it is missing because a restore was killed between putting the old one aside and the new one in its place, that is finished.

    Returns
    -------
    Path
        What the environment's FAIRTANK_DATA names, else the place where this system keeps a user's data.

    References
    ----------
    common_practice (keys from sources.py).
    """
    place = Path(os.environ.get(VARIABLE) or user_data_path("fairtank", appauthor=False)).resolve()
    ready = [] if place.exists() else list(place.parent.glob(f".{escape(place.name)}.*{READY_END}"))
    if len(ready) == 1:
        with contextlib.suppress(OSError):  # another process was faster
            ready[0].rename(place)
    for folder in (place, place / "derived", place / "derived" / "uploads", place / "photos"):
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return place


def kept_secret(folder: Path) -> str:
    """The secret of this data folder; it is made once.

    Parameters
    ----------
    folder : Path
        The data folder.

    Returns
    -------
    str
        67 letters and digits.

    References
    ----------
    common_practice (keys from sources.py).
    """
    place, made = folder / SECRET_FILE, folder / f"{SECRET_FILE}.{secrets.token_hex(8)}"
    if not place.exists():
        with os.fdopen(os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
            file.write(secrets.token_urlsafe(50))
        with contextlib.suppress(FileExistsError):  # another process was faster
            os.link(made, place)
        made.unlink()
    return place.read_text(encoding="ascii")


def digest_of_folders(*folders: Path) -> str:
    """The digest in the address of fixed files: another content, another address.

    Parameters
    ----------
    folders : Path
        Folders that hold a few small files.

    Returns
    -------
    str
        The start of a SHA-256 over the names and contents of all files below them.

    References
    ----------
    fips180 (keys from sources.py).
    """
    told = hashlib.sha256()
    for folder in folders:
        for path in sorted(path for path in folder.rglob("*") if path.is_file()):
            told.update(path.relative_to(folder).as_posix().encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return told.hexdigest()[:10]
