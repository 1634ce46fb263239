"""Whether a factor goes along with the arms: numbers by the difference between the arms, words by whether they tell the arm."""

import statistics
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fairtank.planning.evenness.arrangements import arrangements, chance_of
from fairtank.planning.evenness.layout import Cell, Contrast, Layout

# Like tanks scatter by about a third of the tolerance; this is worth as much as four tanks more. Assumptions.
LIKE_SCATTER, LIKE_WORTH = 1 / 3, 4.0
# Arms further apart than so many tolerances, of tanks that scatter by less than this share of it, are apart in any number of tanks.
PLAINLY_APART, PLAINLY_ALIKE = 2.0, 0.6
ROUNDING = 1e-9  # tolerances: what fitting a difference may add to it
FURTHEST = 1e9  # tolerances: anything further off counts as that far
# Student's t beyond which the lot goes one time in a hundred, by degrees of freedom (two sides).
_T_DEGREES = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 30, 60, 1000)
_T_99 = (63.657, 9.925, 5.841, 4.604, 4.032, 3.707, 3.499, 3.355, 3.250, 3.169, 3.055, 2.947, 2.845, 2.750, 2.660, 2.581)
# Words that tell the arm count as aligned where the lot does that so seldom; in few tanks, where it cannot do it less often.
SELDOM, VERY_SELDOM = 0.1, 0.01
# Places on a shelf are what the lot deals out, so that an order of them means less where it was drawn.
SELDOM_IF_DRAWN = 0.05


@dataclass(frozen=True)
class Along:
    """How a factor lies to one comparison.

    is_aligned: it goes along with the arms. difference: of the arms' means, from the first side to the last; None for words. chance: how
    often the lot would do as much; None where that is not reckoned. contrast: which comparison.
    """

    contrast: Contrast
    is_aligned: bool
    difference: float | None = None
    chance: float | None = None


def numbers_along(values: Mapping[str, float], layout: Layout, contrast: Contrast, tolerance: float) -> Along:
    """Whether numbers go along with the arms.

    They do where the difference between the arms is larger than the tolerance and larger than the lot gives one time in a hundred, among
    tanks that scatter as these do inside their arms and blocks; or, in few tanks, where the arms are more than two tolerances apart and
    the tanks of one arm are much closer together than that. With one tank in each arm the tolerance alone decides.

    Parameters
    ----------
    values : mapping of str to float
        The factor in each unit that it is known of.
    layout, contrast : Layout, Contrast
        How the arms lie, and which are compared.
    tolerance : float
        In the unit of the values, 0 or more.

    Returns
    -------
    Along

    References
    ----------
    student1908 for the table of t (keys from sources.py); the share of the tolerance is an assumption.
    """
    cells = [cell for cell in layout.within(contrast) if any(unit in values for unit in cell.units)]
    scale = tolerance or 1.0
    middle = statistics.median(values.values())  # in tolerances from the middle, so that no number is too large to be squared
    observed = np.clip([float(np.mean([(values[unit] - middle) / scale for unit in cell.units if unit in values])) for cell in cells],
                       -FURTHEST, FURTHEST)
    places = np.array([contrast.places[cell.arm] for cell in cells])
    if len(set(places.tolist())) < 2:
        return Along(contrast, is_aligned=False)
    beside = [np.array([other.places[cell.arm] for cell in cells]) for other in layout.contrasts if other is not contrast] \
        if layout.adjusts else []
    apart, unscaled, scatter, degrees = _fitted(observed, places, beside, cells)
    difference = apart * scale
    alike = 1.0 if tolerance else 0.0
    if abs(apart) <= alike + ROUNDING:  # a day apart where a day is allowed is within it
        return Along(contrast, is_aligned=False, difference=difference)
    if layout.is_single(contrast):
        return Along(contrast, is_aligned=True, difference=difference)
    error = _error(scatter, degrees, alike) * unscaled
    is_plain = abs(apart) > PLAINLY_APART * alike and scatter <= PLAINLY_ALIKE * alike
    is_aligned = is_plain or error == 0 or abs(apart) / error > _t_99(_worth(scatter, degrees, alike))
    return Along(contrast, is_aligned=bool(is_aligned), difference=difference)


def _fitted(observed: NDArray[np.float64], places: NDArray[np.float64], beside: Sequence[NDArray[np.float64]],
            cells: Sequence[Cell]) -> tuple[float, float, float, int]:
    """Difference between the arms inside blocks, its error for a scatter of 1, the scatter, and its degrees of freedom."""
    blocks = [cell.blocks[0] if cell.blocks else "" for cell in cells]
    mixed = {block for block in blocks if len({place for place, own in zip(places, blocks, strict=True) if own == block}) > 1}
    names = sorted(set(blocks)) if mixed else [""]
    dummies = [np.array([float(own == name) for own in blocks]) for name in names] if mixed else [np.ones(len(cells))]
    design = np.column_stack([*dummies, *beside, places])
    inverse = np.linalg.pinv(design.T @ design)
    fitted = inverse @ design.T @ observed
    degrees = len(cells) - int(np.linalg.matrix_rank(design))
    left = observed - design @ fitted
    scatter = float(np.sqrt(left @ left / degrees)) if degrees > 0 else 0.0
    return float(fitted[-1]), float(np.sqrt(max(inverse[-1, -1], 0.0))), scatter, degrees


def _error(scatter: float, degrees: int, tolerance: float) -> float:
    """The scatter to reckon with: that of the tanks, and not much less than like tanks usually show."""
    usual = LIKE_SCATTER * tolerance
    mixed = float(np.sqrt((LIKE_WORTH * usual**2 + degrees * scatter**2) / (LIKE_WORTH + degrees)))
    return max(mixed, scatter)


def _worth(scatter: float, degrees: int, tolerance: float) -> float:
    """Degrees of freedom: those of the tanks, and what is known of like tanks as far as these scatter no more."""
    usual = LIKE_SCATTER * tolerance
    return degrees + LIKE_WORTH * (1.0 if scatter <= usual else (usual / scatter) ** 2)


def _t_99(degrees: float) -> float:
    """Student's t for 99 % between both ends, read from the table along 1 / degrees."""
    steps = [-1 / one for one in _T_DEGREES]
    return float(np.interp(-1 / max(degrees, 0.5), steps, _T_99))


def words_along(values: Mapping[str, str], layout: Layout, contrast: Contrast, *, is_dealt: bool = False) -> Along:
    """Whether words go along with the arms: knowing the word tells the arm.

    Counted are pairs of tanks with one word that also share an arm. A word that one tank has alone tells nothing, where the arms have
    several tanks. What is alike inside a block cannot tell the arms apart there.

    Parameters
    ----------
    values : mapping of str to str
        The word of each unit that it is known of, as it is compared.
    layout, contrast : Layout, Contrast
        How the arms lie, and which are compared.
    is_dealt : bool
        The factor is what the lot deals out (a place): it then counts only where the lot does so seldom.

    Returns
    -------
    Along

    References
    ----------
    fisher1935 (the test by all dealings; keys from sources.py).
    """
    cells = [cell for cell in layout.within(contrast) if any(unit in values for unit in cell.units)]
    words = [" / ".join(sorted({values[unit] for unit in cell.units if unit in values})) for cell in cells]
    arms = [cell.arm for cell in cells]
    if len(set(words)) < 2 or len({contrast.places[arm] for arm in arms}) < 2:
        return Along(contrast, is_aligned=False)
    if layout.is_single(contrast) or (max(Counter(arms).values()) == 1 and not contrast.is_trend and not layout.adjusts):
        return Along(contrast, is_aligned=True)  # all that is known of it differs
    if contrast.is_trend and max(Counter(arms).values()) == 1:
        ordered = [word for _, word in sorted(zip((contrast.places[arm] for arm in arms), words, strict=True))]
        changes = sum(one != other for one, other in pairwise(ordered))
        return Along(contrast, is_aligned=changes == len(set(words)) - 1 < len(words) - 1)
    return _told_apart(words, [contrast.places[arm] for arm in arms], cells, contrast, is_dealt=is_dealt and layout.is_drawn)


def _told_apart(words: list[str], places: list[float], cells: Sequence[Cell], contrast: Contrast, *, is_dealt: bool) -> Along:
    blocks = [cell.blocks[0] if cell.blocks else "" for cell in cells]
    if not any(len({place for place, own in zip(places, blocks, strict=True) if own == block}) > 1 for block in set(blocks)):
        blocks = [""] * len(cells)
    groups = _numbered(places)
    fewest = 2 / len(arrangements(groups, _numbered(blocks)))
    telling = [index for index, block in enumerate(blocks)
               if len({word for word, own in zip(words, blocks, strict=True) if own == block}) > 1
               and len({place for place, own in zip(places, blocks, strict=True) if own == block}) > 1]
    if not telling:
        return Along(contrast, is_aligned=False)
    words, places, blocks = [words[index] for index in telling], [places[index] for index in telling], [blocks[index] for index in telling]
    statistic = _alike_pairs(arrangements(_numbered(places), _numbered(blocks)), words)
    chance = chance_of(statistic)
    is_perfect = all(len({place for place, own in zip(places, words, strict=True) if own == word}) == 1 for word in set(words))
    allowed = SELDOM_IF_DRAWN if is_dealt else max(SELDOM, fewest)
    is_aligned = (is_perfect and chance <= allowed + 1e-9) or chance <= VERY_SELDOM
    return Along(contrast, is_aligned=bool(is_aligned and statistic[0] > 0), chance=chance)


def _alike_pairs(dealt: NDArray[np.int64], words: Sequence[str]) -> NDArray[np.float64]:
    """For each dealing, how many pairs of tanks share both word and side."""
    held = np.array([[word == one for one in dict.fromkeys(words)] for word in words], dtype=float)
    pairs = np.zeros(len(dealt))
    for side in np.unique(dealt):
        counts = (dealt == side).astype(float) @ held
        pairs += (counts * (counts - 1)).sum(axis=1) / 2
    return pairs


def order_along(values: Mapping[str, float], layout: Layout, contrast: Contrast, tolerance: float) -> Along:
    """Whether places order with the arms: in every block one side stands at one end, and further off than neighbours stand.

    Parameters
    ----------
    values : mapping of str to float
        The place of each unit, counted.
    layout, contrast : Layout, Contrast
        How the arms lie, and which are compared.
    tolerance : float
        How many places count as near.

    Returns
    -------
    Along

    References
    ----------
    hollander1973 (the sum of ranks; keys from sources.py).
    """
    cells = [cell for cell in layout.within(contrast) if cell.units[0] in values]
    sides = [contrast.places[cell.arm] for cell in cells]
    blocks = [cell.blocks[0] if cell.blocks else "" for cell in cells]
    own = np.array([values[cell.units[0]] for cell in cells])
    if len(set(sides)) < 2:
        return Along(contrast, is_aligned=False)
    low, high = (own[[side == end for side in sides]].mean() for end in (min(sides), max(sides)))
    ranks = np.zeros(len(own))
    for block in set(blocks):
        inside = [index for index, name in enumerate(blocks) if name == block]
        held = own[inside]
        ranks[inside] = (held[:, None] > held).sum(axis=1) + (held[:, None] == held).sum(axis=1) / 2
    dealt = arrangements(_numbered(sides), _numbered(blocks))
    sums = np.array(sorted(set(sides)))[dealt] @ ranks
    away = np.abs(sums - sums.mean())
    chance = chance_of(away)
    is_dealt = layout.is_drawn and (len(set(blocks)) > 1 or len(set(own.tolist())) == len(own))
    is_ordered = away[0] >= away.max() - 1e-9 and chance <= (SELDOM_IF_DRAWN if is_dealt else SELDOM) + 1e-9
    return Along(contrast, is_aligned=bool(is_ordered and abs(high - low) > tolerance), difference=float(high - low), chance=chance)


def _numbered(names: Sequence[object]) -> tuple[int, ...]:
    """Names as numbers: floats by their size, others in the order in which they come."""
    known = sorted(set(names)) if all(isinstance(name, float) for name in names) else list(dict.fromkeys(names))  # type: ignore[type-var]
    return tuple(known.index(name) for name in names)
