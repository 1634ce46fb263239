"""Px of a film: colours against an outside library, dashes, letters, and when two photos may fade into each other."""

from itertools import pairwise

import numpy as np
import pytest

from fairtank.publish.film import lettering
from fairtank.publish.film.colours import blended, moved_px, planes, put, yuv_of
from fairtank.publish.film.items import Dot, Fill, Photo, Rect, Stroke, Words
from fairtank.publish.film.likeness import may_fade, outlines
from fairtank.publish.film.paint import as_bytes, blank, dashed, paint


def tank(seed=1, shape=(120, 150)):
    """Something with many outlines."""
    import cv2

    rng = np.random.default_rng(seed)
    picture = np.full((*shape, 3), 150, np.uint8)
    for _ in range(60):
        at = (int(rng.integers(shape[1])), int(rng.integers(shape[0])))
        cv2.circle(picture, at, int(rng.integers(3, 12)), tuple(int(part) for part in rng.integers(0, 255, 3)), -1)
    return picture


def test_colours_are_those_of_bt709_in_its_narrow_range():
    import av

    for rgb in ((0, 0, 0), (255, 255, 255), (255, 0, 0), (0, 255, 0), (0, 0, 255), (34, 34, 30), (251, 250, 246), (12, 200, 99)):
        wall = np.full((16, 16, 3), rgb, np.uint8)
        frame = av.VideoFrame.from_ndarray(wall, format="rgb24")
        theirs = frame.reformat(format="yuv420p", dst_colorspace="ITU709", dst_color_range="MPEG")
        ours, expected = planes(yuv_of(wall)), planes(theirs.to_ndarray())
        assert [int(plane[4, 4]) for plane in ours] == pytest.approx([int(plane[4, 4]) for plane in expected], abs=1), rgb


def test_a_blend_changes_its_places_only_and_ends_between_both():
    one, two = yuv_of(np.zeros((8, 8, 3), np.uint8)), yuv_of(np.full((8, 8, 3), 255, np.uint8))
    mixed = blended(one, two, 0.5, ((0, 0, 4, 8),))
    luma = planes(mixed)[0]
    assert set(luma[:, 4:].ravel()) == {16}
    assert set(luma[:, :4].ravel()) == {126}
    assert planes(one)[0].max() == 16, "the frame before is left as it was"


def test_photos_of_one_tank_fade_and_a_moved_or_another_one_is_cut():
    grown = tank()
    grown[60:70, 70:80] = (40, 160, 60)
    before = outlines(tank())
    assert may_fade(before, outlines(grown))
    assert may_fade(before, outlines(np.clip(tank() * 0.85, 0, 255).astype(np.uint8))), "less light is no other place"
    assert not may_fade(before, outlines(np.roll(tank(), 3, axis=0)))
    assert not may_fade(before, outlines(tank(seed=9)))


def test_what_moved_is_never_seen_at_two_places_at_once():
    """A fish swims on: in every frame between, each px of it is the one picture's or the other's."""
    one, two = np.full((40, 60, 3), 150, np.uint8), np.full((40, 60, 3), 158, np.uint8)
    one[10:18, 6:20], two[10:18, 36:50] = 20, 20
    before, after, place = yuv_of(one), yuv_of(two), ((0, 0, 60, 40),)
    masks = moved_px(before, after, place)
    for share, shown in ((0.3, before), (0.7, after)):
        mixed = blended(before, after, share, place)
        put(mixed, shown, place, masks)
        luma = planes(mixed)[0]
        assert np.array_equal(luma[10:18, 6:20], planes(shown)[0][10:18, 6:20])
        assert np.array_equal(luma[10:18, 36:50], planes(shown)[0][10:18, 36:50])
        assert planes(before)[0][35, 50] < luma[35, 50] < planes(after)[0][35, 50], "the water fades"


def test_dashes_leave_gaps_of_their_length_and_a_longer_line_begins_alike():
    line = [(0.0, 0.0), (7.0, 0.0), (7.0, 30.0)]
    parts = dashed(line, (6, 3))
    lengths = [sum(np.hypot(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise(part)) for part in parts]
    assert lengths == pytest.approx([6, 6, 6, 6, 1])
    assert dashed([*line, (40.0, 30.0)], (6, 3))[:4] == parts[:4]
    assert dashed(line, (1, 0)) == [line]


def test_lines_of_words_fit_and_lose_nothing():
    text = "Algae cover of 7.8\u00a0% under one 8 h block would be 5.9\u00a0% (3.3 to 10.2\u00a0%) " + "x" * 90
    lines = lettering.wrapped(text, 200, 20)
    assert all(lettering.width_px(line, 20) <= 200 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert any("7.8\u00a0%" in line for line in lines)
    assert lettering.width_px(lettering.fitted(text, 100, 20), 20) <= 100


def test_what_is_painted_over_the_edge_is_cut_and_does_no_harm():
    picture = blank((40, 30))
    paint(picture, [Words("wide words", 30, 20, 14), Words("left", -10, -4, 14), Fill(Rect(-5, -5, 10, 10), (1, 2, 3)),
                    Stroke(((-9.0, 5.0), (90.0, 5.0)), (9, 9, 9), 2), Dot(39.0, 29.0, 4, (0, 0, 0)),
                    Photo("T1", 0, Rect(10, 10, 8, 8))], lambda unit, day, width, height: np.full((height, width, 3), 77, np.uint8))
    assert picture.shape == (30, 40, 3)
    assert (picture[10:18, 10:18] == 77).all()
    assert (picture[:2, :2] == (1, 2, 3)).all()


@pytest.mark.parametrize(("form", "begins"), [("JPEG", b"\xff\xd8"), ("WEBP", b"RIFF")])
def test_a_still_is_a_picture_that_tells_nothing_of_its_making(form, begins):
    content = as_bytes(tank(), form)
    assert content.startswith(begins)
    assert b"Exif" not in content
    assert content == as_bytes(tank(), form)
