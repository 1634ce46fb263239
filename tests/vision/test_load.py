"""Any photo becomes upright sRGB px at analysis scale, or a sentence."""

import io
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps
from tests.vision.pictures import encoded, tank_picture, turned

from fairtank.errors import PhotoError
from fairtank.vision.load import LONG_SIDE_PX, decoded_photo, load_photo

PICTURE = tank_picture()


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_photo_comes_out_upright_whatever_its_exif_orientation(orientation):
    photo = decoded_photo(turned(PICTURE, orientation), "turned.png")
    assert np.array_equal(photo.pixels, PICTURE)
    assert (photo.full_width_px, photo.full_height_px) == (1000, 750)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientations_agree_with_those_of_the_image_library(orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    content = encoded(PICTURE[:100, :160], exif=exif.tobytes())
    expected = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(content))))
    assert np.array_equal(decoded_photo(content, "x.png").pixels, expected)


def test_a_large_jpeg_is_decoded_at_half_size():
    photo = decoded_photo(encoded(np.tile(PICTURE, (4, 4, 1)), "JPEG", quality=90), "large.jpg")
    assert photo.pixels.shape == (1500, 2000, 3)
    assert (photo.full_width_px, photo.scale) == (4000, 0.5)
    assert max(photo.pixels.shape) >= LONG_SIDE_PX


def test_a_large_png_is_shrunk_to_the_same_scale_as_a_jpeg():
    photo = decoded_photo(encoded(np.tile(PICTURE, (4, 4, 1))), "large.png")
    assert photo.pixels.shape == (1500, 2000, 3)


@pytest.mark.parametrize("kind", ["WEBP", "PNG", "JPEG"])
def test_formats_are_told_by_content_not_by_name(kind):
    assert decoded_photo(encoded(PICTURE, kind), "misnamed.txt").pixels.shape == PICTURE.shape


def test_a_heic_photo_is_read_upright():
    photo = load_photo(Path(__file__).parent / "small.heic")
    assert photo.pixels.shape == (48, 64, 3)
    assert photo.pixels[:24].mean() > 180 > 60 > photo.pixels[24:].mean()


def test_wide_gamut_colours_are_brought_to_srgb():
    """A profile with swapped red and green primaries must swap the channels of a photo that carries it."""
    swapped = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    content = bytearray(swapped)
    red, green = content.index(b"rXYZ"), content.index(b"gXYZ")
    content[red : red + 4], content[green : green + 4] = b"gXYZ", b"rXYZ"
    name = "sRGB built-in".encode("utf-16-be")
    place = content.index(name)
    content[place : place + len(name)] = "test profile.".encode("utf-16-be")
    picture = np.full((40, 40, 3), (200, 40, 40), np.uint8)
    mean = decoded_photo(encoded(picture, icc_profile=bytes(content)), "wide.png").pixels.reshape(-1, 3).mean(0)
    assert mean[1] > 180 > 60 > mean[0]


def test_sixteen_bit_grey_is_scaled_not_clipped():
    grey = Image.fromarray(np.full((20, 20), 128 * 257, np.uint16))
    out = io.BytesIO()
    grey.save(out, "PNG")
    assert decoded_photo(out.getvalue(), "grey.png").pixels[0, 0].tolist() == [128, 128, 128]


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is empty"),
        (b"this is no photo at all" * 20, "is no readable JPEG, PNG, WebP or HEIC photo"),
        (encoded(PICTURE, "JPEG")[:9000], "damaged or cut off"),
        (encoded(PICTURE)[:3000], "damaged or cut off"),
        (encoded(PICTURE, "GIF"), "is no readable"),
    ],
)
def test_what_cannot_be_decoded_is_refused_with_a_sentence(content, sentence):
    with pytest.raises(PhotoError, match=sentence):
        decoded_photo(content, "bad.jpg")


def test_a_photo_of_too_many_px_is_refused_before_it_is_decoded():
    header = encoded(np.zeros((10, 10, 3), np.uint8))
    bomb = bytearray(header)
    bomb[16:24] = (20_000).to_bytes(4, "big") + (20_000).to_bytes(4, "big")
    bomb[29:33] = zlib.crc32(bytes(bomb[12:29])).to_bytes(4, "big")
    with pytest.raises(PhotoError, match="400 megapixels; accepted: up to 50"):
        decoded_photo(bytes(bomb), "bomb.png")


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(PhotoError, match=r"gone\.jpg cannot be read"):
        load_photo(tmp_path / "gone.jpg")
