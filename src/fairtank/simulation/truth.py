"""What is truly in a rendered photo: visible labels, cover, canopy, corners and gains."""

from dataclasses import dataclass, field

import numpy as np

from fairtank.simulation import room, substrate
from fairtank.simulation.camera import TANK_HEIGHT_CM, TANK_WIDTH_CM, Shot, View, corners_in_photo
from fairtank.simulation.water import Water, tint_and_haze
from fairtank.trial import Corners

OTHER, PLANT, ALGAE = 0, 1, 2
# Smaller spots do not count. [cm]
SPOT_CM = 0.06


@dataclass(frozen=True)
class Truth:
    """The exact truth of one photo.

    label: array of the photo's size, uint8: 0 other, 1 plant, 2 algae, whatever is in front at that pixel (algae on the glass in front
    of a plant are algae). corners: of the front glass [px of the upright photo]. plant_frame_pct, algae_frame_pct: share of the whole
    frame [%]. plant_cover_pct, algae_cover_pct: share of the frame without equipment, the substrate strip and the dry rim [%].
    carpet_cover_pct: plants on the floor zone [%]. canopy_height_cm: 90th percentile, over the columns that hold plants, of the top of
    the plants above the substrate's line at the front glass [cm at the front glass]; None without plants. gains: of red, green and blue
    in linear light. spots: array (n, 3): middle from the frame's top-left and radius of every spot on the front glass, where neither
    plant nor film hides the open water [cm]. algae_spots: number of those with a radius of SPOT_CM or more, per 100 cm² of it.
    water_tint: CIEDE2000 of the backdrop against the first photo's. haze_pct: contrast lost since then [%].
    """

    label: np.ndarray
    corners: Corners
    plant_frame_pct: float
    algae_frame_pct: float
    plant_cover_pct: float
    algae_cover_pct: float
    carpet_cover_pct: float
    canopy_height_cm: float | None
    gains: tuple[float, float, float]
    spots: np.ndarray = field(default_factory=lambda: np.zeros((0, 3)))
    algae_spots: float = 0.0
    water_tint: float = 0.0
    haze_pct: float = 0.0

    def row(self) -> dict[str, float | None]:
        """The truth as one row: measure key to value; cover in % of the valid area, canopy in cm."""
        return {
            "plant_cover": self.plant_cover_pct,
            "algae_cover": self.algae_cover_pct,
            "carpet_cover": self.carpet_cover_pct,
            "canopy_height": self.canopy_height_cm,
            "algae_spots": self.algae_spots,
            "water_tint": self.water_tint,
            "haze": self.haze_pct,
            "plant_cover_of_frame": self.plant_frame_pct,
            "algae_cover_of_frame": self.algae_frame_pct,
            "gain_red": self.gains[0],
            "gain_green": self.gains[1],
            "gain_blue": self.gains[2],
        }


def zones_cm(view: View) -> dict[str, tuple[str, tuple[tuple[float, float], ...]]]:
    """The zones of the frame by key: kind and polygon [cm from the frame's top-left, y down]."""
    line = TANK_HEIGHT_CM - substrate.FRONT_CM
    back = (view.point(np.array([0.0, TANK_WIDTH_CM]), 8.0, 28.0) - (view.left_px, view.top_px)) / view.px_per_cm
    (x0, y0), (x1, _) = ((round(float(a), 2), round(float(b), 2)) for a, b in back)
    dry = round(TANK_HEIGHT_CM - room.WATER_LINE_CM, 2)
    return {
        "heater": ("static", room.equipment_outline_cm(view, room.HEATER)),
        "inlet": ("static", room.equipment_outline_cm(view, room.INLET)),
        "floor": ("floor", ((0.0, line), (TANK_WIDTH_CM, line), (x1, y0), (x0, y0))),
        "backdrop": ("backdrop", ((15.0, 5.5), (31.0, 5.5), (31.0, 9.5), (15.0, 9.5))),
        "front strip": ("ignore", ((0.0, line), (TANK_WIDTH_CM, line), (TANK_WIDTH_CM, TANK_HEIGHT_CM), (0.0, TANK_HEIGHT_CM))),
        "dry rim": ("ignore", ((0.0, 0.0), (TANK_WIDTH_CM, 0.0), (TANK_WIDTH_CM, dry), (0.0, dry))),
    }


def _zone_mask(view: View, shape: tuple[int, int], *kinds: str) -> np.ndarray:
    import cv2

    mask = np.zeros(shape, np.uint8)
    for kind, polygon in zones_cm(view).values():
        if kind in kinds:
            cv2.fillPoly(mask, [np.round(np.array(polygon) * view.px_per_cm).astype(np.int32)], 1)
    return mask > 0


@dataclass(frozen=True)
class Glass:
    """What is on and behind the front glass of a photo. spots: array (n, 3), middles and radii [cm]. hidden: bool mask of the tank box,
    where plants or a film hide the open water. ground: the bare tank box in clear water, uint8 RGB. first, now: the water.
    """

    spots: np.ndarray
    hidden: np.ndarray
    ground: np.ndarray
    first: Water
    now: Water


def _spots_in_open_water(view: View, glass: Glass, valid: np.ndarray, floor: np.ndarray) -> tuple[np.ndarray, float]:
    """The spots in open water, and how many of them count per 100 cm² of it."""
    open_water = valid & ~glass.hidden & ~np.maximum.accumulate(floor, axis=0)
    at = np.floor(glass.spots[:, :2] * view.px_per_cm).astype(int)
    inside = np.all((at >= 0) & (at < np.array(open_water.shape[::-1])), axis=1)
    inside[inside] = open_water[at[inside, 1], at[inside, 0]]
    found, area_cm2 = glass.spots[inside], np.count_nonzero(open_water) / view.px_per_cm**2
    return found, 100 * np.count_nonzero(found[:, 2] >= SPOT_CM) / area_cm2 if area_cm2 else 0.0


def truth_of(label: np.ndarray, view: View, exposure: Shot, glass: Glass) -> Truth:
    """The truth of a photo from the labels of its canvas, and from what is on its glass."""
    import cv2

    box = label[view.tank_box]
    valid = ~_zone_mask(view, box.shape, "static", "ignore")
    floor = _zone_mask(view, box.shape, "floor") & valid
    backdrop = _zone_mask(view, box.shape, "backdrop")
    counted_spots, algae_spots = _spots_in_open_water(view, glass, valid, floor)
    tint, haze_pct = tint_and_haze(glass.ground, backdrop, _zone_mask(view, box.shape, "static"), glass.first, glass.now)
    plant, green = box == PLANT, box == ALGAE
    tops = np.argmax(plant, 0)[plant.any(0)]
    heights = TANK_HEIGHT_CM - substrate.FRONT_CM - tops / view.px_per_cm
    seen = cv2.warpPerspective(label, exposure.homography, (view.width_px, view.height_px), flags=cv2.INTER_NEAREST)
    return Truth(
        label=seen,
        corners=corners_in_photo(view, exposure.homography),
        plant_frame_pct=100 * float(plant.mean()),
        algae_frame_pct=100 * float(green.mean()),
        plant_cover_pct=100 * float(plant[valid].mean()),
        algae_cover_pct=100 * float(green[valid].mean()),
        carpet_cover_pct=100 * float(plant[floor].mean()),
        canopy_height_cm=float(np.percentile(heights, 90)) if len(heights) else None,
        gains=exposure.gains,
        spots=counted_spots,
        algae_spots=algae_spots,
        water_tint=tint,
        haze_pct=haze_pct,
    )
