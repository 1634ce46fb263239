"""Algae spots on the front glass: dots that the next photo shows again, per area of glass that is open in both."""

import re
from itertools import pairwise

import numpy as np

from fairtank.registry import measure
from fairtank.trial import Event
from fairtank.vision.glass import CELLS_PER_CM
from fairtank.vision.quality.verdicts import USABLE
from fairtank.vision.sequence import Moment
from fairtank.vision.spots import SpotNote

# A dot is the same dot within this distance: 2.5 px at 24 px per cm. Bubbles, fish and grains of noise do not stay.
SAME_PLACE_CM = 0.12
# Less open glass than this says nothing of the tank.
LEAST_OPEN_CM2 = 50.0
_CLEANED = re.compile(r"\b(clean|wip|scrap|scrub|polish|rubb|brush)(e|ed|ing|es|s|ped|ping|bed|bing)?\b", re.IGNORECASE)
_GLASS = re.compile(r"\b(glass|glasses|pane|panes|front|window|windows|tank|tanks|wall|walls|algae)\b", re.IGNORECASE)
_OTHER = re.compile(r"\b(filter|sponge|hoses?|pipes?|lamps?|lens|pump|heater|gravel|substrate|stones?|wood|lid|cover)\b", re.IGNORECASE)
ONLY_GREEN = (
    "Spots are small green dots that stay in place; how well they are found was checked on rendered photos with exact truth. "
    "Brown dust, and dots in front of plants, are not counted."
)


@measure(
    key="algae_spots", title="Algae spots", unit="per 100 cm²", scale="identity", span=(0.0, 10_000.0), sources=("common_practice",),
    caution=ONLY_GREEN, over="sequence",
)
def algae_spots(moments: tuple[Moment, ...]) -> tuple[dict[str, float], ...]:
    """Green dots on the front glass per 100 cm² of open water, each of them seen again in the next photo.

    One photo cannot tell a spot from a bubble. A dot counts when the unit's next usable photo shows one within 0.12 cm; dots and area are
    those of glass in front of open water in both photos. Doubtful photos are passed over: in a blurred one nothing is found, and
    nothing confirmed. Where the glass was cleaned in between nothing can be confirmed either.

    Parameters
    ----------
    moments : tuple of Moment
        Usable photos of one unit, in the order of time.

    Returns
    -------
    tuple of dict of str to float
        For each moment one value under the empty name. [per 100 cm²] Empty for doubtful photos, for the last photo, for the last one
        before the glass was cleaned, and where less than 50 cm² are open in both photos.

    References
    ----------
    common_practice (keys from sources.py).
    """
    found: list[dict[str, float]] = [{} for _ in moments]
    clear = [number for number, moment in enumerate(moments) if moment.quality == USABLE and moment.spots is not None]
    for number, next_number in pairwise(clear):
        now, later = moments[number].spots, moments[next_number].spots
        cleaned = any(is_glass_cleaning(event) for moment in moments[number:next_number] for event in moment.events)
        density = _confirmed_density(now, later) if now and later and not cleaned else None
        if density is not None:
            found[number][""] = density
    return tuple(found)


def is_glass_cleaning(event: Event) -> bool:
    """Whether an event says that the front glass was cleaned: a word for cleaning in its kind or note, and the glass or nothing else named.

    Parameters
    ----------
    event : Event

    Returns
    -------
    bool

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> from datetime import datetime
    >>> is_glass_cleaning(Event((), datetime(2026, 3, 8, 19), None, 7, 7, "upkeep", "front pane wiped"))
    True
    """
    text = f"{event.kind} {event.note}".replace("_", " ")
    return bool(_CLEANED.search(text)) and (bool(_GLASS.search(text)) or not _OTHER.search(text))


def confirmed(now: SpotNote, later: SpotNote) -> np.ndarray:
    """Which dots of a photo the next one shows again, on glass that is open in both.

    Parameters
    ----------
    now, later : SpotNote
        Of two photos of one unit that follow one another.

    Returns
    -------
    array of shape (n,), bool
        One for each dot of `now`.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if not len(now.places) or not len(later.places):
        return np.zeros(len(now.places), bool)
    both = now.open_water & later.open_water
    column, row = np.floor(now.places * CELLS_PER_CM).astype(int).T
    is_open = both[row.clip(0, both.shape[0] - 1), column.clip(0, both.shape[1] - 1)]
    apart_cm = np.hypot(*(now.places[:, None].astype(float) - later.places[None]).transpose(2, 0, 1))
    return np.asarray(is_open & (apart_cm.min(axis=1) <= SAME_PLACE_CM))


def _confirmed_density(now: SpotNote, later: SpotNote) -> float | None:
    """Confirmed dots per 100 cm² that are open in both photos; None where too little is, or where the two frames differ in size."""
    if now.open_water.shape != later.open_water.shape:
        return None
    open_cm2 = np.count_nonzero(now.open_water & later.open_water) / CELLS_PER_CM**2
    if open_cm2 < LEAST_OPEN_CM2:
        return None
    return 100 * np.count_nonzero(confirmed(now, later)) / open_cm2
