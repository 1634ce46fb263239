"""What keeps the colours of a trial's units from being compared, said in sentences."""

from collections import Counter
from collections.abc import Iterable

import numpy as np

from fairtank.vision.view import View

# The reference photo of one unit against the middle of all: how many times as light, and how far its white may lean to one side.
_LIGHT_FAR, _WHITE_FAR = 1.6, 1.25
_THINGS = {"card": "a photo card", "patch": "a painted patch", "none": "nothing"}


def colour_cautions(views: Iterable[View]) -> tuple[str, ...]:
    """What a keeper should know about the colours of a trial before units are compared, one sentence each.

    Parameters
    ----------
    views : iterable of View
        Brought to the colours of the trial; of several views of a unit the first counts.

    Returns
    -------
    tuple of str
        None where every unit has a card or every unit has a patch, each seen in much the same light, and none where no unit has either.

    References
    ----------
    common_practice (keys from sources.py).
    """
    first: dict[str, View] = {}
    for view in views:
        first.setdefault(view.unit, view)
    return (*_mixed(first), *_same_card(first), *_missing_card(first), *_other_light(first))


def _mixed(first: dict[str, View]) -> list[str]:
    units = {basis: [unit for unit, view in first.items() if view.colours.basis == basis] for basis in _THINGS}
    parts = [f"{', '.join(units[basis])} on {thing}" for basis, thing in _THINGS.items() if units[basis]]
    if len(parts) < 2:
        return []
    return [f"Colours are not comparable between all units, because they rest on different things: {'; '.join(parts)}."]


def _same_card(first: dict[str, View]) -> list[str]:
    shown = {unit: view.card.card for unit, view in first.items() if view.card is not None}
    said = []
    for number in sorted(card for card, times in Counter(shown.values()).items() if times > 1):
        units = ", ".join(unit for unit, card in shown.items() if card == number)
        said.append(f"The reference photos of {units} show the same photo card, number {number}: it cannot tell these units apart.")
    return said


def _missing_card(first: dict[str, View]) -> list[str]:
    return [
        f"The reference photo of {unit} does not show the unit's photo card, number {view.card_of_unit}: its colours cannot rest on it."
        for unit, view in first.items() if view.card_of_unit is not None and view.card is None
    ]  # fmt: skip


def _other_light(first: dict[str, View]) -> list[str]:
    said = []
    for unit, view in first.items():
        lighter = -np.log(view.colours.scale)
        level = float(np.exp(lighter.mean()))
        if 1 / _LIGHT_FAR < level < _LIGHT_FAR and np.ptp(lighter) < np.log(_WHITE_FAR):
            continue
        thing = "photo card" if view.colours.basis == "card" else "patch"
        said.append(
            f"In the reference photo of {unit} the {thing} is {level:.2g} times as light as in the middle of all units, or of other white. "
            f"If that is the light it stands in and not the camera, the colours of {unit} are off by as much: "
            "give it the same place at every tank."
        )
    return said
