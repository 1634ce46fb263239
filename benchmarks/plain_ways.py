"""Plain ways to find green in a photo, to hold the chain against, and two learnt px by px without any look at the neighbours."""

from collections.abc import Callable

import cv2
import numpy as np

# The plain idea of green: hue [OpenCV's half degrees], saturation, value.
HSV_LOW, HSV_HIGH = (25, 50, 40), (95, 255, 255)
_MOST_STROKE_PX = 20_000


def hsv_mask(pixels: np.ndarray) -> np.ndarray:
    """Green by fixed limits of hue, saturation and value, without specks."""
    mask = cv2.inRange(cv2.cvtColor(pixels, cv2.COLOR_RGB2HSV), HSV_LOW, HSV_HIGH)
    return cv2.morphologyEx(mask, cv2.MORPH_OPEN, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5)))


def excess_green_mask(pixels: np.ndarray) -> np.ndarray:
    """Green by Otsu's threshold on 2 g - r - b of the chromatic coordinates (woebbecke1995, otsu1979)."""
    red, green, blue = (pixels[..., channel].astype(np.float32) for channel in range(3))
    excess = (2 * green - red - blue) / np.maximum(red + green + blue, 1)
    scaled = np.clip(127.5 * (excess + 1), 0, 255).astype(np.uint8)
    return cv2.threshold(scaled, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)[1]


PLAIN_WAYS = {"hsv": hsv_mask, "excess_green": excess_green_mask}


def forest(colours: np.ndarray, answers: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
    """A random forest of 100 trees on the CIELAB colour of each px: from its strokes to a function of many colours."""
    from sklearn.ensemble import RandomForestClassifier

    model = RandomForestClassifier(100, min_samples_leaf=5, n_jobs=1, random_state=1).fit(*_some(colours, answers))
    return lambda asked: model.predict(_lab(asked))


def boosted(colours: np.ndarray, answers: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
    """LightGBM with 80 rounds on the CIELAB colour of each px."""
    import lightgbm

    model = lightgbm.LGBMClassifier(n_estimators=80, num_leaves=15, learning_rate=0.1, n_jobs=1, random_state=1, verbose=-1)
    model.fit(*_some(colours, answers))
    return lambda asked: model.booster_.predict(_lab(asked), num_threads=1).argmax(axis=1)


LEARNT_WAYS = {"random_forest": forest, "lightgbm": boosted}


def _some(colours: np.ndarray, answers: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    chosen = np.random.default_rng(1).permutation(len(colours))[:_MOST_STROKE_PX]
    return _lab(colours[chosen]), answers[chosen]


def _lab(colours: np.ndarray) -> np.ndarray:
    return cv2.cvtColor(np.ascontiguousarray(colours)[None], cv2.COLOR_RGB2LAB)[0].astype(np.float32)
