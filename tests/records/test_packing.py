"""What is kept of prepared photos and views comes back bit for bit, and nothing but our own dataclasses is ever made of it."""

import dataclasses
import json

import numpy as np
import pytest
from tests.vision.pictures import loaded, tank_picture, view

from checking import every
from fairtank.records.packing import packed, unpacked
from fairtank.records.store import prepared_bytes, prepared_of
from fairtank.vision.keeping import as_kept
from fairtank.vision.prepare import PreparedPhoto, prepared_photo
from fairtank.vision.quality.evidence import Evidence
from fairtank.vision.spots import SpotNote
from fairtank.vision.view import View


def through(value):
    return unpacked(json.loads(json.dumps(packed(value))))


def same(one, other) -> bool:
    """Whether two values are alike in every bit, dataclasses and arrays included."""
    if dataclasses.is_dataclass(one):
        names = [part.name for part in dataclasses.fields(one)]
        return type(one) is type(other) and all(same(getattr(one, name), getattr(other, name)) for name in names)
    if isinstance(one, np.ndarray):
        return one.dtype == other.dtype and one.shape == other.shape and one.tobytes() == other.tobytes()
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return one == other and isinstance(other, type(one) if not isinstance(one, np.generic) else object)


@every("value", [
    None, True, 0.1 + 0.2, float("inf"), -0.0, "Schärfe µ", (1, (2.5, None)), {"a": (1,)}, np.float64(0.1), np.zeros((0, 2), np.float32),
    np.arange(6, dtype=">i2").reshape(2, 3), np.array([True, False]), SpotNote(np.ones((1, 2)), np.ones(1), np.eye(2, dtype=bool), 0.25),
])  # fmt: skip
def test_a_value_comes_back_bit_for_bit(value):
    assert same(value, through(value))


def test_a_view_and_a_prepared_photo_come_back_bit_for_bit():
    picture = tank_picture()
    made = view(picture)
    assert same(made, through(made))
    prepared = prepared_photo(loaded(picture), made)
    assert same(as_kept(prepared), prepared_of(prepared_bytes(prepared)))


def test_a_photo_that_could_not_be_placed_is_kept_with_its_reason():
    lost = PreparedPhoto(Evidence("registered", failure="The tank was not found again."))
    assert same(lost, prepared_of(prepared_bytes(lost)))


def test_cut_or_changed_bytes_give_nothing():
    content = prepared_bytes(prepared_photo(loaded(tank_picture()), view(tank_picture())))
    for place in (0, 1, 200, len(content) // 2, len(content) - 1):
        assert prepared_of(content[:place]) is None, place
    spoilt = bytearray(content)
    spoilt[-300] ^= 255
    assert prepared_of(bytes(spoilt)) is None
    assert prepared_of(b"\x80\x04 no text\n") is None


@pytest.mark.parametrize("content", [
    {"made": "os:system", "of": {}}, {"made": "fairtank.vision.load:load_photo", "of": {}},
    {"made": "fairtank.records.store:Store", "of": {}},
    {"made": "fairtank.vision.none:View", "of": {}}, {"other": 1}, [1], {"made": "fairtank.vision.spots:SpotNote", "of": {"places": None}},
])  # fmt: skip
def test_nothing_else_is_made_of_what_lies_there(content):
    with pytest.raises(ValueError, match=r"not|another version"):
        unpacked(content)


def test_what_cannot_be_kept_is_refused_when_it_is_written():
    with pytest.raises(TypeError, match="cannot be kept"):
        packed(View)
    with pytest.raises(TypeError, match="a set cannot be kept"):
        packed({1})


def test_an_array_unfolds_to_no_more_than_the_size_it_tells():
    import base64
    import zlib

    zeros = base64.b64encode(zlib.compress(bytes(1 << 20))).decode()
    for kind, shape in (("|u1", [16]), ("|u1", [1 << 29]), ("|u1", [-1]), ("|O", [16])):
        with pytest.raises(ValueError, match=r"not an array|buffer|reshape"):
            unpacked({"array": [kind, shape, zeros]})
    assert unpacked({"array": ["|u1", [1 << 20], zeros]}).nbytes == 1 << 20
