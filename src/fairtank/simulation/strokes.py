"""Brush strokes as a keeper would draw them: wandering lines inside plants, algae and background of a photo."""

from collections.abc import Iterator

import numpy as np

from fairtank.simulation.chance import generator
from fairtank.simulation.scenario import Scenario
from fairtank.simulation.scene import render_photo
from fairtank.simulation.truth import ALGAE, OTHER, PLANT, Truth
from fairtank.trial import Photo

_CODES = {"plant": PLANT, "algae": ALGAE, "background": OTHER}
# Stroke widths at 2048 px [px], tried in this order where a class is too narrow for the wider one, and the share of pixels per class.
_WIDTHS_PX, _SHARE = (15, 12, 9), 0.005


def strokes(scenario: Scenario, photo: Photo, seed: int) -> np.ndarray:
    """A picture of strokes for one photo: class colours on black, the photo's size, never across the border of a class.

    Parameters
    ----------
    scenario : Scenario
        The trial of the photo.
    photo : Photo
        Which photo.
    seed : int
        Seeds the hand. [none], 0 or more

    Returns
    -------
    array of shape (height, width, 3), uint8 RGB
        The strokes, in the colours of `scenario.label_classes`.
    """
    return strokes_on(scenario, render_photo(scenario, photo.unit, photo.day, scenario.photo_size).truth, photo, seed)


def strokes_on(scenario: Scenario, truth: Truth, photo: Photo, seed: int) -> np.ndarray:
    """As `strokes`, for a photo whose truth is already at hand."""
    import cv2

    label = truth.label
    frame = np.zeros(label.shape, np.uint8)
    cv2.fillConvexPoly(frame, np.round(np.array(truth.corners)).astype(np.int32), 1)
    picture = np.zeros((*label.shape, 3), np.uint8)
    for kind in scenario.label_classes:
        inside = ((label == _CODES[kind.key]) & (frame > 0)).astype(np.uint8)
        drawn = _lines(inside, generator(seed, photo.path, kind.key), label.shape[1] / 2048)
        picture[(drawn > 0) & (inside > 0)] = kind.rgb
    return picture


def _lines(inside: np.ndarray, chance: np.random.Generator, scale: float) -> np.ndarray:
    """Wandering lines inside a mask, from starts spread over the picture, until about the wanted share of pixels is drawn."""
    import cv2

    drawn, wanted = np.zeros(inside.shape, np.uint8), _SHARE * inside.size
    for width in (max(2, round(w * scale)) for w in _WIDTHS_PX):
        room = cv2.erode(inside, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (width + 4, width + 4)))
        limit = wanted * {_WIDTHS_PX[0]: 0.35, _WIDTHS_PX[1]: 0.65}.get(round(width / scale), 1.0)
        for start in _starts(room, chance, 120 * scale):
            path = _walk(room, start, chance, 9 * scale)
            cv2.polylines(drawn, [path], False, 1, width)
            if cv2.countNonZero(drawn) >= limit:
                break
    return drawn


def _starts(room: np.ndarray, chance: np.random.Generator, cell_px: float) -> Iterator[tuple[int, int]]:
    """Random points of a mask, at most one per cell of a coarse grid, in random order."""
    ys, xs = np.nonzero(room)
    if not len(ys):
        return
    order = chance.permutation(len(ys))[:60_000]
    cells = (ys[order] // cell_px).astype(int) * 10_000 + (xs[order] // cell_px).astype(int)
    for i in chance.permutation(np.unique(cells, return_index=True)[1]):
        yield int(xs[order[i]]), int(ys[order[i]])


def _walk(room: np.ndarray, start: tuple[int, int], chance: np.random.Generator, step_px: float) -> np.ndarray:
    """A path that stays inside the mask: keeps its heading, wanders, and turns away from borders."""
    heading, points = chance.uniform(0, 2 * np.pi), [start]
    for _ in range(int(chance.integers(6, 26))):
        for turn in (0.3 * chance.standard_normal(), 0.8, -0.8, 1.6, -1.6):
            x = round(points[-1][0] + step_px * np.cos(heading + turn))
            y = round(points[-1][1] + step_px * np.sin(heading + turn))
            if 0 <= y < room.shape[0] and 0 <= x < room.shape[1] and room[y, x]:
                points.append((x, y))
                heading += turn
                break
        else:
            break
    return np.array(points, np.int32)
