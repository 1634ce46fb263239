"""How often each mishap is told and how often a good photo is falsely marked, on rendered photos of known truth.

    python benchmarks/bench_quality.py [--record]

Good photos are those of all tanks from the first day to the last (plants grow all the while), and those of tanks that changed much in one
step, beside a bare and beside a full reference photo: weeks of growth, a trim, algae over half the glass, floating plants, a new heater, a
corner planted anew, brown water before a change. Mishaps are done to base photos spread over tanks and days, each at two strengths. A
mishap is told when the photo is not `usable`, and named when the verdict is the one that names it. Also timed: the look of a photo and
its comparison, beside its decoding.
"""

# ruff: noqa: E402 - the libraries read how many threads they may use when they are imported
import os

for _library in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_library] = "1"

import argparse
import io
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import fields, replace
from typing import Any

import cv2
import numpy as np
from PIL import Image
from recording import circumstances, told

from fairtank.simulation import mishaps, render_photo, scenario
from fairtank.simulation.growth import TankState
from fairtank.simulation.photo import RenderedPhoto
from fairtank.simulation.scenario import Scenario
from fairtank.trial import CardOfUnit, Corners
from fairtank.vision.load import decoded_photo
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.quality.compared import compared
from fairtank.vision.quality.look import look_of
from fairtank.vision.quality.verdicts import quality_of, verdicts_of
from fairtank.vision.view import View, view_of

TRIAL = replace(scenario("midday"), photo_size=(1152, 864))
_SCALE = 1152 / 2016  # strengths in px are meant for a photo 2016 px wide
UNITS = tuple(unit.key for unit in TRIAL.plan.units)
GOOD_DAYS = (2, 9, 16, 23, 30, 37)
CHANGED_UNITS = UNITS[:3]  # those that also change much in one step
BASE_DAYS = {"T1": (4, 11, 21, 36), "T2": (3, 13, 23, 35)}
OTHER_BASE_DAYS = (5, 17, 32)  # of the other tanks
# What a tank that changed much looks like, by a day that stands for it; and the days whose photos are the references it is put beside.
STATES = {
    100: TankState(0.08, 0.22, 1.0), 101: TankState(0.9, 1.0, 4.0), 102: TankState(0.97, 1.0, 8.0), 103: TankState(0.45, 0.9, 6.0),
    104: TankState(0.6, 0.7, 50.0), 105: TankState(0.4, 0.9, 15.0), 106: TankState(0.97, 1.0, 8.0),
}  # fmt: skip
BARE, FULL, GROWN, TRIMMED, HALF_ALGAE, TRIMMED_WITH_ALGAE, BROWN_WATER = STATES
WATER = ((105, 0.0, 0.0), (106, 0.3, 0.1))
SWAPPED_DAYS = 1  # base days of each tank on which another card is put up


class Staged(Scenario):
    """A trial whose tanks stand as STATES says on the days that it names, with the cards of two neighbours swapped if so asked."""

    swapped = False

    def state(self, unit: str, day: int) -> TankState:
        """Plants and algae of a tank on a day."""
        return STATES.get(day) or super().state(unit, day)

    @property
    def cards_of_units(self) -> tuple[CardOfUnit, ...]:
        """The cards; swapped ones go round by one tank."""
        own = super().cards_of_units
        if not self.swapped:
            return own
        return tuple(replace(card, unit=UNITS[UNITS.index(card.unit) - 1]) for card in own)


class Swapped(Staged):
    """Each tank carries the card of the next one."""

    swapped = True


def staged(kind: type[Staged]) -> Staged:
    """The trial in another kind."""
    return kind(**{field.name: getattr(TRIAL, field.name) for field in fields(Scenario)} | {"water_course": WATER})


def somewhere(chance: np.random.Generator, lowest: float) -> tuple[float, float]:
    """A place on the glass, shares of its width and height."""
    return float(chance.uniform(0.15, 0.65)), float(chance.uniform(0.2, lowest))


# Mishap -> (what names it, strengths, from least to most; a lone 0 where there is only one).
Way = Callable[[np.ndarray, Corners, float, np.random.Generator], np.ndarray]
MISHAPS: dict[str, tuple[tuple[str, ...], tuple[float, ...], Way]] = {
    "out of focus, radius px": (("blurred", "not_registered"), (2, 5), lambda p, c, s, r: mishaps.defocused(p, s * _SCALE)),
    "shaken, px": (("blurred", "not_registered"), (6, 14), lambda p, c, s, r: mishaps.shaken(p, s * _SCALE, r.uniform(0, 180))),
    "under-exposed, times": (("under_exposed", "not_registered"), (0.5, 0.18), lambda p, c, s, r: mishaps.exposed(p, s, r)),
    "over-exposed, times": (("over_exposed",), (2, 3.5), lambda p, c, s, r: mishaps.exposed(p, s, r)),
    "lamp mirrored, radius cm": (("glare",), (4, 8), lambda p, c, s, r: mishaps.glare_spot(p, c, s, 0.4, somewhere(r, 0.8))),
    "window mirrored, width cm": (("glare",), (8, 14), lambda p, c, s, r: mishaps.window_reflection(p, c, s, 0.2, somewhere(r, 0.4))),
    "hand, size cm": (("obstructed",), (7, 11), lambda p, c, s, r: mishaps.hand_before(p, c, s, r)),
    "fogged glass, share": (("obstructed",), (0.25, 0.6), lambda p, c, s, r: mishaps.condensation(p, c, s, r)),
    "closed lid, share": (("obstructed", "not_registered"), (0.4, 1.0), lambda p, c, s, r: mishaps.lid_closed(p, c, s, r)),
    "lamp off, light left": (("lights_off", "not_registered"), (0.12, 0.03), lambda p, c, s, r: mishaps.lights_off(p, c, s, r)),
    "water lowered, share": (("water_lowered",), (0.1, 0.25), lambda p, c, s, r: mishaps.water_lowered(p, c, s)),
    "camera moved, cm": (("camera_moved",), (5, 10), lambda p, c, s, r: mishaps.camera_moved(p, c, s)),
}
# What names that the photo shows another tank, another card, or this tank laid out anew.
OTHERS = {
    "other tank": ("wrong_tank", "not_registered"), "other tank, no card": ("wrong_tank", "not_registered"),
    "another tank's card": ("wrong_tank",), "laid out anew, own card": ("laid_out_anew", "not_registered"),
}  # fmt: skip


def stored(picture: np.ndarray) -> bytes:
    """The picture as the phone would keep it."""
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=90)
    return out.getvalue()


def judged(content: bytes, view: View) -> tuple[str, tuple[str, ...]]:
    """Quality and keys of what is wrong."""
    found = verdicts_of(prepared_photo(decoded_photo(content, "photo.jpg"), view).evidence)
    return quality_of(found), tuple(verdict.key for verdict in found)


def rendered(unit: str, day: int, trial: Scenario = TRIAL) -> RenderedPhoto:
    """One photo of the trial."""
    return render_photo(trial, unit, day, TRIAL.photo_size)


Row = tuple[str, float, str, int, str, tuple[str, ...]]


def of_unit(unit: str) -> list[Row]:
    """(mishap, strength, unit, day, quality, keys) of every photo of one tank."""
    cv2.setNumThreads(1)
    view = view_from(unit, rendered(unit, 0))
    bare = replace(view, card=None, card_of_unit=None)
    found = [(name, strength, unit, day, *judged(content, bare if "no card" in name else view))
             for name, strength, day, content in _photos(unit)]
    return [*found, *(_much_changed(unit) if unit in CHANGED_UNITS else [])]


def view_from(unit: str, reference: RenderedPhoto) -> View:
    """The view of a unit whose reference photo this is."""
    frame = replace(next(frame for frame in TRIAL.frames if frame.unit == unit), corners=reference.truth.corners)
    zones = tuple(zone for zone in TRIAL.zones if zone.unit == unit)
    return view_of(frame, zones, decoded_photo(reference.jpeg_bytes(), "first.jpg"))


def _photos(unit: str) -> Iterator[tuple[str, float, int, bytes]]:
    for day in GOOD_DAYS:
        yield "good", 0, day, rendered(unit, day).jpeg_bytes()
    other = UNITS[(UNITS.index(unit) + 1) % len(UNITS)]
    for number, day in enumerate(BASE_DAYS.get(unit, OTHER_BASE_DAYS)):
        photo, neighbour = rendered(unit, day), rendered(other, day).jpeg_bytes()
        yield "other tank", 0, day, neighbour
        yield "other tank, no card", 0, day, neighbour
        if number < SWAPPED_DAYS:
            yield "another tank's card", 0, day, rendered(unit, day, staged(Swapped)).jpeg_bytes()
            yield "laid out anew, own card", 0, day, _with_card_of(unit, other, day).jpeg_bytes()
        for name, (_, strengths, way) in MISHAPS.items():
            for place, strength in enumerate(strengths):
                chance = np.random.default_rng([day, UNITS.index(unit), place, len(name)])
                yield name, strength, day, stored(way(photo.image, photo.truth.corners, strength, chance))


def _with_card_of(unit: str, other: str, day: int) -> RenderedPhoto:
    """Another tank's inside beside this tank's card: what this tank looks like when it was laid out anew."""
    class Given(Staged):
        @property
        def cards_of_units(self) -> tuple[CardOfUnit, ...]:
            own = {card.unit: card for card in super().cards_of_units}
            return (replace(own[unit], unit=other), replace(own[other], unit=unit))

    return rendered(other, day, staged(Given))


def _much_changed(unit: str) -> list[Row]:
    """Photos of a tank that changed much in one step, all of them good, beside a bare and beside a full reference photo."""
    trial = staged(Staged)
    photos = {day: rendered(unit, day, trial) for day in STATES}
    corner = rendered(UNITS[(UNITS.index(unit) + 1) % len(UNITS)], TRIMMED, trial)
    trimmed, grown, chance = photos[TRIMMED], photos[GROWN], np.random.default_rng(UNITS.index(unit))
    done = {
        "heater": mishaps.heater_added(trimmed.image, trimmed.truth.corners, chance.uniform(0.2, 0.8)),
        "floating plants": mishaps.floating_plants(trimmed.image, trimmed.truth.corners, 0.4, chance),
        "floating plants all over": mishaps.floating_plants(grown.image, grown.truth.corners, 1.0, chance),
        "corner planted anew": mishaps.replanted(trimmed.image, trimmed.truth.corners, corner.image, corner.truth.corners),
    }  # fmt: skip
    files = {str(day): photo.jpeg_bytes() for day, photo in photos.items()} | {name: stored(picture) for name, picture in done.items()}
    rows: list[Row] = []
    for reference in (BARE, FULL):
        view = view_from(unit, photos[reference])
        for name, content in files.items():
            if name != str(reference):
                rows.append((f"good, changed since a {'bare' if reference == BARE else 'full'} tank", 0, unit,
                             int(name) if name.isdigit() else 0, *judged(content, view)))
    return rows


def look_ms(repeats: int = 40) -> tuple[float, float]:
    """CPU milliseconds of looking at one photo and comparing it, and of decoding the same photo at a phone's size."""
    cv2.setNumThreads(1)
    frame = next(frame for frame in TRIAL.frames if frame.unit == UNITS[0])
    big = stored(cv2.resize(rendered(UNITS[0], 9).image, (4032, 3024)))
    loaded = decoded_photo(big, "one.jpg")
    view = view_of(frame, (), decoded_photo(rendered(UNITS[0], 0).jpeg_bytes(), "first.jpg"))
    prepared = prepared_photo(loaded, view)
    assert prepared.picture is not None
    assert prepared.corners_px is not None
    assert view.reference_look is not None
    corners = np.array(prepared.corners_px) / max(loaded.full_width_px, loaded.full_height_px)
    took, decoded = [], []
    for _ in range(repeats):
        start = time.process_time()
        compared(look_of(loaded.pixels, corners, prepared.picture, view.counted), view.reference_look, 45.0)
        between = time.process_time()
        decoded_photo(big, "one.jpg")
        took.append(1000 * (between - start))
        decoded.append(1000 * (time.process_time() - between))
    return float(np.median(took)), float(np.median(decoded))


def table(rows: list[Row]) -> dict[str, Any]:
    """Share told and share named by mishap and strength; good photos falsely marked, and by what."""
    found: dict[str, Any] = {}
    for name, strength in dict.fromkeys((row[0], row[1]) for row in rows):
        mine = [row for row in rows if row[:2] == (name, strength)]
        names = MISHAPS[name][0] if name in MISHAPS else OTHERS.get(name, ())
        told_share = np.mean([row[4] != "usable" for row in mine])
        named = np.mean([bool(set(names) & set(row[5])) for row in mine])
        out = np.mean([row[4] == "not usable" for row in mine])
        label = f"{name} {strength:g}" if name in MISHAPS else name
        found[label] = {"photos": len(mine), "told": float(told_share), "named": float(named), "not_usable": float(out)}
        keys: dict[str, int] = {}
        for row in mine:
            for key in row[5]:
                keys[key] = keys.get(key, 0) + 1
        print(f"{label:32} {len(mine):3} photos: told {told_share:5.0%}, named {named:5.0%}, not usable {out:5.0%}   {keys}")
    return found


def main() -> None:
    """Print the table and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/quality.jsonl")
    options = parser.parse_args()
    before = circumstances()
    with ProcessPoolExecutor(3) as pool:
        rows = [row for part in pool.map(of_unit, UNITS) for row in part]
    for row in rows:
        if row[0].startswith("good") and row[4] != "usable":
            print("falsely marked:", row)
    found = table(rows)
    took, decoded = look_ms()
    print(f"look and comparison: {took:.2f} ms CPU, decoding {decoded:.1f} ms")
    told("quality", before, {"trial": TRIAL.name, "look_ms": took, "decode_ms": decoded, "table": found}, record=options.record)


if __name__ == "__main__":
    main()
