"""Mishaps change light as they would before a lens, and only where they happen."""

import numpy as np
import pytest

from fairtank.simulation import mishaps
from fairtank.simulation.light import linear_from_srgb

CORNERS = ((60.0, 40.0), (580.0, 44.0), (576.0, 440.0), (64.0, 436.0))
PICTURE = np.random.default_rng(3).integers(60, 190, (30, 40, 3)).astype(np.uint8).repeat(16, axis=0).repeat(16, axis=1)


def light(picture):
    return linear_from_srgb(picture / 255).mean()


@pytest.mark.parametrize("blur", [lambda p: mishaps.defocused(p, 4), lambda p: mishaps.shaken(p, 12)], ids=["out of focus", "shaken"])
def test_blur_spreads_light_and_loses_none(blur):
    assert light(blur(PICTURE)) == pytest.approx(light(PICTURE), rel=0.01)
    assert np.abs(np.diff(blur(PICTURE).astype(int), axis=1)).max() < np.abs(np.diff(PICTURE.astype(int), axis=1)).max()


@pytest.mark.parametrize("times", [0.25, 0.5, 1.5])
def test_exposure_multiplies_linear_light(times):
    assert light(mishaps.exposed(PICTURE, times, np.random.default_rng(1))) == pytest.approx(times * light(PICTURE), rel=0.03)


@pytest.mark.parametrize(
    "mishap",
    [
        lambda r: mishaps.glare_spot(PICTURE, CORNERS, 4, 0.5), lambda r: mishaps.window_reflection(PICTURE, CORNERS, 10, 0.2),
        lambda r: mishaps.condensation(PICTURE, CORNERS, 0.5, r), lambda r: mishaps.lid_closed(PICTURE, CORNERS, 0.5, r),
        lambda r: mishaps.water_lowered(PICTURE, CORNERS, 0.25), lambda r: mishaps.heater_added(PICTURE, CORNERS),
        lambda r: mishaps.floating_plants(PICTURE, CORNERS, 1.0, r), lambda r: mishaps.replanted(PICTURE, CORNERS, 255 - PICTURE, CORNERS),
    ],
    ids=["glare", "window", "fog", "lid", "water", "heater", "floating plants", "corner planted anew"],
)  # fmt: skip
def test_what_happens_at_the_glass_changes_nothing_around_it(mishap):
    spoilt = mishap(np.random.default_rng(1))
    assert (spoilt != PICTURE).any()
    for part in (np.s_[:34], np.s_[446:], np.s_[:, :54], np.s_[:, 586:]):
        assert np.abs(spoilt[part].astype(int) - PICTURE[part]).max() <= 1


def test_reflected_light_is_only_added():
    spoilt = mishaps.glare_spot(PICTURE, CORNERS, 6, 0.3)
    assert (spoilt.astype(int) - PICTURE >= -1).all()


def test_a_lamp_that_is_off_darkens_the_tank_more_than_the_room():
    spoilt = mishaps.lights_off(PICTURE, CORNERS, 0.1, np.random.default_rng(1))
    tank, room = np.s_[100:380, 120:520], np.s_[445:, :]
    assert light(spoilt[tank]) / light(PICTURE[tank]) < 0.2 < light(spoilt[room]) / light(PICTURE[room])


def test_the_same_seed_gives_the_same_photo():
    one, other = (mishaps.hand_before(PICTURE, CORNERS, 9, np.random.default_rng(5)) for _ in range(2))
    assert np.array_equal(one, other)


def test_a_file_is_cut_to_its_share():
    assert mishaps.cut_off(bytes(100), 0.3) == bytes(30)
