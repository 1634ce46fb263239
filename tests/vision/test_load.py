"""Any photo becomes upright sRGB px at analysis scale, or a sentence."""

import importlib
import io
import sys
import time
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps
from tests.vision.pictures import encoded, tank_picture, turned

from fairtank.errors import PhotoError
from fairtank.vision.framing.camera import PHONE_FOCAL_PX
from fairtank.vision.load import LONG_SIDE_PX, LoadedPhoto, decoded_photo, load_photo
from fairtank.vision.prepare import _noted_focal_px

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


def test_a_cmyk_photo_is_decoded_at_half_size_too():
    out = io.BytesIO()
    Image.fromarray(np.tile(PICTURE, (4, 4, 1))).convert("CMYK").save(out, "JPEG", quality=80)
    photo = decoded_photo(out.getvalue(), "cmyk.jpg")
    assert (photo.pixels.shape, photo.full_width_px) == ((1500, 2000, 3), 4000)


def test_a_few_bytes_that_claim_a_huge_jpeg_are_refused_before_they_are_decoded():
    small = bytearray(encoded(np.zeros((16, 16, 3), np.uint8), "JPEG"))
    place = small.index(b"\xff\xc0")
    small[place + 5 : place + 9] = (10_000).to_bytes(2, "big") + (11_000).to_bytes(2, "big")
    with pytest.raises(PhotoError, match=r"damaged or cut off and cannot be decoded \(.* for 110 megapixels\)"):
        decoded_photo(bytes(small), "claims.jpg")


def test_a_plain_grey_photo_of_many_px_is_no_claim():
    assert decoded_photo(encoded(np.full((3000, 4000, 3), 128, np.uint8), "JPEG"), "grey.jpg").pixels.shape == (1500, 2000, 3)


def test_a_sentence_about_a_damaged_photo_speaks_of_the_photo_only():
    """What a decoder says of its own insides (names with underscores, objects in angle brackets) is left out."""
    said = [sentence for number in range(0, 200, 3) if (sentence := refusal(cases().case(5, number)[1]))]
    assert len(said) > 20
    for sentence in said:
        assert sentence.startswith("photo.jpg ")
        assert sentence.endswith(".")
        assert not any(sign in sentence for sign in "<>_"), sentence


def refusal(content: bytes) -> str:
    """What the loader says against a file; nothing when it gives px."""
    try:
        decoded_photo(content, "photo.jpg")
    except PhotoError as error:
        return str(error)
    return ""


def cases():
    """The spoilt files that the long run of the fuzz uses, too."""
    folder = str(Path(__file__).resolve().parents[2] / "benchmarks")
    if folder not in sys.path:
        sys.path.append(folder)
    return importlib.import_module("loader_cases")


def test_three_hundred_spoilt_files_of_every_format_give_px_or_a_sentence():
    """6,600 of them, in a process with a limit of memory and time, are in benchmarks/results/fuzz_loader.jsonl."""
    answers = {"px": 0, "sentence": 0}
    start = time.process_time()
    for number in range(300):
        name, content = cases().case(2, number)
        try:
            photo = decoded_photo(content, name)
            assert photo.pixels.dtype == np.uint8
            assert photo.pixels.shape[2] == 3
            answers["px"] += 1
        except PhotoError:
            answers["sentence"] += 1
    assert min(answers.values()) > 50, "both must happen, else the files are spoilt too much or too little"
    assert time.process_time() - start < 30


@pytest.mark.parametrize(("noted", "expected"), [(26, 26.0), (0, None), (3, None), (None, None), ("wide", None)])
def test_the_focal_length_that_the_camera_noted_is_told_and_nonsense_is_not(noted, expected):
    exif = Image.Exif()
    if noted is not None:
        exif.get_ifd(0x8769)[0xA405 if not isinstance(noted, str) else 0x9286] = noted
    assert decoded_photo(encoded(PICTURE, "JPEG", exif=exif.tobytes()), "x.jpg").focal_35mm == expected


def test_a_noted_focal_length_counts_like_the_assumed_one_of_a_phone_and_twice_of_it_twice():
    one, two = (_noted_focal_px(LoadedPhoto(PICTURE, 4000, 3000, focal)) for focal in (26.0, 52.0))
    assert one == pytest.approx(PHONE_FOCAL_PX)
    assert two == pytest.approx(2 * one)
    assert _noted_focal_px(LoadedPhoto(PICTURE, 4000, 3000)) is None
