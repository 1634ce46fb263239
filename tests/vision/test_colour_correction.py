"""Correction of colours: what a card, a painted patch and the trial's level make of a camera's colours."""

import dataclasses
import warnings
from functools import lru_cache

import numpy as np
import pytest
from tests.vision.pictures import tank_picture, view

from checking import every
from fairtank.card import COLOURS, GREYS, PATCHES
from fairtank.science.colour import delta_e_2000, lab_from_srgb
from fairtank.science.srgb import linear_from_srgb, srgb_from_linear
from fairtank.vision.card.reading import CardReading
from fairtank.vision.colour.cautions import colour_cautions
from fairtank.vision.colour.correction import card_correction, corrected, patch_correction, uncorrected
from fairtank.vision.colour.patch import patch_mean
from fairtank.vision.colour.target import card_level, colour_target_of, unit_colours
from fairtank.vision.rectify import rectified_in_colour

GREY_PLACES, COLOUR_PLACES = ([PATCHES.index(patch) for patch in part] for part in (GREYS, COLOURS))
PRINTED = np.array([patch.srgb for patch in PATCHES], float)
PRINTED_LIGHT = linear_from_srgb(PRINTED / 255)
ALL_CLEAR = np.zeros(12, bool)


def camera(light: np.ndarray, chance: np.random.Generator) -> np.ndarray:
    """A camera of its own: gains, a mixing of channels, a gamma and an S curve; stored sRGB."""
    mixing = np.eye(3) + chance.normal(0, 0.05, (3, 3))
    mixing /= mixing.sum(axis=1, keepdims=True)
    seen = np.clip(light @ mixing.T, 0, None) * np.exp(chance.normal(0, 0.1, 3)) * np.exp(chance.normal(-0.15, 0.1))
    stored = srgb_from_linear(seen) ** np.exp(chance.normal(0, 0.08))
    return 255 * np.clip(stored + chance.uniform(-0.1, 0.3) * stored * (1 - stored) * (2 * stored - 1), 0, 1)


def reading(fields: np.ndarray, number: int = 0) -> CardReading:
    return CardReading(number, 4, np.array([[0, 0], [200, 0], [200, 330], [0, 330]], float), 3.3, fields, ALL_CLEAR)


def test_a_photo_that_is_like_its_reference_keeps_its_colours():
    found = card_correction(PRINTED, ALL_CLEAR, PRINTED_LIGHT)
    assert found.basis == "card"
    assert np.allclose(found.tables, uncorrected().tables, rtol=1e-5)
    assert np.allclose(found.matrix, np.eye(3), atol=1e-6)
    assert found.residual_delta_e == pytest.approx(0, abs=1e-9)
    corners = np.array([[0.15, 0.12], [0.85, 0.12], [0.85, 0.62], [0.15, 0.62]])
    picture = tank_picture()
    before, after = (rectified_in_colour(picture, corners, 350, 250, one).astype(int) for one in (uncorrected(), found))
    assert np.abs(before - after).max() <= 1


def test_a_change_of_gain_is_found_exactly_and_undone():
    gains = np.array([1.3, 0.8, 0.7])
    stored = 255 * srgb_from_linear(0.6 * PRINTED_LIGHT * gains)
    found = card_correction(stored, ALL_CLEAR, 0.6 * PRINTED_LIGHT)
    assert np.allclose(found.gains, gains, rtol=1e-9)
    assert np.allclose(corrected(stored, found), 255 * srgb_from_linear(0.6 * PRINTED_LIGHT), atol=0.05)


@every("seed", range(40))
def test_the_tables_rise_whatever_the_card_shows(seed):
    chance = np.random.default_rng(seed)
    stored = np.clip(camera(PRINTED_LIGHT, chance) + chance.normal(0, 12, PRINTED.shape), 0, 255)
    found = card_correction(stored, ALL_CLEAR, PRINTED_LIGHT)
    assert np.isfinite(found.tables).all()
    assert (np.diff(found.tables, axis=1) >= 0).all()
    assert (found.tables >= 0).all()


@pytest.mark.parametrize("seed", range(10))
def test_greys_stay_grey_whatever_the_mixing(seed):
    found = card_correction(camera(PRINTED_LIGHT, np.random.default_rng(seed)), ALL_CLEAR, PRINTED_LIGHT)
    assert np.allclose(found.matrix.sum(axis=1), 1, atol=1e-5)


def test_colours_that_were_not_used_are_predicted_better_than_by_a_gain_alone():
    with_mixing, without = [], []
    for seed in range(30):
        light = 0.6 * PRINTED_LIGHT  # so that no field is burnt out
        stored = camera(light, np.random.default_rng(seed))
        found = card_correction(stored, ALL_CLEAR, light)
        if found.residual_delta_e is None:
            continue  # too many of its colours are as good as black in one channel
        by_gain, wanted = corrected(stored, uncorrected(1 / np.array(found.gains))), 255 * srgb_from_linear(light)
        off = delta_e_2000(lab_from_srgb(by_gain[COLOUR_PLACES]), lab_from_srgb(wanted[COLOUR_PLACES]))
        with_mixing.append(found.residual_delta_e)
        without.append(float(off.mean()))
    assert len(without) > 20
    assert np.mean(with_mixing) < 0.7 * np.mean(without)


def test_with_fewer_than_five_greys_only_a_gain_is_taken_and_with_next_to_nothing_none():
    clipped = ALL_CLEAR.copy()
    clipped[GREY_PLACES[:2]] = True
    found = card_correction(255 * srgb_from_linear(0.5 * PRINTED_LIGHT), clipped, PRINTED_LIGHT)
    assert found.basis == "card"
    assert found.residual_delta_e is None
    assert np.allclose(found.gains, 0.5, rtol=0.01)
    assert np.allclose(found.tables, 2 * uncorrected().tables, rtol=0.01)
    clipped[:] = True
    assert card_correction(PRINTED, clipped, PRINTED_LIGHT).basis == "none"


def test_fields_near_black_and_white_are_left_out_also_when_nobody_marked_them():
    stored = PRINTED.copy()
    stored[GREY_PLACES[-1]] = 255  # burnt out: far from its target
    found = card_correction(stored, ALL_CLEAR, PRINTED_LIGHT)
    assert np.allclose(found.gains, 1, atol=1e-6)
    assert np.allclose(found.tables, uncorrected().tables, rtol=1e-5)


def test_a_field_that_the_reference_photo_does_not_tell_is_left_out():
    target = PRINTED_LIGHT.copy()
    target[GREY_PLACES[0]] = np.nan
    target[COLOUR_PLACES[0]] = np.nan
    found = card_correction(PRINTED, ALL_CLEAR, target)
    assert np.isfinite(found.tables).all()
    assert found.residual_delta_e == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("factor", [1 / 40, 40])
def test_gains_that_no_camera_makes_are_not_believed(factor):
    assert card_correction(PRINTED, ALL_CLEAR, factor * PRINTED_LIGHT).basis == "none"
    assert patch_correction(np.array([120, 120, 120]), factor * linear_from_srgb(np.full(3, 120 / 255))).basis == "none"


def test_brightening_one_part_of_the_card_shows_in_the_residual():
    lighter = 255 * srgb_from_linear(PRINTED_LIGHT * np.where(np.arange(12) >= 6, 1.25, 1.0)[:, None])
    plain = card_correction(255 * srgb_from_linear(1.25 * PRINTED_LIGHT.clip(0, 0.7)), ALL_CLEAR, PRINTED_LIGHT.clip(0, 0.7))
    local = card_correction(lighter, ALL_CLEAR, PRINTED_LIGHT)
    assert plain.residual_delta_e < 0.2
    assert local.residual_delta_e > 2


@lru_cache
def checker() -> np.ndarray:
    """The 24 fields of the usual colour checker in linear sRGB, from the chromaticities that colour-science carries."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    values = colour.CCS_COLOURCHECKERS["ColorChecker 1976"]
    xyz = colour.xyY_to_XYZ(np.array(list(values.data.values())))
    return np.asarray(colour.XYZ_to_RGB(xyz, "sRGB", illuminant=values.illuminant, chromatic_adaptation_transform="Bradford"))


# 18 colours, then six neutrals from white to black; six colours go with the neutrals as a card's fields, the other twelve are only tested.
_USED, _NEUTRALS = [1, 3, 6, 10, 13, 15], [23, 22, 21, 20, 19, 18]
_TESTED = [place for place in range(18) if place not in _USED]


@pytest.mark.published(entry="lab_from_srgb", source="mccamy1976", where="the 24 fields, xyY under C, as colour-science 0.4 carries them")
def test_the_colour_checker_is_recovered_through_known_cameras():
    """Twelve fields that no fit saw come back within 1.5 CIEDE2000 in the mean; by a gain alone they stay further off than twice that."""
    light = np.clip(checker(), 0.002, None)
    fields = np.empty((12, 3))
    fields[GREY_PLACES], fields[COLOUR_PLACES] = light[_NEUTRALS], light[_USED]
    wanted, off, off_by_gain = lab_from_srgb(255 * srgb_from_linear(light[_TESTED])), [], []
    for seed in range(30):
        stored, others = (camera(part, np.random.default_rng(seed)) for part in (fields, light[_TESTED]))
        found = card_correction(stored, ALL_CLEAR, fields)
        off.append(float(delta_e_2000(lab_from_srgb(corrected(others, found)), wanted).mean()))
        off_by_gain.append(float(delta_e_2000(lab_from_srgb(corrected(others, uncorrected(1 / np.array(found.gains)))), wanted).mean()))
    assert np.mean(off) < 1.5
    assert max(off) < 4
    assert np.mean(off_by_gain) > 2 * np.mean(off)


def test_a_patch_gives_its_gain():
    target = linear_from_srgb(np.array([180, 180, 180]) / 255)
    found = patch_correction(255 * srgb_from_linear(target * [1.1, 0.9, 1.0]), target)
    assert found.basis == "patch"
    assert np.allclose(found.gains, [1.1, 0.9, 1.0], rtol=1e-9)


def test_a_patch_that_is_burnt_out_gives_nothing():
    assert patch_correction(np.array([255, 250, 200]), np.full(3, 0.5)).basis == "none"


def test_a_fleck_and_the_rim_of_a_patch_do_not_count():
    picture = np.full((100, 100, 3), 90, np.uint8)
    picture[30:70, 30:70] = (210, 200, 190)
    picture[45:53, 45:53] = (20, 60, 20)
    square = np.array([[30, 30], [70, 30], [70, 70], [30, 70]], float)
    assert patch_mean(picture, square).tolist() == [210, 200, 190]


def test_a_patch_outside_the_photo_or_of_a_few_px_tells_nothing():
    picture = np.full((100, 100, 3), 90, np.uint8)
    assert patch_mean(picture, np.array([[90, 90], [130, 90], [130, 130], [90, 130]], float)) is None
    assert patch_mean(picture, np.array([[10, 10], [14, 10], [14, 14], [10, 14]], float)) is None


def test_the_level_of_a_trial_is_the_middle_of_its_reference_photos():
    cards = [reading(255 * srgb_from_linear(factor * PRINTED_LIGHT)) for factor in (0.4, 0.5, 0.9)]
    target = colour_target_of([*cards, None])
    assert np.allclose(target.card_level, 0.5)
    for card, factor in zip(cards, (0.4, 0.5, 0.9), strict=True):
        colours = unit_colours(card, None, target)
        assert np.allclose(colours.scale, 0.5 / factor)
        assert np.allclose(colours.fields, 0.5 * PRINTED_LIGHT)


def test_light_that_falls_off_across_a_card_makes_no_tone_curve():
    fall = np.linspace(1.2, 0.8, 12)[:, None]
    one, other = reading(255 * srgb_from_linear(0.7 * PRINTED_LIGHT)), reading(255 * srgb_from_linear(0.7 * PRINTED_LIGHT * fall))
    target = colour_target_of([one, other])
    found = card_correction(other.patches, ALL_CLEAR, unit_colours(other, None, target).fields)
    assert np.ptp(found.tables[:, 20:] / uncorrected().tables[:, 20:], axis=1).max() < 1e-5
    assert found.residual_delta_e < 0.01


def test_a_card_whose_greys_cannot_be_told_is_no_card():
    assert card_level(reading(np.full((12, 3), 3.0))) is None
    assert unit_colours(reading(np.full((12, 3), 3.0)), None, colour_target_of([reading(PRINTED)])).basis == "none"


def test_a_unit_without_a_card_rests_on_its_patch():
    target = colour_target_of([None, None], [np.full(3, 100.0), np.full(3, 200.0)])
    colours = unit_colours(None, np.full(3, 100.0), target)
    assert colours.basis == "patch"
    assert np.allclose(colours.patch, target.patch_level)


def views_with(*units):
    """Views of made-up units: (unit, card reading or None, patch or None, number of cards.csv)."""
    plain = view(tank_picture())
    target = colour_target_of([card for _, card, _, _ in units], [patch for _, _, patch, _ in units])
    return [dataclasses.replace(plain, unit=unit, card=card, patch=patch, card_of_unit=number, colours=unit_colours(card, patch, target))
            for unit, card, patch, number in units]


def test_a_trial_with_cards_everywhere_or_nowhere_needs_no_caution():
    assert colour_cautions(views_with(("T1", reading(PRINTED, 1), None, 1), ("T2", reading(PRINTED, 2), None, 2))) == ()
    assert colour_cautions(views_with(("T1", None, None, None), ("T2", None, None, None))) == ()


@pytest.mark.parametrize(
    ("units", "said"),
    [
        ((("T1", reading(PRINTED, 1), None, None), ("T2", None, np.full(3, 150.0), None), ("T3", None, None, None)),
         "rest on different things: T1 on a photo card; T2 on a painted patch; T3 on nothing"),
        ((("T1", reading(PRINTED, 4), None, None), ("T2", reading(PRINTED, 4), None, None)),
         "of T1, T2 show the same photo card, number 4"),
        ((("T1", None, None, 7), ("T2", None, None, None)), "of T1 does not show the unit's photo card, number 7"),
        ((("T1", reading(PRINTED, 1), None, None), ("T2", reading(PRINTED, 2), None, None),
          ("T3", reading(255 * srgb_from_linear(PRINTED_LIGHT / 3), 3), None, None)), "of T3 the photo card is 0.33 times as light"),
    ],
)  # fmt: skip
def test_what_keeps_colours_from_being_compared_is_said(units, said):
    cautions = colour_cautions(views_with(*units))
    assert len(cautions) == 1
    assert said in cautions[0]
