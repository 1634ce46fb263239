"""The card and the stickers in rendered photos: read where the renderer says they are, alike every day, nothing else changed."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from fairtank import card as layout
from fairtank.simulation import camera, render_photo, scenario
from fairtank.simulation.card import CARD_LEFT_CM, card_corners_cm, card_corners_in_photo
from fairtank.vision.card.finding import cards_found
from fairtank.vision.card.flat import card_read_at
from fairtank.vision.card.stickers import stickers_found
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX

SMALL = (640, 480)


@pytest.fixture(scope="module")
def midday():
    return scenario("midday")


@pytest.fixture(scope="module")
def stuck(midday):
    """A photo of full size with card and stickers."""
    return render_photo(replace(midday, stickers=True), "T3", 20)


def truth_normalised(trial, unit, day):
    """Corners of the card and of the glass where the camera's homography puts them [normalised px]."""
    view = camera.View(*trial.photo_size)
    homography = camera.shot(view, trial.seed, unit, day).homography
    scale = NORMAL_LONG_SIDE_PX / trial.photo_size[0]
    return tuple(np.array(corners) * scale for corners in
                 (card_corners_in_photo(view, homography, trial.seed, unit), camera.corners_in_photo(view, homography)))


def test_all_four_markers_are_read_and_the_corners_lie_where_they_were_painted(midday, stuck):
    corners, _ = truth_normalised(midday, "T3", 20)
    own = next(one for one in midday.cards_of_units if one.unit == "T3")
    for reading in (*cards_found(stuck.image), card_read_at(stuck.image, corners + 3, own.card)):
        assert (reading.card, reading.markers_read) == (own.card, 4)
        assert np.hypot(*(reading.corners - corners).T).max() < 0.5
        assert not reading.clipped.any()


def test_the_greys_come_out_in_the_order_and_in_about_the_proportions_of_their_print(midday, stuck):
    reading = cards_found(stuck.image)[0]
    names = [patch.key for patch in layout.PATCHES]
    greys = np.array([reading.patches[names.index(patch.key)].mean() for patch in layout.GREYS])
    assert (np.diff(greys) > 5).all()
    linear = ((greys / 255 + 0.055) / 1.055) ** 2.4
    printed = ((np.array([patch.srgb[0] for patch in layout.GREYS]) / 255 + 0.055) / 1.055) ** 2.4
    gain = linear / printed
    assert gain.max() / gain.min() < 1.15  # light falls off across the card


def test_stickers_tell_the_corners_of_the_glass(midday, stuck):
    _, glass = truth_normalised(midday, "T3", 20)
    seen = stickers_found(stuck.image)
    assert seen.card == next(one.card for one in midday.cards_of_units if one.unit == "T3")
    assert np.hypot(*(seen.corners - glass).T).max() < 0.7


def test_what_a_sticker_hides_counts_as_neither_plant_nor_algae(midday, stuck):
    plain = render_photo(midday, "T3", 20)
    changed = stuck.truth.label != plain.truth.label
    assert (stuck.truth.label[changed] == 0).all()
    corners = np.array(plain.truth.corners)
    rows, columns = np.nonzero(changed)
    near = np.hypot(columns[:, None] - corners[:, 0], rows[:, None] - corners[:, 1]).min(1)
    assert near.size == 0 or near.max() < 16 * 3.4 * 1.5


def test_without_cards_only_the_place_beside_the_tank_differs(midday):
    with_card, without = (render_photo(replace(midday, cards=cards), "T1", 4, SMALL) for cards in (True, False))
    assert (with_card.truth.label == without.truth.label).all()
    rows, columns = np.nonzero((with_card.image != without.image).any(2))
    left = min(x for x, _ in with_card.truth.corners)
    assert 0 < columns.max() < left
    assert rows.min() > 0.6 * SMALL[1]


def test_the_card_stands_at_the_same_place_every_day_and_each_tank_has_its_own(midday):
    assert (card_corners_cm(midday.seed, "T1") == card_corners_cm(midday.seed, "T1")).all()
    assert (card_corners_cm(midday.seed, "T1") != card_corners_cm(midday.seed, "T2")).any()
    for unit in midday.plan.units:
        corners = card_corners_cm(midday.seed, unit.key)
        assert corners[:, 0].max() < 0
        assert corners[:, 0].min() > CARD_LEFT_CM - 0.3
        sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
        assert sides == pytest.approx([6, 10, 6, 10])


def test_each_unit_of_both_demos_has_a_card(midday):
    for name in ("midday", "cover_glass"):
        trial = scenario(name)
        assert [one.unit for one in trial.cards_of_units] == [unit.key for unit in trial.plan.units]
    assert replace(midday, cards=False).cards_of_units == ()


def test_the_photos_gains_act_on_the_card(midday):
    """A photo with one and a half times the light has that much more linear light in every field, as in everything else."""
    size = (1024, 768)
    view = camera.View(*size)
    shot = camera.shot(view, midday.seed, "T2", 12)
    brighter = replace(shot, gains=tuple(1.5 * gain for gain in shot.gains))
    corners = np.array(card_corners_in_photo(view, shot.homography, midday.seed, "T2")) * (NORMAL_LONG_SIDE_PX / size[0])
    own = next(one.card for one in midday.cards_of_units if one.unit == "T2")
    linear = []
    for taken in (shot, brighter):
        values = card_read_at(render_photo(midday, "T2", 12, size, taken=taken).image, corners, own).patches / 255
        linear.append(np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4))
    assert np.median(linear[1] / linear[0]) == pytest.approx(1.5, rel=0.02)


def test_the_picture_of_a_marker_is_found_by_opencv(stuck):
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, layout.DICTIONARY))
    _, numbers, _ = cv2.aruco.ArucoDetector(known).detectMarkers(cv2.cvtColor(stuck.image, cv2.COLOR_RGB2GRAY))
    assert len(numbers) == 8
