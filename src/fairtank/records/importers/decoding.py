"""The bytes of a text file as text: its encoding is found out and told, and what is no text is refused."""

from fairtank.errors import InputError
from fairtank.records.folder.paths import CONTROL, CSV_LIMIT_BYTES
from fairtank.records.folder.problems import shown

TABLES_ACCEPTED = "cells copied from a spreadsheet, a CSV or text file, or a spreadsheet saved as XLSX"
_OLE_MARK = b"\xd0\xcf\x11\xe0"
_BOMS = ((b"\xff\xfe", "utf-16-le", "UTF-16"), (b"\xfe\xff", "utf-16-be", "UTF-16"))
_PIECE = 4000


def text_of_bytes(content: bytes, name: str) -> tuple[str, str]:
    """Bytes as text, and its encoding in words.

    Parameters
    ----------
    content : bytes
        UTF-8 with or without its mark, UTF-16, or else the older Western encoding (Windows-1252).
    name : str
        What a refusal calls the file.

    Returns
    -------
    tuple of str and str
        The text without its byte order mark, and the encoding.

    Raises
    ------
    InputError
        If there is nothing, too much, or no text.
    """
    check_size(content, name)
    if content.startswith(_OLE_MARK):
        raise InputError(called(name), "in an older spreadsheet format, or locked with a password", TABLES_ACCEPTED,
                         "Open it, take off the password, and save it as XLSX or CSV.")
    text, encoding = _decoded(content, name)
    control = CONTROL.search(text)
    if control:
        row = text.count("\n", 0, control.start()) + 1
        raise InputError(called(name), f"no plain text: row {row} holds the control character number {ord(control[0])}", TABLES_ACCEPTED)
    return text, encoding


def called(name: str) -> str:
    """What a refusal calls the file."""
    return f"the file {shown(name)}" if name else "what was pasted"


def check_size(content: bytes, name: str) -> None:
    """Refuse nothing, and too much."""
    if not content.strip():
        raise InputError(called(name), "empty", TABLES_ACCEPTED)
    if len(content) > CSV_LIMIT_BYTES:
        raise InputError(called(name), f"{len(content) / 1e6:.4g} MB long", f"at most {CSV_LIMIT_BYTES / 1e6:g} MB",
                         "Part it into several files, such as one for each month.")


def _decoded(content: bytes, name: str) -> tuple[str, str]:
    for mark, encoding, said in _BOMS:
        if content.startswith(mark):
            return _strict(content[2:], encoding, name), said
    silent = _silent_utf_16(content)
    if silent:
        return _strict(content, silent, name), "UTF-16"
    try:
        return content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        return _strict(content, "cp1252", name), "an older Western encoding (Windows-1252)"


def _strict(content: bytes, encoding: str, name: str) -> str:
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as error:
        raise InputError(called(name), f"no text: byte number {error.start + 1} belongs to no letter", TABLES_ACCEPTED,
                         "Save it again as CSV UTF-8.") from error


def _silent_utf_16(content: bytes) -> str:
    """The kind of UTF-16 that a text without its mark is in, told by where its zero bytes stand; empty where it is none."""
    piece = content[:_PIECE]
    if len(content) % 2 or len(piece) < 4:
        return ""
    even, odd, half = piece[0::2].count(0), piece[1::2].count(0), len(piece) / 2
    if odd > 0.7 * half and not even:
        return "utf-16-le"
    return "utf-16-be" if even > 0.7 * half and not odd else ""
