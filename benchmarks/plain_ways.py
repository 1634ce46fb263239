"""Two plain ways to find green in a photo, to hold the chain against: fixed limits in HSV, and excess green with Otsu's threshold."""

import cv2
import numpy as np

# The plain idea of green: hue [OpenCV's half degrees], saturation, value.
HSV_LOW, HSV_HIGH = (25, 50, 40), (95, 255, 255)


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
