"""Colour profiles: one scene, stored in several colour spaces, loads as the same sRGB numbers.

The profiles are written here byte by byte (ICC.1:2010, matrix and curve profiles) from primaries and white points that colour-science
carries, and the scene is brought into each space with the same library, so that nothing of ours makes what is tested.
"""

import struct
import warnings

import numpy as np
import pytest
from PIL import ImageCms
from tests.vision.pictures import encoded

from fairtank.vision.load import decoded_photo

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

D50 = np.array([0.9642, 1.0, 0.8249])


def scene(seed: int = 4) -> np.ndarray:
    """Smooth colours of a tank, none of them outside any of the spaces: 64 x 96 px, uint8 sRGB."""
    import cv2

    coarse = np.random.default_rng(seed).integers(30, 225, (6, 9, 3)).astype(np.uint8)
    return cv2.resize(coarse, (96, 64), interpolation=cv2.INTER_CUBIC)


def s15(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def icc(space: bytes, tags: dict[bytes, bytes]) -> bytes:
    """A version 2 profile of a display: header of 128 bytes, table of tags, tags at multiples of 4."""
    place, table, body = 128 + 4 + 12 * len(tags), b"", b""
    for key, content in tags.items():
        table += struct.pack(">4sII", key, place + len(body), len(content))
        body += content + b"\0" * (-len(content) % 4)
    size = place + len(body)
    header = struct.pack(">I4sI4s4s4s", size, b"none", 0x02400000, b"mntr", space, b"XYZ ") + struct.pack(">6H", 2026, 3, 1, 0, 0, 0)
    header += b"acsp" + b"\0" * 28 + b"".join(map(s15, D50)) + b"\0" * 48
    return header + struct.pack(">I", len(tags)) + table + body


def curve(decode) -> bytes:
    """A curve of 1024 entries from a function of stored value to linear light."""
    points = np.round(65535 * decode(np.linspace(0, 1, 1024))).astype(">u2")
    return b"curv" + b"\0" * 4 + struct.pack(">I", 1024) + points.tobytes()


def xyz(values: np.ndarray) -> bytes:
    return b"XYZ " + b"\0" * 4 + b"".join(map(s15, values))


def named(text: bytes) -> bytes:
    return b"desc" + b"\0" * 4 + struct.pack(">I", len(text) + 1) + text + b"\0" + b"\0" * (4 + 4 + 2 + 1 + 67)


def rgb_profile(space, decode) -> bytes:
    """The profile of a three-channel space; its primaries adapted from its white to D50 (Bradford), as the format wants it."""
    white = colour.xy_to_XYZ(space.whitepoint)
    adapted = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, D50, transform="Bradford") @ space.matrix_RGB_to_XYZ
    shared = curve(decode)
    return icc(b"RGB ", {b"desc": named(b"wide"), b"wtpt": xyz(D50), b"rXYZ": xyz(adapted[:, 0]), b"gXYZ": xyz(adapted[:, 1]),
                         b"bXYZ": xyz(adapted[:, 2]), b"rTRC": shared, b"gTRC": shared, b"bTRC": shared, b"cprt": b"text\0\0\0\0none\0"})


SPACES = {
    "display P3": ("Display P3", colour.models.eotf_sRGB, colour.models.eotf_inverse_sRGB),
    "wide gamut of gamma 2.2": ("Adobe RGB (1998)", lambda v: v ** (563 / 256), lambda v: v ** (256 / 563)),
    "sRGB primaries of gamma 1.8": ("sRGB", lambda v: v**1.8, lambda v: v ** (1 / 1.8)),
}


def stored_in(name: str) -> tuple[np.ndarray, bytes]:
    """The scene as a camera of that space stores it, and the space's profile."""
    key, decode, encode = SPACES[name]
    space, linear = colour.RGB_COLOURSPACES[key], colour.models.eotf_sRGB(scene() / 255)
    other = colour.RGB_to_RGB(linear, "sRGB", space, chromatic_adaptation_transform="Bradford")
    return np.round(255 * encode(np.clip(other, 0, 1))).astype(np.uint8), rgb_profile(space, decode)


def brought_back(space: str, pixels: np.ndarray) -> np.ndarray:
    """What the stored px are in sRGB, by the library and unrounded."""
    key, decode, _ = SPACES[space]
    linear = colour.RGB_to_RGB(decode(pixels / 255), colour.RGB_COLOURSPACES[key], "sRGB", chromatic_adaptation_transform="Bradford")
    return 255 * colour.models.eotf_inverse_sRGB(np.clip(linear, 0, 1))


@pytest.mark.parametrize("space", SPACES)
@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_one_scene_gives_the_same_numbers_from_every_colour_space(space, kind):
    pixels, profile = stored_in(space)
    options = {"lossless": True} if kind == "WEBP" else {}
    loaded = decoded_photo(encoded(pixels, kind, icc_profile=profile, **options), "photo").pixels
    assert np.abs(loaded - brought_back(space, pixels)).max() < 1
    # Eight bits of a wider space are coarser steps in sRGB: a few px cannot come nearer, however they are brought back.
    assert np.mean(np.abs(loaded.astype(int) - scene()) <= 1) > 0.98
    assert np.abs(loaded.mean((0, 1)) - scene().mean((0, 1))).max() < 0.3


def test_without_its_profile_the_same_file_would_be_off_by_far_more():
    pixels, _ = stored_in("display P3")
    assert np.abs(decoded_photo(encoded(pixels), "photo").pixels.astype(int) - scene()).max() > 10


def test_a_large_jpeg_is_brought_to_srgb_after_it_was_decoded_at_half_its_size():
    pixels, profile = stored_in("display P3")
    large = np.kron(pixels, np.ones((38, 38, 1), np.uint8))
    loaded = decoded_photo(encoded(large, "JPEG", quality=97, icc_profile=profile), "photo")
    assert loaded.scale == 0.5
    middles = loaded.pixels[9::19, 9::19].astype(int)
    off = np.abs(middles - scene())
    assert np.mean(off <= 2) > 0.98  # JPEG itself rounds its px by one or two
    assert np.abs(middles.mean((0, 1)) - scene().mean((0, 1))).max() < 0.5


def test_a_profile_that_calls_itself_srgb_changes_nothing():
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert np.array_equal(decoded_photo(encoded(scene(), icc_profile=profile), "photo").pixels, scene())
