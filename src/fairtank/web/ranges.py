"""Parts of a large file: a player asks for them to jump to a place, and some play nothing that is not given in parts."""

import re
from collections.abc import Iterator
from pathlib import Path

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

_ASKED = re.compile(r"bytes=(\d{0,15})-(\d{0,15})")
_PIECE = 1 << 16
PARTIAL, NOT_THERE = 206, 416


def file_sent(request: HttpRequest, place: Path, *, media_type: str, policy: str, name: str = "") -> HttpResponseBase:
    """A file, or the one part of it that is asked for (RFC 9110, 14.2).

    Parameters
    ----------
    request : HttpRequest
    place : Path
        The file, which is there.
    media_type : str
    policy : str
        Its Content-Security-Policy.
    name : str
        Under which it is kept; empty where it is to be shown.

    Returns
    -------
    HttpResponseBase
        Whole (200); a part (206); or nothing where the part lies behind its end (416). A range that cannot be understood, or several at
        once, give the whole file, as the standard allows.
    """
    size = place.stat().st_size
    headers = {"Content-Security-Policy": policy, "Accept-Ranges": "bytes"}
    asked = None if name else _ASKED.fullmatch(request.headers.get("Range", "").strip())
    if asked is None or not _is_meant(asked[1], asked[2]):
        return FileResponse(place.open("rb"), content_type=media_type, headers=headers, as_attachment=bool(name), filename=name)
    first, last = _part(asked[1], asked[2], size)
    if first >= size or last < first:
        return HttpResponse(status=NOT_THERE, headers={**headers, "Content-Range": f"bytes */{size}"}, content_type=media_type)
    headers |= {"Content-Range": f"bytes {first}-{last}/{size}", "Content-Length": str(last - first + 1)}
    return StreamingHttpResponse(_pieces(place, first, last - first + 1), status=PARTIAL, content_type=media_type, headers=headers)


def _is_meant(first: str, last: str) -> bool:
    """Whether the part is one: neither nothing at all nor turned around."""
    return bool(first or last) and not (first and last and int(last) < int(first))


def _part(first: str, last: str, size: int) -> tuple[int, int]:
    """First and last byte; `-500` means the last 500 bytes."""
    if not first:
        return max(size - int(last), 0), size - 1 if int(last) else -1
    return int(first), min(int(last), size - 1) if last else size - 1


def _pieces(place: Path, first: int, length: int) -> Iterator[bytes]:
    with place.open("rb") as file:
        file.seek(first)
        while length > 0 and (piece := file.read(min(_PIECE, length))):
            length -= len(piece)
            yield piece
