"""Numbers by lot: each from the SHA-256 digest of a short text, so that anybody can work it out again, in any language or by hand.

The text is `seed:label:count`, such as `7:arms 1:0`, in ASCII. The first eight hexadecimal digits of its digest are a whole number below
2^32. One of n is its remainder after division by n; a number at or above the largest multiple of n is passed over, so that no remainder
comes oftener than another, and the next count is taken.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from fairtank.errors import OutOfRangeError

DIGITS = 8
SPAN = 16**DIGITS
LARGEST_SEED = 2**63 - 1
Item = TypeVar("Item")


@dataclass(frozen=True)
class Number:
    """One number of a draw, with all that is needed to work it out again.

    text: what is digested. digits: the first eight hexadecimal digits of the digest. of: one of how many was drawn. result: what came
    out, from 0; None where the number was passed over.
    """

    text: str
    digits: str
    of: int
    result: int | None

    @property
    def value(self) -> int:
        """The digits as a whole number."""
        return int(self.digits, 16)


@dataclass
class Lot:
    """A row of numbers under one label. used: those taken so far, in order."""

    seed: int
    label: str
    used: list[Number] = field(default_factory=list)

    def one_of(self, count: int) -> int:
        """A whole number from 0 to count - 1, each equally likely.

        Parameters
        ----------
        count : int
            How many there are to choose from, 1 to 2^32. One of one needs no number.

        Returns
        -------
        int

        Raises
        ------
        OutOfRangeError
            If there is nothing to choose from, or more than the digits can tell apart.

        References
        ----------
        fips180 (keys from sources.py).

        Examples
        --------
        >>> Lot(7, "arms 1").one_of(6)
        5
        """
        if not 1 <= count <= SPAN:
            raise OutOfRangeError("the count to draw one from", count, f"1 to {SPAN}")
        if count == 1:
            return 0
        limit = SPAN - SPAN % count
        while True:
            text = f"{self.seed}:{self.label}:{len(self.used)}"
            digits = hashlib.sha256(text.encode("ascii")).hexdigest()[:DIGITS]
            value = int(digits, 16)
            self.used.append(Number(text, digits, count, value % count if value < limit else None))
            if value < limit:
                return value % count

    def shuffled(self, items: Sequence[Item]) -> tuple[Item, ...]:
        """The items in an order drawn by lot, each order equally likely.

        From the last place down to the second, the item there changes places with one drawn from it and all before it.

        Parameters
        ----------
        items : sequence
            As they stand before the draw.

        Returns
        -------
        tuple
            The same items.

        References
        ----------
        fisher1938 (keys from sources.py).

        Examples
        --------
        >>> Lot(7, "planting order").shuffled(("T1", "T2", "T3"))
        ('T2', 'T1', 'T3')
        """
        row = list(items)
        for place in range(len(row) - 1, 0, -1):
            other = self.one_of(place + 1)
            row[place], row[other] = row[other], row[place]
        return tuple(row)
