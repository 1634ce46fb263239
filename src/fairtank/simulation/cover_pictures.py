"""Rendered tanks with a wanted cover of algae or plants, so that a keeper sees what a per cent looks like."""

from dataclasses import dataclass, fields

import numpy as np

from fairtank.errors import InputError
from fairtank.simulation.demo import scenario
from fairtank.simulation.growth import TankState
from fairtank.simulation.photo import RenderedPhoto
from fairtank.simulation.scenario import Scenario
from fairtank.simulation.scene import render_photo

# The covers that are shown for each measure. [%]
SHOWN_PCT = {"algae_cover": (2.0, 5.0, 10.0, 20.0), "plant_cover": (10.0, 20.0, 30.0, 40.0)}
SIZE = (800, 600)
CLOSE_PCT, MOST_TRIES = 0.25, 5
_EDGE_SHARE = 0.03
_UNIT, _DAY = "T1", 0
# With algae shown the plants are few, so that they hide none; with plants shown there are next to no algae.
_FEW_PLANTS, _FEW_ALGAE_PCT = 0.25, 0.3
_BARE = TankState(_FEW_PLANTS, _FEW_PLANTS, _FEW_ALGAE_PCT)


@dataclass(frozen=True)
class CoverPicture:
    """One rendered tank. cover_pct: what covers it, counted in the picture's own truth [% of the glass under water, without the bed's
    edge and what hangs in the water]."""

    photo: RenderedPhoto
    cover_pct: float

    @property
    def tank(self) -> np.ndarray:
        """The picture cut to the tank: array (height, width, 3), uint8 sRGB; all pictures of one size are cut alike."""
        corners = np.array(self.photo.truth.corners)
        (left, top), (right, bottom) = corners.min(0), corners.max(0)
        edge = _EDGE_SHARE * (right - left)
        rows = slice(max(round(top - edge), 0), round(bottom + edge))
        return self.photo.image[rows, max(round(left - edge), 0):round(right + edge)]


@dataclass(frozen=True)
class _Held(Scenario):
    """A scenario whose tanks stand as they are told."""

    held: TankState = _BARE

    def state(self, unit: str, day: int) -> TankState:
        """The state that is held."""
        return self.held


def cover_picture(measure: str, wanted_pct: float, size: tuple[int, int] = SIZE) -> CoverPicture:
    """A rendered tank whose cover is the wanted one, to a quarter of a percentage point where it can be.

    What the growth model asks for is not what a picture shows, because leaves hide algae; so the picture is rendered again with another
    state until its own truth fits. The tank is invented, and always the same one.

    Parameters
    ----------
    measure : str
        `algae_cover` or `plant_cover`.
    wanted_pct : float
        Cover. [%], above 0
    size : (int, int)
        Width and height of the picture. [px], at least 512 wide

    Returns
    -------
    CoverPicture

    Raises
    ------
    InputError
        If there are no pictures of that measure.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if measure not in SHOWN_PCT:
        raise InputError("measure", measure, " or ".join(SHOWN_PCT))
    asked, best = wanted_pct, None
    for _ in range(MOST_TRIES):
        found = _rendered(measure, asked, size)
        if best is None or abs(found.cover_pct - wanted_pct) < abs(best.cover_pct - wanted_pct):
            best = found
        if abs(best.cover_pct - wanted_pct) <= CLOSE_PCT:
            break
        asked = min(asked * wanted_pct / max(found.cover_pct, 0.05), 90.0)
    assert best is not None
    return best


def _rendered(measure: str, asked_pct: float, size: tuple[int, int]) -> CoverPicture:
    """One try: algae as the model's own per cent, plants as a share of a full tank (half of the picture, about)."""
    plants = min(asked_pct / 50.0, 1.0) if measure == "plant_cover" else _FEW_PLANTS
    state = TankState(plants, plants, asked_pct if measure == "algae_cover" else _FEW_ALGAE_PCT)
    base = scenario("midday")
    held = _Held(**{one.name: getattr(base, one.name) for one in fields(Scenario)}, held=state)
    photo = render_photo(held, _UNIT, _DAY, size)
    return CoverPicture(photo, float(photo.truth.row()[measure] or 0.0))
