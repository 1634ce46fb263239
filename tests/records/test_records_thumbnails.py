"""Small pictures are upright, in sRGB, without EXIF, and can be thrown away at any time."""

import io
import threading

import numpy as np
import pytest
from tests.records.placed_photos import placed

from fairtank.errors import InputError, PhotoError
from fairtank.records import thumbnails
from fairtank.records.thumbnails import LONG_SIDES_PX, SmallPictures, small_picture, small_picture_of_file

SHA = "ab" * 32
MEANT = (200, 40, 30)


def photo(kind: str = "JPEG", size: tuple[int, int] = (1200, 900), **options) -> bytes:
    """A photo whose upper left quarter is red and the rest grey."""
    from PIL import Image

    picture = Image.new("RGB", size, (128, 128, 128))
    picture.paste(MEANT, (0, 0, size[0] // 2, size[1] // 2))
    target = io.BytesIO()
    picture.save(target, kind, **options)
    return target.getvalue()


def opened(content: bytes):
    from PIL import Image

    return Image.open(io.BytesIO(content))


@pytest.fixture
def kept(tmp_path):
    path = tmp_path / "photo"
    path.write_bytes(photo())
    return SmallPictures(tmp_path / "derived"), path


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(("size", "long_side_px", "expected"), [
    ((1200, 900), 320, (320, 240)), ((900, 1200), 320, (240, 320)), ((2000, 1500), 1600, (1600, 1200)), ((200, 100), 320, (200, 100)),
    ((1601, 8), 320, (320, 2)),
])
def test_the_long_side_is_what_was_asked_for_and_never_more_than_there_is(kind, size, long_side_px, expected):
    small = opened(small_picture(photo(kind, size), "a", long_side_px))
    assert (small.size, small.format, small.mode) == (expected, "JPEG", "RGB")


@pytest.mark.parametrize(("orientation", "corner"), [(1, (10, 10)), (3, (-10, -10)), (6, (10, -10)), (8, (-10, 10))])
def test_a_small_picture_is_upright(orientation, corner):
    # corner: (row, column) at which the red quarter lies once the camera's turn is undone.
    from PIL import Image

    turned = Image.Exif()
    turned[0x0112] = orientation
    small = np.asarray(opened(small_picture(photo(exif=turned), "a", 320))).astype(int)
    assert small.shape == ((320, 240, 3) if orientation in (6, 8) else (240, 320, 3))
    assert abs(small[corner] - MEANT).max() < 6
    assert abs(small[-corner[0], -corner[1]] - 128).max() < 6


@pytest.mark.parametrize("kind", ["JPEG", "MPO", "PNG", "WEBP", "HEIC"])
def test_a_small_picture_carries_no_place_and_no_exif(kind):
    small = small_picture(placed(kind), "a", 320)
    assert b"SEAMARK" not in small
    assert b"Exif" not in small
    assert set(opened(small).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi"}


def test_colours_of_another_profile_come_out_in_srgb():
    from PIL import ImageCms

    # L*a*b* would be another model; a grey of a linear-light profile is the plainest case: 128 of 255 in linear light is 188 in sRGB.
    linear = linear_profile(ImageCms)
    small = np.asarray(opened(small_picture(photo("PNG", icc_profile=linear), "a", 320))).astype(int)
    assert abs(small[-10, -10] - 188).max() <= 2


def linear_profile(image_cms) -> bytes:
    """The sRGB profile with its curves replaced by straight ones, byte for byte in place."""
    import struct

    profile = bytearray(image_cms.ImageCmsProfile(image_cms.createProfile("sRGB")).tobytes())
    for number in range(struct.unpack(">I", profile[128:132])[0]):
        name, start, size = struct.unpack(">4sII", profile[132 + 12 * number:144 + 12 * number])
        if name in (b"rTRC", b"gTRC", b"bTRC"):
            profile[start:start + size] = (b"curv" + bytes(8)).ljust(size, b"\0")
        if name == b"desc":
            profile[start:start + size] = bytes(profile[start:start + size]).replace(b"s\0R\0G\0B", b"x\0x\0x\0x")
    return bytes(profile)


def test_a_small_picture_is_kept_and_made_again_when_it_was_thrown_away(kept, monkeypatch):
    pictures, path = kept
    made = pictures.of(SHA, path, 320)
    assert made == pictures.path_of(SHA, 320)
    first = made.read_bytes()
    path.unlink()
    assert pictures.of(SHA, path, 320).read_bytes() == first, "what is there is not made again"
    path.write_bytes(photo())
    pictures.forget(SHA)
    assert not made.exists()
    assert pictures.of(SHA, path, 320).read_bytes() == first
    assert [each.name for each in made.parent.iterdir()] == [f"{SHA}.jpg"]
    monkeypatch.setattr(thumbnails, "WAY", "2")
    assert pictures.of(SHA, path, 320) != made, "another way of making has a folder of its own"
    pictures.clear()
    assert list(pictures.root.iterdir()) == []


def test_a_small_picture_that_was_being_written_when_the_power_went_is_made_again(kept):
    pictures, path = kept
    made = pictures.of(SHA, path, 320)
    made.write_bytes(b"")
    assert opened(pictures.of(SHA, path, 320).read_bytes()).size == (320, 240)


def test_several_who_ask_at_once_all_get_a_whole_picture(kept):
    pictures, path = kept
    together, got = threading.Barrier(6), []

    def ask():
        together.wait()
        got.append(pictures.of(SHA, path, 320).read_bytes())

    asking = [threading.Thread(target=ask) for _ in range(6)]
    for thread in asking:
        thread.start()
    for thread in asking:
        thread.join()
    assert len(got) == 6
    assert len(set(got)) == 1
    assert opened(got[0]).size == (320, 240)


def test_only_the_two_sizes_are_kept(kept):
    pictures, path = kept
    assert LONG_SIDES_PX == (320, 1600)
    with pytest.raises(InputError, match="the long side of a small picture is 500; accepted: 320 px or 1600 px"):
        pictures.of(SHA, path, 500)


def test_a_file_that_is_no_photo_is_told_so_and_nothing_is_kept(kept):
    pictures, path = kept
    path.write_bytes(b"\xff\xd8\xff nothing")
    with pytest.raises(PhotoError, match="this photo is no readable JPEG, PNG, WebP or HEIC photo"):
        pictures.of(SHA, path, 320)
    assert not pictures.root.exists()
    with pytest.raises(PhotoError, match="gone cannot be read"):
        small_picture_of_file(path.with_name("gone"))


def test_a_file_that_is_far_too_long_is_not_read(tmp_path):
    long = tmp_path / "long.jpg"
    with long.open("wb") as file:
        file.truncate(70_000_000)
    with pytest.raises(PhotoError, match=r"long\.jpg has 70 MB; accepted: a photo of at most 60 MB"):
        small_picture_of_file(long)


def test_the_small_picture_of_a_file_follows_the_file(tmp_path):
    path = tmp_path / "a.jpg"
    path.write_bytes(photo())
    first = small_picture_of_file(path)
    assert small_picture_of_file(path) is first
    path.write_bytes(photo(size=(600, 900)))
    assert opened(small_picture_of_file(path)).size == (213, 320)
