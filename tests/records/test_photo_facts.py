"""What an upload is, read from its header, and what is refused before a px is unpacked."""

import io
import struct
import tracemalloc
import zipfile
from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.records.placed_photos import exif, pixels, placed, png_chunk

from fairtank.errors import PhotoError
from fairtank.records.photo_facts import PhotoFacts, check_whole, facts_of

TAKEN = datetime(2026, 3, 5, 18, 30)


def plain(kind: str, **options) -> bytes:
    from PIL import Image

    target = io.BytesIO()
    Image.fromarray(pixels()).save(target, kind, **options)
    return target.getvalue()


@pytest.mark.parametrize(("kind", "called", "media", "extension"), [
    ("JPEG", "JPEG", "image/jpeg", ".jpg"), ("MPO", "JPEG", "image/jpeg", ".jpg"), ("PNG", "PNG", "image/png", ".png"),
    ("WEBP", "WebP", "image/webp", ".webp"),
])
def test_the_facts_of_a_photo_whatever_its_name_says(kind, called, media, extension):
    content = placed(kind)
    facts = facts_of(content, "image.heic")
    assert facts == PhotoFacts(called, len(content), 48, 64, 6, TAKEN, 120, True, kind == "MPO")
    assert (facts.media_type, facts.extension) == (media, extension)
    check_whole(content, "image.heic")


def test_a_heic_photo_counts_as_upright():
    content = placed("HEIC")
    assert facts_of(content, "a") == PhotoFacts("HEIC", len(content), 64, 48, 1, TAKEN, 120, True, False)


def test_a_photo_without_exif_has_neither_time_nor_place():
    content = plain("JPEG")
    assert facts_of(content, "a") == PhotoFacts("JPEG", len(content), 64, 48, 1, None, None, False, False)


@pytest.mark.parametrize(("written", "minutes"), [("-09:30", -570), ("+00:00", 0), ("Z", None), ("+2:00", None), ("   :  ", None)])
def test_the_offset_is_kept_apart_from_the_time(written, minutes):
    block = exif()
    block.get_ifd(0x8769)[0x9011] = written
    facts = facts_of(plain("JPEG", exif=block), "a")
    assert (facts.taken_at, facts.offset_minutes) == (TAKEN, minutes)


def test_a_position_in_xmp_alone_is_seen():
    told = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><exif:GPSLongitude>4,5.1W</exif:GPSLongitude></x:xmpmeta>'
    assert facts_of(plain("JPEG", xmp=told), "a").has_gps


@pytest.mark.parametrize(("content", "said"), [
    (b"", r"photo\.jpg is empty \(0 bytes\)"),
    (b"a list of fish\n" * 50, r"photo\.jpg holds no picture that is known here; accepted: a JPEG, PNG, WebP or HEIC photo"),
    (b"PK\x03\x04" + bytes(50), r"photo\.jpg holds a ZIP archive; accepted"),
    (b"<svg onload='x'>", r"photo\.jpg holds a web page or SVG drawing; accepted"),
    (b"\0\0\0\x18ftypisom" + bytes(50), r"photo\.jpg holds a video; accepted"),
    (b"\xff\xd8\xff\xda\0\0\xff\xd9", r"the header of photo\.jpg cannot be read; accepted"),
    (bytes(70_000_000), r"photo\.jpg has 70 MB; accepted: a photo of at most 60 MB\."),
], ids=["empty", "text", "zip", "svg", "film", "header", "long"])
def test_what_is_no_photo_is_refused_in_a_sentence(content, said):
    with pytest.raises(PhotoError, match=said):
        facts_of(content, "photo.jpg")


@pytest.mark.parametrize("kind", ["JPEG", "MPO", "PNG", "WEBP", "HEIC"])
def test_a_photo_that_was_cut_off_is_refused(kind):
    whole = placed(kind)
    whole = whole[:whole.rindex(b"\xff\xd9") + 2] if kind == "JPEG" else whole
    with pytest.raises(PhotoError, match="a is cut off before its end; accepted: a whole photo"):
        facts_of(whole[:len(whole) // 3], "a")


def test_a_photo_with_an_end_and_a_hole_in_the_middle_is_seen_by_the_full_check():
    png = placed("PNG")
    start = png.index(b"IDAT") + 4
    spoilt = png[:start + 200] + bytes(100) + png[start + 300:]
    assert facts_of(spoilt, "a.png").kind == "PNG"
    with pytest.raises(PhotoError, match=r"a\.png is damaged or cut off and cannot be decoded"):
        check_whole(spoilt, "a.png")


def test_two_formats_in_one_file_are_what_stands_first():
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("x.html", "<script>")
    assert facts_of(plain("JPEG") + archive.getvalue(), "a").media_type == "image/jpeg"
    assert facts_of(plain("PNG") + plain("JPEG"), "a").media_type == "image/png"
    with pytest.raises(PhotoError, match="holds a ZIP archive"):
        facts_of(archive.getvalue() + plain("JPEG"), "a")


def bomb(side: int, bits: int = 1) -> bytes:
    """A PNG that says it has side x side px."""
    header = struct.pack(">IIBBBBB", side, side, bits, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", header) + png_chunk(b"IDAT", b"\x78\x9c\x03\0\0\0\0\1") + png_chunk(b"IEND", b"")


@pytest.mark.parametrize(("side", "said"), [
    (20_000, r"20000 x 20000 px \(400 megapixels\); accepted: at most 120 megapixels"), (2**31 - 1, "megapixels"),
    (10_000, r"100 megapixels; accepted: up to 50\. Save it smaller"),
])
def test_a_picture_that_would_fill_the_memory_is_refused_unopened(side, said):
    facts_of(plain("PNG"), "a")  # so that the readers are there and only the bomb is measured
    tracemalloc.start()
    try:
        with pytest.raises(PhotoError, match=said):
            facts_of(bomb(side), "a")
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 2_000_000


def test_a_jpeg_that_claims_more_px_than_its_bytes_can_hold_is_refused():
    content = plain("JPEG")
    place = content.index(b"\xff\xc0") + 5
    with pytest.raises(PhotoError, match=r"a is damaged or cut off and cannot be decoded \(\d+ kB for 100 megapixels\)"):
        facts_of(content[:place] + struct.pack(">HH", 10_000, 10_000) + content[place + 4:], "a")


def test_a_damaged_exif_block_does_not_spoil_the_photo():
    for block in (b"Exif\0\0nonsense", b"Exif\0\0II*\0\xff\xff\xff\xff", b"Exif\0\0"):
        facts = facts_of(plain("JPEG", exif=block), "a")
        assert (facts.orientation, facts.taken_at, facts.has_gps) == (1, None, False)


def test_an_exif_block_whose_fields_all_claim_the_whole_of_it_fills_no_memory():
    tags = 5000
    block = b"II*\0" + struct.pack("<IH", 8, tags)
    block += b"".join(struct.pack("<HHII", 0x8000 + tag, 7, 60_000, 8) for tag in range(tags)) + bytes(4)
    content = plain("PNG", exif=b"Exif\0\0" + block)
    tracemalloc.start()
    try:
        assert facts_of(content, "a").taken_at is None
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 20_000_000


def test_a_hostile_name_stands_short_and_on_one_line():
    with pytest.raises(PhotoError) as error:
        facts_of(b"x", "a\n" * 500)
    assert "\n" not in str(error.value)
    assert len(str(error.value)) < 250


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.binary(max_size=200), st.sampled_from([b"II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08", b""]))
def test_any_bytes_as_exif_give_facts(junk, start):
    facts = facts_of(plain("JPEG", exif=b"Exif\0\0" + start + junk), "a")
    assert facts.orientation in range(1, 9)
    assert (facts.kind, {facts.width_px, facts.height_px}) == ("JPEG", {64, 48})


def outcome(content: bytes) -> str:
    """The size that was read, or the last letter of what was said instead."""
    try:
        return str(facts_of(content, "a").size_bytes)
    except PhotoError as error:
        return str(error)[-1]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.sampled_from(["JPEG", "PNG", "WEBP", "HEIC"]), st.integers(0, 10**6), st.binary(min_size=1, max_size=8))
def test_a_photo_damaged_anywhere_gives_facts_or_a_sentence(kind, place, junk):
    content = bytearray(HELD.setdefault(kind, placed(kind)))
    content[place % len(content):place % len(content) + len(junk)] = junk
    assert outcome(bytes(content)) in {str(len(content)), "."}


HELD: dict[str, bytes] = {}
