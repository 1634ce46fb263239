"""A trial folder that was packed into one ZIP file, unpacked beside nothing that it could harm."""

import shutil
import stat
import tempfile
import zipfile
import zlib
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES, check_path
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.folder.toml_section import FILE as PLAN_FILE

# What Python raises at a ZIP file that is damaged, encrypted, cut off or packed in a way it does not know.
ZIP_FAULTS = (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError, EOFError)
ARGUMENT = "the kit"
MOST_FILES = 100_000
MOST_BYTES = 20_000_000_000
# A table packs to a fifth or a twentieth; what unpacks to far more was made to fill the disk.
MOST_TIMES, SMALL_BYTES = 100, 50_000_000
_ACCEPTED = "a trial folder, or such a folder packed as a ZIP file"


@contextmanager
def folder_at(place: Path, *, beside: Path | None = None, only: Collection[str] | None = None) -> Iterator[Path]:
    """A trial folder as it is, or unpacked from a ZIP file for as long as it is looked at; beside: where, else in the system's own place.

    only: names of files at the folder's top; of a ZIP file no others are then unpacked.

    Raises
    ------
    InputError
        If a file is no ZIP file, holds no trial.toml or seal.json at its top or in its one folder, or names that lead out of it.
    """
    if not place.is_file():
        yield place
        return
    with tempfile.TemporaryDirectory(prefix="fairtank-", dir=beside) as there:
        try:
            with zipfile.ZipFile(place) as archive:
                _unpack(archive, place, Path(there), only)
        except ZIP_FAULTS as error:
            reason = "It is broken, packed with a password, or no ZIP file."
            raise InputError(ARGUMENT, place, _ACCEPTED, reason) from error
        except OSError as error:
            raise JobError(f"{place.name} cannot be unpacked: {plain_reason(error)}. Nothing was taken in.") from error
        yield _root(Path(there), place)


def _unpack(archive: zipfile.ZipFile, place: Path, there: Path, only: Collection[str] | None) -> None:
    """Every ordinary file, once all names are known to stay inside and the sizes to be within limits."""
    files = [one for one in archive.infolist() if not one.is_dir()]
    _check_sizes(files, place)
    for one in files:
        _check_entry(one, place)
    _check_names([one.filename for one in files], place)
    wanted = [one for one in files if only is None or (PurePosixPath(one.filename).name in only and one.filename.count("/") < 2)]
    size = sum(one.file_size for one in wanted)
    if size > shutil.disk_usage(there).free:
        raise InputError(ARGUMENT, place, "what finds room on the disk", f"It needs {size / 1e6:.0f} MB in {there.parent} for a while.")
    for one in wanted:
        try:
            archive.extract(one, there)
        except (zipfile.BadZipFile, zlib.error, EOFError) as error:
            name = one.filename.partition("/")[2] or one.filename
            reason = f"{shown(name)} in it is damaged: it was altered after it was packed, or did not arrive whole."
            raise InputError(ARGUMENT, place, _ACCEPTED, reason) from error


def _check_sizes(files: list[zipfile.ZipInfo], place: Path) -> None:
    """Not more files, and not more bytes, than a trial can have, and no bytes that only come about by unpacking."""
    size, packed = sum(one.file_size for one in files), sum(one.compress_size for one in files)
    if len(files) > MOST_FILES or size > MOST_BYTES:
        raise InputError(ARGUMENT, place, f"at most {MOST_FILES} files and {MOST_BYTES / 1e9:.0f} GB")
    if size > max(MOST_TIMES * packed, SMALL_BYTES):
        raise InputError(ARGUMENT, place, f"files that are at most {MOST_TIMES} times as long unpacked",
                         f"It says that it would unpack to {size / 1e6:.0f} MB, from {packed / 1e6:.1f} MB.")


def _check_entry(one: zipfile.ZipInfo, place: Path) -> None:
    """An ordinary file of a size that is read, under a name that stays inside."""
    if stat.S_ISLNK(one.external_attr >> 16):
        raise InputError(ARGUMENT, place, "ordinary files only", f"{shown(one.filename)} in it is a link to another place.")
    if one.file_size > PICTURE_LIMIT_BYTES:
        raise InputError(ARGUMENT, place, f"files of at most {PICTURE_LIMIT_BYTES / 1e6:.0f} MB", f"{shown(one.filename)} is larger.")
    try:
        check_path(one.filename)
    except Refusal as refusal:
        raise InputError(ARGUMENT, place, "names inside the folder only", f"{refusal.read[:1].upper()}{refusal.read[1:]}.") from None


def _check_names(paths: list[str], place: Path) -> None:
    """Each name once, and none that is a file and a folder too: the later one would take the earlier one's place unseen."""
    seen: set[str] = set()
    for path in paths:
        if path in seen:
            raise InputError(ARGUMENT, place, "each file once", f"{shown(path)} is in it twice.")
        seen.add(path)
    clash = next((str(above) for path in paths for above in PurePosixPath(path).parents if str(above) in seen), "")
    if clash:
        raise InputError(ARGUMENT, place, "names that are a file or a folder", f"{shown(clash)} is both in it.")


def _root(there: Path, place: Path) -> Path:
    """Where in what was unpacked the trial folder lies."""
    folders = [there, *(inside for inside in sorted(there.iterdir()) if inside.is_dir())]
    found = [one for one in folders if (one / PLAN_FILE).is_file() or (one / "seal.json").is_file()]
    if len(found) == 1 or (found and found[0] == there):
        return found[0]
    reason = "Several folders in it have a trial.toml." if found else "No folder in it has a trial.toml."
    raise InputError(ARGUMENT, place, _ACCEPTED, reason)
