"""A file written whole or not at all: first beside its place, then moved there in one step."""

import os
from pathlib import Path


def text_write(path: Path, text: str) -> None:
    """Write UTF-8 text with its line ends as they are, making the folder where needed; nothing half-written is left behind.

    Parameters
    ----------
    path : Path
        The file's place; what lies there is replaced.
    text : str

    Raises
    ------
    OSError
        If the place cannot be written.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    bytes_write(path, text.encode())


def bytes_write(path: Path, content: bytes) -> None:
    """Write bytes whole, making the folder where needed; nothing half-written is left behind.

    Parameters
    ----------
    path : Path
        The file's place; what lies there is replaced.
    content : bytes

    Raises
    ------
    OSError
        If the place cannot be written.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{os.urandom(6).hex()}.tmp")
    try:
        draft.write_bytes(content)
        os.replace(draft, path)
    finally:
        draft.unlink(missing_ok=True)
