"""Connected parts of a picture, told from its runs: stretches of px in one row that lie above a level.

A picture has far fewer runs than px, so that whatever is asked of its parts afterwards costs little.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.compiled import compiled


@dataclass(frozen=True, eq=False)
class Runs:
    """The runs of a picture, row by row from left to right, and the parts they belong to.

    shape: rows and columns of the picture. row_starts: array (rows + 1,), place of each row's first run. begins, ends: array (n,), first
    column and the one after the last. parts: array (n,), number of each run's part, by its first run. areas: array (parts,), px of each.
    """

    shape: tuple[int, int]
    row_starts: np.ndarray
    begins: np.ndarray
    ends: np.ndarray
    parts: np.ndarray
    areas: np.ndarray


def runs_of(values: np.ndarray, above: int = 0) -> Runs:
    """The runs of px above a level; px that touch, be it at a corner, are of one part.

    Parameters
    ----------
    values : array of shape (h, w), uint8 or bool
    above : int
        The level, 0 to 255.

    Returns
    -------
    Runs

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> picture = np.array([[9, 0, 0, 0], [0, 9, 0, 9], [0, 0, 0, 9]], np.uint8)
    >>> runs = runs_of(picture)
    >>> runs.parts.tolist(), runs.areas.tolist()
    ([0, 0, 1, 1], [2, 2])
    """
    height, width = values.shape
    most = height * (width // 2 + 1)
    begins, ends, parts = (np.empty(most, np.int32) for _ in range(3))
    row_starts = np.empty(height + 1, np.int32)
    px = np.ascontiguousarray(values).view(np.uint8)
    areas = np.zeros(_numbered(px, _eights(px, above), above, row_starts, begins, ends, parts), np.int32)
    count = int(row_starts[-1])
    begins, ends, parts = begins[:count], ends[:count], parts[:count]
    _add_up(begins, ends, parts, areas)
    return Runs((height, width), row_starts, begins, ends, parts, areas)


def painted(runs: Runs, chosen: np.ndarray) -> np.ndarray:
    """A picture of some of the parts.

    Parameters
    ----------
    runs : Runs
    chosen : array of shape (parts,), bool

    Returns
    -------
    array of shape (h, w), uint8
        1 in the chosen parts, 0 elsewhere.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> runs = runs_of(np.array([[9, 0, 9, 9]], np.uint8))
    >>> painted(runs, runs.areas > 1).tolist()
    [[0, 0, 1, 1]]
    """
    picture = np.zeros(runs.shape, np.uint8)
    _paint(runs.row_starts, runs.begins, runs.ends, runs.parts, chosen, picture)
    return picture


def _eights(px: np.ndarray, above: int) -> np.ndarray:
    """Eight px as one number, so that eight that do not lie above the level can be passed over at once; empty where that cannot be."""
    if px.shape[1] % 8 or above > 127:
        return np.zeros((px.shape[0], 0), np.uint64)
    return px.view(np.uint64)


@compiled
def _numbered(values: np.ndarray, eights: np.ndarray, above: int, row_starts: np.ndarray, begins: np.ndarray, ends: np.ndarray,
              parts: np.ndarray) -> int:
    """Find the runs, join each with those of the row above that it touches, and number the parts; how many there are."""
    height, width = values.shape
    has_eights = eights.shape[1] > 0
    # What is added to each of the eight sets its topmost bit where it lies above the level.
    tops, added, none = np.uint64(0x8080808080808080), np.uint64(0x0101010101010101) * np.uint64(127 - min(above, 127)), np.uint64(0)
    count, upper = 0, 0
    for y in range(height):
        row_starts[y] = count
        row = values[y]
        near, stop = upper, count
        upper = count
        x = 0
        while x < width:
            while x < width and row[x] <= above:
                x += 1
                if has_eights:
                    while x < width and x & 7 == 0 and (eights[y, x >> 3] | ((eights[y, x >> 3] & ~tops) + added)) & tops == none:
                        x += 8
            if x == width:
                break
            begin = x
            while x < width and row[x] > above:
                x += 1
            begins[count], ends[count], parts[count] = begin, x, count
            while near < stop and ends[near] < begin:
                near += 1
            at = near
            while at < stop and begins[at] <= x:
                one, other = at, count
                while parts[one] != one:
                    parts[one] = parts[parts[one]]
                    one = parts[one]
                while parts[other] != other:
                    parts[other] = parts[parts[other]]
                    other = parts[other]
                if one < other:
                    parts[other] = one
                else:
                    parts[one] = other
                at += 1
            count += 1
    row_starts[height] = count
    found = 0
    for number in range(count):
        first = parts[number]  # always the place of an earlier run, which has its part's number by now
        if first == number:
            parts[number] = found
            found += 1
        else:
            parts[number] = parts[first]
    return found


@compiled
def _add_up(begins: np.ndarray, ends: np.ndarray, parts: np.ndarray, areas: np.ndarray) -> None:
    for number in range(len(begins)):
        areas[parts[number]] += ends[number] - begins[number]


@compiled
def _paint(row_starts: np.ndarray, begins: np.ndarray, ends: np.ndarray, parts: np.ndarray, chosen: np.ndarray,
           picture: np.ndarray) -> None:
    for y in range(picture.shape[0]):
        for number in range(row_starts[y], row_starts[y + 1]):
            if chosen[parts[number]]:
                picture[y, begins[number] : ends[number]] = 1
