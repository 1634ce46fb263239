"""The place is taken out of a photo before it is kept or leaves, and not one px changes.

By default a photo is cleaned when it comes in, and its digest is that of what is kept. What may carry a place goes as a whole: the GPS
fields, the maker's notes (nobody but the maker knows what stands in them), XMP, IPTC, comments and titles, embedded thumbnails, the second
pictures of a multi-picture JPEG, and whatever is appended behind the picture, such as the film of a moving photo. What says when and how
a photo was taken stays: time and its offset from UTC, orientation, camera, lens, exposure, colour profile. A photo that holds nothing but
px and its colour profile, and one that was cleaned before, stays byte for byte what it was.

JPEG, PNG and WebP files are put together again without those parts. A HEIC file keeps its length, and what goes is written over
(see photo_heif).

Two kinds of photo keep their bytes, and with them any place: those whose keeper asked for it (`keep_place`), and those of an imported trial
folder. A sealed folder names each photo by its digest, so that a photo cleaned at import would look like one exchanged after the
seal. Whoever hands such photos on cleans a copy and says that its digest is no longer the sealed one.
"""

import zlib
from dataclasses import replace

from fairtank.errors import InputError, PhotoError
from fairtank.records.folder.pictures import Header, header_of, kind_of
from fairtank.records.folder.problems import Refusal
from fairtank.records.photo_exif import EXIF_START, kept_exif
from fairtank.records.photo_heif import clean_heif
from fairtank.records.photo_parts import PNG_START, Part, PartsError, jpeg_parts, png_chunks, webp_chunks

MEDIA_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WebP": "image/webp", "HEIC": "image/heic"}
_APP0, _APP1, _APP2, _APP14 = 0xE0, 0xE1, 0xE2, 0xEE
_LONGEST_SEGMENT = 0xFFFF
# Application segments that the px need: the version, the colour profile, the colour model.
_NEEDED_SEGMENTS = {_APP0: b"JFIF\0", _APP2: b"ICC_PROFILE\0", _APP14: b"Adobe"}
_NEEDED_CHUNKS = (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP", b"mDCV", b"mDCv", b"cLLI",
                  b"cLLi", b"sBIT", b"bKGD", b"pHYs", b"tIME", b"acTL", b"fcTL", b"fdAT")
_NEEDED_WEBP = (b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ANIM", b"ANMF", b"ICCP")
_WEBP_HAS_XMP, _WEBP_HAS_EXIF = 0x04, 0x08
_Piece = bytes | tuple[int, int]  # new bytes, or from where to where the content's own are kept


def as_kept(content: bytes, media: str, *, keep_place: bool = False) -> bytes:
    """What is stored of an upload: without its place, unless the keeper asked to keep it."""
    return content if keep_place else without_place(content, media)


def without_place(content: bytes, media: str) -> bytes:
    """A photo without anything that may carry a place; the very same bytes where it carries nothing of the kind.

    media is one of MEDIA_TYPES and must be what the content is. The answer is read again: where size or orientation would be others, the
    time lost, or a position still there, PhotoError is raised rather than something handed out.
    """
    kind = kind_of(content)
    if kind is None or MEDIA_TYPES[kind] != media:
        raise InputError("the media type of the photo", repr(media[:80]), MEDIA_TYPES[kind] if kind else ", ".join(MEDIA_TYPES.values()),
                         "It must be that of the photo's content.")
    try:
        new = {"JPEG": _clean_jpeg, "PNG": _clean_png, "WebP": _clean_webp, "HEIC": clean_heif}[kind](content)
        if new is content or new == content:
            return content
        before, after = header_of("the photo", kind, content), header_of("the photo", kind, new)
    except (PartsError, Refusal, IndexError) as error:
        raise _unclean() from error
    if after != _expected(before, after):
        raise _unclean()
    return new


def _expected(before: Header, after: Header) -> Header:
    """What the header of a cleaned photo must be; a time that could not be read beside damaged fields may have come to light."""
    return replace(before, has_gps=False, has_more_pictures=False, taken_at=before.taken_at or after.taken_at,
                   offset_minutes=after.offset_minutes if before.offset_minutes is None else before.offset_minutes)


def _unclean() -> PhotoError:
    return PhotoError("The place cannot be taken out of this photo, because its file is put together in an unusual way. Save it again as a "
                      "JPEG without its position, or choose to keep the position.")


def _clean_jpeg(content: bytes) -> bytes:
    """Segments up to the first end marker; of the application segments only those that the px need, and a new EXIF block."""
    new: list[_Piece] = [(0, 2)]
    exif_done = False
    for part in jpeg_parts(content):
        name, own = int(part.name), content[part.content_start:min(part.end, part.content_start + _LONGEST_SEGMENT)]
        if name == _APP1 and own.startswith(EXIF_START) and not exif_done:
            kept, exif_done = kept_exif(own), True
            if kept and len(EXIF_START) + len(kept) + 2 <= _LONGEST_SEGMENT:
                new.append(b"\xff\xe1" + (2 + len(EXIF_START) + len(kept)).to_bytes(2, "big") + EXIF_START + kept)
        elif own.startswith(_NEEDED_SEGMENTS[name]) if name in _NEEDED_SEGMENTS else 0xC0 <= name <= 0xDF:
            new.append((part.start, part.end))
    return _put_together(content, new)


def _clean_png(content: bytes) -> bytes:
    """The chunks that the px need, and a new EXIF chunk."""
    new: list[_Piece] = [PNG_START]
    exif_done = False
    for part in png_chunks(content):
        if part.name == b"eXIf" and not exif_done:
            kept, exif_done = kept_exif(content[part.content_start:part.end - 4]), True
            if kept:
                new.append(len(kept).to_bytes(4, "big") + b"eXIf" + kept + zlib.crc32(b"eXIf" + kept).to_bytes(4, "big"))
        elif part.name in _NEEDED_CHUNKS:
            new.append((part.start, part.end))
    return _put_together(content, new)


def _clean_webp(content: bytes) -> bytes:
    """The chunks that the px need, and a new EXIF chunk; the flags of the first chunk say what is there."""
    chunks: list[_Piece] = []
    has_exif = False
    for part in webp_chunks(content):
        if part.name == b"EXIF" and not has_exif:
            kept = kept_exif(_chunk_content(content, part))
            has_exif = bool(kept)
            if kept:
                chunks.append(b"EXIF" + len(kept).to_bytes(4, "little") + kept + bytes(len(kept) % 2))
        elif part.name in _NEEDED_WEBP:
            chunks.append((part.start, min(part.end, len(content))))
    first = bytes(_piece(content, chunks[0])) if chunks else b""
    if first[:4] == b"VP8X":
        flags = first[8] & ~_WEBP_HAS_XMP & (0xFF if has_exif else ~_WEBP_HAS_EXIF)
        chunks[0] = first[:8] + bytes((flags,)) + first[9:]
    length = 4 + sum(len(_piece(content, chunk)) for chunk in chunks)
    return _put_together(content, [b"RIFF" + length.to_bytes(4, "little") + b"WEBP", *chunks])


def _piece(content: bytes, piece: _Piece) -> memoryview:
    return memoryview(piece) if isinstance(piece, bytes) else memoryview(content)[piece[0]:piece[1]]


def _put_together(content: bytes, pieces: list[_Piece]) -> bytes:
    """The pieces one after the other; where they are the content as it stands, the content itself, and nothing is copied."""
    done = 0
    for piece in pieces:
        if not (content.startswith(piece, done) if isinstance(piece, bytes) else piece[0] == done):
            break
        done += len(_piece(content, piece))
    else:
        if done == len(content):
            return content
    return b"".join(_piece(content, piece) for piece in pieces)


def _chunk_content(content: bytes, part: Part) -> bytes:
    """A chunk's own bytes, without the one that makes its length even."""
    return content[part.content_start:part.content_start + int.from_bytes(content[part.content_start - 4:part.content_start], "little")]
