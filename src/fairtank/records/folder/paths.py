"""Names that stay inside the folder, and bytes read from them within a limit."""

import re
import stat
from pathlib import Path

from fairtank.records.folder.problems import Refusal, shown

CSV_LIMIT_BYTES = 20_000_000
TOML_LIMIT_BYTES = 1_000_000
PICTURE_LIMIT_BYTES = 60_000_000
LONGEST_PATH = 240
INSIDE = "a path inside the trial folder, such as photos/T1-day-03.jpg"
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


def check_path(path: str) -> str:
    """Hand back a path that is sure to stay inside the folder; refuse any other with the reason."""
    fault = None
    if not path.isprintable():
        fault = "holds a character that cannot be printed"
    elif "\\" in path:
        fault = "holds a backslash; folders are parted by /"
    elif path.startswith("/"):
        fault = "starts at the root of the disk"
    elif re.match("[A-Za-z]:", path):
        fault = "names a drive"
    elif ".." in path.split("/"):
        fault = "leads out of the folder"
    elif any(part in ("", ".") for part in path.split("/")):
        fault = "has an empty part"
    elif len(path) > LONGEST_PATH:
        fault = f"is longer than {LONGEST_PATH} characters"
    if fault:
        raise Refusal(f"{shown(path)} {fault}", INSIDE)
    return path


def is_there(root: Path, path: str) -> bool:
    """Whether anything at all has that name, be it a file, a folder or a link."""
    try:
        (root / path).lstat()
    except (OSError, ValueError):
        return False
    return True


def read_bytes(root: Path, path: str, limit_bytes: int, called: str = "") -> bytes:
    """The content of an ordinary file inside the folder; links, special, empty and over-long files are refused unread.

    called is what a refusal calls the file: its path, unless something shorter says it better.
    """
    place, name = root, called or shown(path)
    accepted = f"an ordinary file of at most {_size(limit_bytes)}"
    try:
        for part in check_path(path).split("/"):
            place = place / part
            status = place.lstat()
            if stat.S_ISLNK(status.st_mode):
                raise Refusal(f"{name} is a link to another place, or lies behind one", accepted)
        if stat.S_ISDIR(status.st_mode):
            raise Refusal(f"{name} is a folder", accepted)
        if not stat.S_ISREG(status.st_mode):
            raise Refusal(f"{name} is not an ordinary file", accepted)
        if status.st_size == 0:
            raise Refusal(f"{name} is empty (0 bytes)", accepted)
        if status.st_size > limit_bytes:
            raise Refusal(f"{name} is {_size(status.st_size)} long", accepted)
        with place.open("rb") as file:
            return file.read(status.st_size)  # not the limit: the buffer would be as large as that
    except (FileNotFoundError, NotADirectoryError):
        raise Refusal(f"{name} is missing" if called else f"the file {name} is missing", accepted) from None
    except OSError as error:
        raise Refusal(f"{name} cannot be opened ({(error.strerror or 'unknown reason').lower()})", accepted) from error


def text_from_bytes(content: bytes) -> tuple[str | None, int | None, Refusal | None]:
    """Bytes as UTF-8 text without its byte order mark; else None with the row of the first fault and what it is."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return None, None, Refusal("is UTF-16 text", "UTF-8 text (save the file again as CSV UTF-8)")
    accepted = "UTF-8 text without control characters"
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        read = f"byte number {error.start + 1} of the file is not UTF-8 text (perhaps saved in an older encoding)"
        return None, row, Refusal(read, "UTF-8 text (save the file again as CSV UTF-8)")
    control = CONTROL.search(text)
    if control:
        code = ord(control[0])
        name = "a NUL byte" if code == 0 else f"the control character number {code}"
        return None, text.count("\n", 0, control.start()) + 1, Refusal(f"holds {name}", accepted)
    return text, None, None


def _size(size_bytes: int) -> str:
    """A file size in words."""
    for unit, unit_bytes in (("MB", 1_000_000), ("kB", 1_000)):
        if size_bytes >= unit_bytes:
            return f"{size_bytes / unit_bytes:.4g} {unit}"
    return f"{size_bytes} bytes"
