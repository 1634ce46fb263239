"""A folder as one ZIP file that has the same bytes each time it is made from the same files."""

import os
import shutil
import zipfile
from pathlib import Path

_TIME = (1980, 1, 1, 0, 0, 0)
_FILE_BITS = 0o100644 << 16
# What is small already is put in as it is.
_PACKED = {".jpg", ".jpeg", ".png", ".webp", ".mp4", ".webm", ".zip", ".pdf"}


def folder_pack(folder: Path, target: Path, *, top: str) -> None:
    """Write all files of a folder into a ZIP file, below one folder, in the order of their names.

    Parameters
    ----------
    folder : Path
        Whose files are packed.
    target : Path
        The ZIP file; what lies there is replaced when all of it is written.
    top : str
        The name of the folder inside the ZIP file.

    Raises
    ------
    OSError
        If it cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    draft = target.with_name(f".{target.name}.{os.getpid()}.tmp")
    try:
        with zipfile.ZipFile(draft, "w", allowZip64=True) as made:
            for place in sorted(one for one in folder.rglob("*") if one.is_file()):
                entry = zipfile.ZipInfo(f"{top}/{place.relative_to(folder).as_posix()}", _TIME)
                entry.external_attr = _FILE_BITS
                entry.file_size = place.stat().st_size
                entry.compress_type = zipfile.ZIP_STORED if place.suffix.lower() in _PACKED else zipfile.ZIP_DEFLATED
                with place.open("rb") as given, made.open(entry, "w") as inside:
                    shutil.copyfileobj(given, inside, 1 << 20)
        os.replace(draft, target)
    finally:
        draft.unlink(missing_ok=True)
