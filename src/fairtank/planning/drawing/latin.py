"""Latin squares: each arm once in every row and once in every column; how many there are, and one of them by lot."""

import math
from functools import lru_cache

from fairtank.errors import DesignError
from fairtank.planning.drawing.numbers import Lot

LARGEST = 6
Square = tuple[tuple[int, ...], ...]


@lru_cache(maxsize=LARGEST)
def reduced_squares(size: int) -> tuple[Square, ...]:
    """All reduced Latin squares of a size, in the order of their rows read as numbers: first row and first column stand in order.

    Parameters
    ----------
    size : int
        Rows, columns and arms, 1 to 6.

    Returns
    -------
    tuple of squares
        Each a tuple of rows of whole numbers from 0.

    Raises
    ------
    DesignError
        If the size is larger than 6: from 7 on there are 16 942 080 and more.

    References
    ----------
    fisher1938, oeis_a000315 (keys from sources.py).

    Examples
    --------
    >>> [len(reduced_squares(size)) for size in (2, 3, 4, 5)]
    [1, 1, 4, 56]
    """
    if not 1 <= size <= LARGEST:
        raise DesignError(f"A Latin square of {size} rows cannot be drawn here; accepted: up to {LARGEST}. Draw in blocks instead.")
    first = tuple(range(size))
    found: list[Square] = []

    def rows_from(square: list[tuple[int, ...]], taken: list[set[int]]) -> None:
        number = len(square)
        if number == size:
            found.append(tuple(square))
            return
        for row in _rows(number, taken, size):
            for column, arm in enumerate(row):
                taken[column].add(arm)
            rows_from([*square, row], taken)
            for column, arm in enumerate(row):
                taken[column].remove(arm)

    rows_from([first], [{arm} for arm in first])
    return tuple(found)


def _rows(start: int, taken: list[set[int]], size: int) -> list[tuple[int, ...]]:
    """Every row that begins with `start` and repeats nothing of the columns above it, in order."""
    rows: list[tuple[int, ...]] = [(start,)] if start not in taken[0] else []
    for column in range(1, size):
        rows = [(*row, arm) for row in rows for arm in range(size) if arm not in row and arm not in taken[column]]
    return rows


def square_count(size: int) -> int:
    """How many Latin squares there are: the reduced ones, times all orders of the columns, times all orders of the rows but the first.

    Parameters
    ----------
    size : int
        Rows, columns and arms, 1 to 6.

    Returns
    -------
    int

    Raises
    ------
    DesignError
        If the size is larger than 6.

    References
    ----------
    fisher1938, oeis_a002860 (keys from sources.py).

    Examples
    --------
    >>> [square_count(size) for size in (2, 3, 4)]
    [2, 12, 576]
    """
    return len(reduced_squares(size)) * math.factorial(size) * math.factorial(size - 1)


def drawn_square(size: int, lots: tuple[Lot, Lot, Lot]) -> Square:
    """A Latin square by lot, every one equally likely: a reduced one, then its columns shuffled, then its rows but the first.

    Parameters
    ----------
    size : int
        Rows, columns and arms, 1 to 6.
    lots : three of Lot
        For the reduced square, the columns and the rows.

    Returns
    -------
    square
        A tuple of rows of whole numbers from 0.

    Raises
    ------
    DesignError
        If the size is larger than 6.

    References
    ----------
    fisher1938 (keys from sources.py).

    Examples
    --------
    >>> square = drawn_square(4, (Lot(7, "square"), Lot(7, "columns"), Lot(7, "rows")))
    >>> all(sorted(line) == [0, 1, 2, 3] for line in (*square, *zip(*square)))
    True
    """
    choices = reduced_squares(size)
    square = choices[lots[0].one_of(len(choices))]
    columns = lots[1].shuffled(range(size))
    below = lots[2].shuffled(range(1, size))
    return tuple(tuple(square[row][column] for column in columns) for row in (0, *below))
