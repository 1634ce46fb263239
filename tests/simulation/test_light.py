"""Light and perspective of the renderer against outside formulas."""

import warnings

import numpy as np
import pytest

from fairtank.simulation.camera import View
from fairtank.simulation.light import bytes_from_linear, lamp_light, linear_from_srgb, srgb_from_linear


@pytest.fixture(scope="module")
def colour():
    """The outside library; it warns at import that its plots are not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


def test_the_srgb_curve_agrees_with_an_outside_library(colour):
    # Reference: colour-science, colour.cctf_encoding / cctf_decoding, function "sRGB" (IEC 61966-2-1).
    linear = np.linspace(0, 1, 201)
    assert srgb_from_linear(linear) == pytest.approx(colour.cctf_encoding(linear, function="sRGB"), abs=1e-9)
    assert linear_from_srgb(linear) == pytest.approx(colour.cctf_decoding(linear, function="sRGB"), abs=1e-9)


def test_bytes_go_through_linear_light_and_back_unchanged():
    levels = np.arange(256)
    assert (bytes_from_linear(linear_from_srgb(levels / 255)) == levels).all()
    picture = np.broadcast_to(levels[:, None, None], (256, 4, 3))
    assert (bytes_from_linear(linear_from_srgb(picture / 255)) == picture).all()


def test_light_falls_with_depth_of_water():
    light = lamp_light(22.5, np.linspace(33, 2, 20))
    assert (np.diff(light) < 0).all()


def test_things_behind_water_look_smaller_by_the_pinhole_formula():
    # 1 / (1 + (d / n) / D): a thing d behind the glass, seen through water of index n by a camera at distance D (arithmetic).
    assert float(View(2048, 1536).shrink(28.0)) == pytest.approx(1 / (1 + 28.0 / 1.333 / 112.0))


def test_the_front_glass_is_drawn_to_scale():
    view = View(2048, 1536)
    corner, across = view.point(0.0, 36.0), view.point(45.0, 0.0)
    assert across - corner == pytest.approx(np.array([45.0, 36.0]) * view.px_per_cm)
