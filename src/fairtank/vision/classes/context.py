"""What lies around a pixel: a small picture of the photo and planes that tell size, thickness and colour of what is seen there.

Two greens of one colour differ by the size of their leaves and by what surrounds them. All planes hold whole numbers 0 to 255.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.compiled import compiled

# The small picture's long side lies between this and twice this.
SMALL_LONG_SIDE_PX = 240
# Half a thickness, in cells, beyond which thick is thick. An eighth of a cell is then one step of 255.
_THICKEST = 31.875
PLANES = (
    "thickness", "thickness_11", "thickness_25", "outline_7", "outline_21", "redness", "redness_3", "redness_7", "lightness_7", "living",
    "living_3", "living_31", "living_71", "algae_part", "algae_part_31", "roughness_7",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class SmallPicture:
    """A photo in cells of so many px across and down (`step`), each the mean of its px.

    colours: array (h, w, 3), uint8. shares: array (3, h, w), uint8: how likely background, plant and algae are, in parts of 255.
    """

    step: int
    colours: np.ndarray
    shares: np.ndarray


def small_picture(picture: np.ndarray, shares: np.ndarray) -> SmallPicture:
    """The small picture of a rectified photo: always the plain mean of whole blocks, for learning and for use alike.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
    shares : array of shape (3, 32768), uint8
        How likely each class is for each cell of the colour lookup.

    Returns
    -------
    SmallPicture

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> small = small_picture(np.full((600, 960, 3), 9, np.uint8), np.zeros((3, 32768), np.uint8))
    >>> small.step, small.colours.shape, small.colours[0, 0].tolist()
    (4, (150, 240, 3), [9, 9, 9])
    """
    height, width = picture.shape[:2]
    step = max(1, max(height, width) // SMALL_LONG_SIDE_PX)
    size = -(-height // step), -(-width // step)
    colours, means = np.empty((*size, 3), np.uint8), np.empty((3, *size), np.uint8)
    _shrink(np.ascontiguousarray(picture), _side_by_side(shares), step, colours, means)
    return SmallPicture(step, colours, means)


def context_planes(small: SmallPicture) -> np.ndarray:
    """The planes of a small picture.

    Parameters
    ----------
    small : SmallPicture

    Returns
    -------
    array of shape (planes, h, w), uint8
        In the order of PLANES. Numbers in names are the side of the square, in cells, over which a plane is the mean (thickness: the
        greatest).

    References
    ----------
    borgefors1986 (keys from sources.py).
    """
    import cv2

    lab = cv2.cvtColor(small.colours, cv2.COLOR_RGB2LAB)
    lightness, redness = np.ascontiguousarray(lab[..., 0]), np.ascontiguousarray(lab[..., 1])
    background, plant, algae = small.shares
    living = 255 - background
    green = (living > 127).astype(np.uint8)
    thickness = (np.minimum(cv2.distanceTransform(green, cv2.DIST_L2, 3), _THICKEST) * (255 / _THICKEST)).astype(np.uint8)
    outline = cv2.morphologyEx(green * np.uint8(255), cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))
    both = plant.astype(np.uint16) + algae
    part = np.where(both >= 16, (algae * np.uint16(255)) // np.maximum(both, 1), 127).astype(np.uint8)
    rough = cv2.absdiff(lightness, cv2.blur(lightness, (7, 7)))
    planes = (
        thickness, _greatest(thickness, 11), _greatest(thickness, 25), cv2.blur(outline, (7, 7)), cv2.blur(outline, (21, 21)),
        redness, cv2.blur(redness, (3, 3)), cv2.blur(redness, (7, 7)), cv2.blur(lightness, (7, 7)),
        living, cv2.blur(living, (3, 3)), cv2.blur(living, (31, 31)), cv2.blur(living, (71, 71)),
        part, cv2.blur(part, (31, 31)), cv2.blur(rough, (7, 7)),
    )  # fmt: skip
    return np.stack(planes)


def _greatest(plane: np.ndarray, side: int) -> np.ndarray:
    import cv2

    return cv2.dilate(plane, np.ones((side, side), np.uint8))


def _side_by_side(shares: np.ndarray) -> np.ndarray:
    """The three shares of each cell in one number, with room for the sums of 4096 of them."""
    background, plant, algae = shares.astype(np.int64)
    return background | plant << 20 | algae << 40


@compiled
def _shrink(picture: np.ndarray, shares: np.ndarray, step: int, colours: np.ndarray, means: np.ndarray) -> None:
    height, width = picture.shape[0], picture.shape[1]
    columns = colours.shape[1]
    flat, mask = picture.reshape(-1), (1 << 20) - 1
    one, two, three, step_bytes = np.uint64(1), np.uint64(2), np.uint64(3), np.uint64(3 * step)
    sums = np.empty((columns, 2), np.int64)
    for row in range(colours.shape[0]):
        sums[:] = 0
        rows = min(row * step + step, height) - row * step
        for y in range(row * step, row * step + rows):
            place = np.uint64(y * width * 3)
            for column in range(columns):
                colour, share = np.int64(0), np.int64(0)
                end = place + step_bytes if (column + 1) * step <= width else np.uint64((y + 1) * width * 3)
                while place < end:
                    r, g, b = np.int64(flat[place]), np.int64(flat[place + one]), np.int64(flat[place + two])
                    colour += r | g << 20 | b << 40
                    share += shares[np.uint64((r >> 3) * 1024 + (g >> 3) * 32 + (b >> 3))]
                    place += three
                sums[column, 0] += colour
                sums[column, 1] += share
        for column in range(columns):
            count = np.uint32(rows * (min(column * step + step, width) - column * step))
            for kind in range(3):
                colour, share = (sums[column, 0] >> (20 * kind)) & mask, (sums[column, 1] >> (20 * kind)) & mask
                colours[row, column, kind] = np.uint32(colour + count // 2) // count
                means[kind, row, column] = np.uint32(share + count // 2) // count
