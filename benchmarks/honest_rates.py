"""Shares with their Monte-Carlo limits, and the bound that an honest method must not cross."""

import math
from dataclasses import dataclass
from typing import Any

from fairtank.science.cover import wilson

PROMISED, Z_BOUND = 0.05, 2.58


@dataclass(frozen=True)
class Share:
    """A count out of so many, as a share with the limits within which 19 of 20 such simulations would find it (Wilson)."""

    count: int
    of: int

    @property
    def share(self) -> float:
        """0 to 1."""
        return self.count / self.of

    @property
    def limits(self) -> tuple[float, float]:
        """Wilson's interval."""
        found = wilson(self.count, self.of)
        return float(found.low), float(found.high)

    @property
    def words(self) -> str:
        """As in a table: `2.4 % (1.6 to 3.5)`."""
        low, high = self.limits
        return f"{100 * self.share:.1f}\u00a0% ({100 * low:.1f} to {100 * high:.1f})"


def bound(of: int) -> float:
    """5 % and 2.58 Monte-Carlo errors: a rate above it is not luck."""
    return PROMISED + Z_BOUND * math.sqrt(PROMISED * (1 - PROMISED) / of)


def share_of(row: dict[str, Any], state: str, way: str, name: str, of: str = "trials") -> Share | None:
    """A share of a recorded setting; state is `null` or `effect`; None where there is nothing to count."""
    counts = row.get(state, {}).get(way, {})
    return Share(counts.get(name, 0), counts[of]) if counts.get(of) else None


def summed(rows: list[dict[str, Any]], state: str, way: str, name: str, of: str = "trials") -> Share:
    """The same over several settings."""
    counts = [row.get(state, {}).get(way, {}) for row in rows]
    return Share(sum(one.get(name, 0) for one in counts), sum(one.get(of, 0) for one in counts))


def faults(row: dict[str, Any]) -> list[str]:
    """In what a setting breaks the promise: false claims, or intervals that miss, beyond the bound; most often nothing."""
    found = []
    claims = share_of(row, "null", "ours", "claims")
    if claims is not None and claims.share > bound(claims.of):
        found.append("claims too often")
    for state, words in (("null", "intervals miss too often where nothing differs"), ("effect", "intervals miss too often with an effect")):
        covered = share_of(row, state, "ours", "covered", "intervals")
        if covered is not None and 1 - covered.share > bound(covered.of):
            found.append(words)
    return found
