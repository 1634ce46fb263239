"""No place is left in a photo that was cleaned, and its px, time and orientation are as they were."""

import io
import struct

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.records.placed_photos import (
    LATITUDE,
    MARK,
    MEDIA,
    OFFSET,
    TAKEN,
    XMP,
    box,
    exif,
    heic,
    opened,
    pixels,
    placed,
    png_chunk,
    profile,
)

from fairtank.errors import InputError, PhotoError
from fairtank.records.gps import as_kept, without_place
from fairtank.records.photo_exif import kept_exif
from fairtank.records.photo_facts import facts_of

KINDS = ["JPEG", "MPO", "PNG", "WEBP", "HEIC"]
UNCLEAN = "The place cannot be taken out of this photo"


@pytest.fixture(scope="module")
def photos():
    """Each kind with a place, and the same cleaned."""
    made = {kind: placed(kind) for kind in KINDS}
    return {kind: (content, without_place(content, MEDIA[kind])) for kind, content in made.items()}


def holds_a_place(content: bytes) -> bool:
    return MARK in content or b"GPSL" in content or any(latitude in content for latitude in LATITUDE.values())


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_that_may_carry_a_place_is_left(photos, kind):
    before, after = photos[kind]
    assert holds_a_place(before)
    assert not holds_a_place(after)
    block = opened(after).getexif()
    assert dict(block.get_ifd(0x8825)) == {}
    assert not {0x927C, 0x9286}.intersection(block.get_ifd(0x8769))
    assert facts_of(before, "a").has_gps
    assert not facts_of(after, "a").has_gps


@pytest.mark.parametrize("kind", KINDS)
def test_px_time_orientation_lens_and_colour_profile_stay(photos, kind):
    before, after = (opened(content) for content in photos[kind])
    assert np.array_equal(np.asarray(before), np.asarray(after))
    old, new = before.getexif(), after.getexif()
    camera = new.get_ifd(0x8769)
    assert (camera[0x9003], camera[0x9011], camera[0xA405]) == (TAKEN, OFFSET, 26)
    assert camera[0x829A] == old.get_ifd(0x8769)[0x829A]
    assert (new[0x0112], new[0x010F]) == (old[0x0112], "Invented")
    if kind != "HEIC":
        assert new[0x0112] == 6
        assert after.info["icc_profile"] == profile()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_another_reader_turns_the_cleaned_photo_as_it_turned_the_first(photos, kind):
    # OpenCV reads the EXIF block with a reader of its own, and turns by what it finds there.
    turned = [cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR) for content in photos[kind]]
    assert turned[0].shape == (64, 48, 3)
    assert np.array_equal(*turned)


def test_a_damaged_place_does_not_keep_a_photo_from_being_cleaned(photos):
    before, after = photos["JPEG"]
    start = before.index(b"Exif\0\0") + 6
    pointer = before.index(struct.pack("<HHI" if before[start:start + 1] == b"I" else ">HHI", 0x8825, 4, 1), start) + 8
    assert without_place(before[:pointer] + b"\xff\xff\xff\xf0" + before[pointer + 4:], "image/jpeg") == after


@pytest.mark.parametrize("kind", KINDS)
def test_a_cleaned_photo_stays_byte_for_byte(photos, kind):
    after = photos[kind][1]
    assert without_place(after, MEDIA[kind]) is after


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_of_px_and_profile_alone_stays_byte_for_byte(kind):
    from PIL import Image

    target = io.BytesIO()
    Image.fromarray(pixels()).save(target, kind, icc_profile=profile())
    content = target.getvalue()
    assert without_place(content, MEDIA[kind]) is content, "and nothing of it was copied"


def test_every_byte_of_the_packed_px_of_a_jpeg_stays(photos):
    before, after = photos["JPEG"]
    start, cleaned_start = before.rindex(b"\xff\xda"), after.rindex(b"\xff\xda")
    assert after[cleaned_start:] == before[start:before.rindex(b"\xff\xd9") + 2]


def test_a_multi_picture_jpeg_keeps_its_first_picture_alone(photos):
    before, after = photos["MPO"]
    assert (opened(before).n_frames, opened(before).format) == (2, "MPO")
    assert opened(after).format == "JPEG"
    assert facts_of(before, "a").has_more_pictures
    assert not facts_of(after, "a").has_more_pictures


def test_a_progressive_jpeg_keeps_its_scans():
    before = placed("JPEG", progressive=True)
    after = without_place(before, "image/jpeg")
    assert before.count(b"\xff\xda") == after.count(b"\xff\xda") > 3
    assert np.array_equal(np.asarray(opened(before)), np.asarray(opened(after)))


def test_a_jpeg_of_four_inks_keeps_its_colours():
    from PIL import Image

    target = io.BytesIO()
    Image.fromarray(np.random.default_rng(3).integers(0, 256, (48, 64, 4), dtype=np.uint8), "CMYK").save(target, "JPEG", exif=exif())
    after = without_place(target.getvalue(), "image/jpeg")
    assert b"Adobe" in after
    assert np.array_equal(np.asarray(opened(after)), np.asarray(opened(target.getvalue())))


def test_a_heic_file_keeps_its_length_and_its_px(photos):
    before, after = photos["HEIC"]
    assert len(before) == len(after)
    start = before.index(b"mdat") + 4
    assert before[:start + 0x55] == after[:start + 0x55]


def test_texts_films_and_notes_of_a_heic_file_are_written_over():
    noted = heic(XMP, b"mime") + box(b"uuid", bytes(16) + MARK) + box(b"mpvd", MARK)
    after = without_place(noted, "image/heic")
    assert len(after) == len(noted)
    assert not holds_a_place(after)
    assert np.array_equal(np.asarray(opened(after)), np.asarray(opened(noted)))


@pytest.mark.parametrize("order", ["<", ">"])
def test_both_byte_orders_are_kept_as_they_stand(order):
    entries = [(0x0112, 3, 1, struct.pack(order + "HH", 3, 0)), (0x0132, 2, 20, struct.pack(order + "I", 50)), (0x8825, 4, 1, bytes(4))]
    block = {"<": b"II*\0", ">": b"MM\0*"}[order] + struct.pack(order + "IH", 8, 3)
    block += b"".join(struct.pack(order + "HHI", *entry[:3]) + entry[3] for entry in entries) + bytes(4) + TAKEN.encode() + b"\0" + MARK
    new = kept_exif(block)
    assert (new[:4], len(new)) == (block[:4], 8 + 2 + 2 * 12 + 4 + 20)
    assert new.endswith(TAKEN.encode() + b"\0")
    assert kept_exif(new) == new


def test_the_keeper_may_keep_the_place(photos):
    before, after = photos["JPEG"]
    assert as_kept(before, "image/jpeg", keep_place=True) is before
    assert as_kept(before, "image/jpeg") == after


def test_a_wrong_media_type_is_refused(photos):
    with pytest.raises(InputError, match="the media type of the photo is 'image/png'; accepted: image/jpeg"):
        without_place(photos["JPEG"][0], "image/png")
    with pytest.raises(InputError, match="accepted: image/jpeg, image/png, image/webp, image/heic"):
        without_place(b"GIF89a", "image/gif")


@pytest.mark.parametrize("spoilt", [
    lambda c: c[:2] + b"\xff\xe1\xff\xff" + c[2:200],  # a segment that runs over the end
    lambda c: c[:20] + b"\0\0" + c[20:],  # no marker where one should be
    lambda c: c[:c.rindex(b"\xff\xda") + 200],  # no end
])
def test_a_jpeg_whose_parts_cannot_be_told_apart_is_not_handed_out(spoilt):
    with pytest.raises(PhotoError, match=UNCLEAN):
        without_place(spoilt(placed("JPEG").removesuffix(b"film behind it " + MARK)), "image/jpeg")


def test_a_heic_file_whose_exif_lies_outside_is_not_handed_out():
    content = heic(exif(1).tobytes())
    known = struct.pack(">IH", 649, 1)  # where its list of places says that the block lies: behind the small file
    assert content.count(known) == 1
    with pytest.raises(PhotoError, match=UNCLEAN):
        without_place(content.replace(known, struct.pack(">IH", 0x7FFFFFFF, 1)), "image/heic")


def test_a_file_of_nothing_but_tiny_parts_is_given_up_soon():
    jpeg, png = placed("JPEG"), placed("PNG")
    for content, media in ((jpeg[:2] + b"\xff\xfe\0\2" * 100_001 + jpeg[2:], "image/jpeg"),
                           (png[:33] + png_chunk(b"teXt", b"") * 100_001 + png[33:], "image/png")):
        with pytest.raises(PhotoError, match=UNCLEAN):
            without_place(content, media)


def test_fields_of_hostile_size_are_left_out_without_filling_the_memory():
    entry = struct.pack("<HHII", 0x010F, 2, 0xFFFFFFF0, 8) + struct.pack("<HHII", 0x0112, 3, 1, 6)
    many = b"II*\0" + struct.pack("<IH", 8, 2) + entry + bytes(4)
    assert kept_exif(many) == b"II*\0" + struct.pack("<IH", 8, 1) + struct.pack("<HHII", 0x0112, 3, 1, 6) + bytes(4)
    loop = b"II*\0" + struct.pack("<IH", 8, 1) + struct.pack("<HHII", 0x8769, 4, 1, 8) + bytes(4)
    assert kept_exif(loop) == b""
    assert kept_exif(b"Exif\0\0II*\0\xff\xff\xff\xff") == b""


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.sampled_from([b"II*\0", b"MM\0*", b""]), st.binary(max_size=120), st.integers(0, 40))
def test_any_bytes_as_exif_give_a_block_that_is_not_longer_and_settled(start, body, place):
    order = "little" if start.startswith(b"I") else "big"
    block = start + place.to_bytes(4, order) + body
    new = kept_exif(block)
    assert kept_exif(new) == new
    from PIL import Image

    read = Image.Exif()
    read.load(new)
    assert dict(read.get_ifd(0x8825)) == {}


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.sampled_from(KINDS), st.integers(0, 10**6), st.binary(min_size=1, max_size=8))
def test_a_photo_damaged_anywhere_is_cleaned_or_refused(kind, place, junk):
    content = bytearray(HELD.setdefault(kind, placed(kind)))
    content[place % len(content):place % len(content) + len(junk)] = junk
    try:
        after = without_place(bytes(content), MEDIA[kind])
    except (PhotoError, InputError):
        return
    assert MARK not in after
    assert without_place(after, MEDIA[kind]) == after


HELD: dict[str, bytes] = {}


def test_a_png_with_a_second_exif_chunk_behind_the_px_keeps_the_first():
    content = placed("PNG")
    second = content.replace(png_chunk(b"IEND", b""), png_chunk(b"eXIf", exif(3).tobytes()[6:]) + png_chunk(b"IEND", b""))
    after = without_place(second, "image/png")
    assert after == without_place(content, "image/png")
