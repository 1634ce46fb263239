"""What the colours of a whole trial are brought to: one level for all tanks, frozen with the reference photos.

Each photo's card is compared with the card in its own unit's reference photo, field by field: whatever is peculiar to that card and
its place (its ink, light that falls off across it) is in both and drops out. Then one factor per channel, the same for all photos of
the unit, brings the unit's reference photo to the level that is in the middle of all units. Without that factor what the phone made of
each reference photo (its exposure and its white) would stay in the tank's colours for the whole trial, as a difference between tanks.
A curve instead of the factor would take light that falls off across one card for the camera's tone curve.

The price: the factor rests on the light that falls on the card. A card that gets twice as much of the lamp as the others makes its tank
look half as light, in all photos alike; what changes over time is not touched by it. So cards belong in the same place at every tank.

Only the first reference photo of each unit counts, and only those of the trial's first week (of the first week that has any, where photos
begin later): photos, layouts and rounds that are added later do not move the target.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fairtank.card import GREYS, PATCHES
from fairtank.science.srgb import linear_from_srgb
from fairtank.vision.card.reading import CardReading
from fairtank.vision.colour.correction import FEWEST_FIELDS, told_fields

_GREYS = np.array([PATCHES.index(patch) for patch in GREYS])
_PRINTED = linear_from_srgb(np.array([patch.srgb for patch in PATCHES]) / 255)


@dataclass(frozen=True, eq=False)
class ColourTarget:
    """What all units of a trial are brought to.

    card_level: array (3,), light of the cards' greys over the light they are printed with; None without cards. patch_level: array (3,),
    linear light of the painted patches; None without patches.
    """

    card_level: np.ndarray | None = None
    patch_level: np.ndarray | None = None


@dataclass(frozen=True, eq=False)
class UnitColours:
    """What the photos of one unit are brought to.

    scale: array (3,), from the linear light of its reference photo to that of the trial. fields: array (12, 3), linear light of its card's
    fields in the trial, NaN where the reference photo does not tell; None without a card. patch: array (3,), linear light of its painted
    patch in the trial; None without one.
    """

    scale: np.ndarray
    fields: np.ndarray | None = None
    patch: np.ndarray | None = None

    @property
    def basis(self) -> str:
        """What the colours of this unit rest on: `card`, `patch` or `none`."""
        return "card" if self.fields is not None else "patch" if self.patch is not None else "none"


AS_STORED = UnitColours(np.ones(3))


def card_level(card: CardReading) -> np.ndarray | None:
    """How light a card's greys look over how light they are printed, by channel; None when too few of them can be told.

    Parameters
    ----------
    card : CardReading

    Returns
    -------
    array of shape (3,) or None

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> fields = np.array([patch.srgb for patch in PATCHES], float)
    >>> card_level(CardReading(0, 4, np.zeros((4, 2)), 3.0, fields, np.zeros(12, bool))).tolist()
    [1.0, 1.0, 1.0]
    """
    greys = _GREYS[told_fields(card.patches, card.clipped)[_GREYS]]
    if len(greys) < FEWEST_FIELDS:
        return None
    return np.asarray(linear_from_srgb(card.patches[greys] / 255).sum(axis=0) / _PRINTED[greys].sum(axis=0))


def colour_target_of(cards: Iterable[CardReading | None], patches: Iterable[np.ndarray | None] = ()) -> ColourTarget:
    """The level in the middle of the units' reference photos.

    Parameters
    ----------
    cards : iterable of CardReading or None
        One for each unit, read from its reference photo.
    patches : iterable of array of shape (3,) or None
        Mean stored colour of each unit's painted patch in its reference photo. [0 to 255]

    Returns
    -------
    ColourTarget

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> colour_target_of([None], [np.full(3, 255.0)]).patch_level.tolist()
    [1.0, 1.0, 1.0]
    """
    levels = [level for card in cards if card is not None and (level := card_level(card)) is not None]
    seen = [linear_from_srgb(patch / 255) for patch in patches if patch is not None]
    return ColourTarget(*(np.exp(np.median(np.log(part), axis=0)) if part else None for part in (levels, seen)))


def unit_colours(card: CardReading | None, patch: np.ndarray | None, target: ColourTarget) -> UnitColours:
    """What the photos of a unit are brought to, from its own reference photo and the trial's level.

    Parameters
    ----------
    card : CardReading or None
        As its reference photo shows it.
    patch : array of shape (3,) or None
        Mean stored colour of its painted patch there. [0 to 255]
    target : ColourTarget
        Of the trial.

    Returns
    -------
    UnitColours

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> unit_colours(None, None, ColourTarget()).basis
    'none'
    """
    level = card_level(card) if card is not None else None
    fields, scale = None, np.ones(3)
    if card is not None and level is not None and target.card_level is not None:
        scale = target.card_level / level
        fields = np.where(told_fields(card.patches, card.clipped)[:, None], scale * linear_from_srgb(card.patches / 255), np.nan)
    elif patch is not None and target.patch_level is not None:
        scale = target.patch_level / linear_from_srgb(patch / 255)
    return UnitColours(scale, fields, None if patch is None else scale * linear_from_srgb(patch / 255))
