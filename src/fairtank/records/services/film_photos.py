"""Photos for a film: which day has one that may be shown, and each of them in its frame at the size that is asked for."""

from collections import OrderedDict

import numpy as np

from fairtank.errors import PhotoError
from fairtank.publish.film.content import UnitPhotos
from fairtank.publish.film.items import SHEET
from fairtank.publish.span import is_inside
from fairtank.records.services.measuring import MeasuredTrial, unit_frames
from fairtank.records.services.preparing import views_of
from fairtank.records.services.versions import versions_of
from fairtank.records.store import Store, prepared_of
from fairtank.trial import QUALITIES, Photo, PhotoQuality, TrialFolder
from fairtank.vision.load import photo_bytes
from fairtank.vision.quality.verdicts import NOT_USABLE
from fairtank.vision.showing import shown_photo

# Pictures that are held of each unit: the last one, which may stay while other tanks have new ones.
_HELD = 1
# Frames whose sides' ratios differ by less than this part are drawn as one.
_SAME_SHAPE = 0.02


def chosen_photos(folder: TrialFolder, measured: MeasuredTrial) -> dict[tuple[str, int], tuple[Photo, PhotoQuality]]:
    """The photo that stands for each unit and day of the trial: the best one, and of equally good ones the last.

    Parameters
    ----------
    folder : TrialFolder
    measured : MeasuredTrial
        What came of measuring it.

    Returns
    -------
    dict
        (unit, day) -> photo and quality. Photos that are not usable, were not found in their frame, or lie outside the trial are left out.

    References
    ----------
    common_practice (keys from sources.py).
    """
    by_path = {photo.path: photo for photo in folder.photos}
    found: dict[tuple[str, int], tuple[Photo, PhotoQuality]] = {}
    for quality in sorted(measured.qualities, key=lambda quality: by_path[quality.photo].taken_at):
        if quality.corners is None or quality.quality == NOT_USABLE or not is_inside(folder.plan, quality.day):
            continue
        there = found.get((quality.unit, quality.day))
        if there is None or QUALITIES.index(quality.quality) <= QUALITIES.index(there[1].quality):
            found[quality.unit, quality.day] = (by_path[quality.photo], quality)
    return found


class FilmPhotos:
    """The way to the photos of a measured folder; the last few are held, so that a photo that stays is opened once."""

    def __init__(self, folder: TrialFolder, measured: MeasuredTrial, store: Store) -> None:
        """No photo is opened yet."""
        self._folder, self._store = folder, store
        self._versions = versions_of(folder)
        self._views, self._errors = views_of(folder, store, self._versions)
        self._chosen = chosen_photos(folder, measured)
        self._held: dict[str, OrderedDict[tuple[int, int, int], np.ndarray]] = {}

    def units(self) -> tuple[UnitPhotos, ...]:
        """The photos of each unit that has any, in the plan's order."""
        frames = unit_frames(self._folder)
        told = []
        for unit in self._folder.plan.units:
            days = tuple(sorted(day for key, day in self._chosen if key == unit.key))
            if days and unit.key in frames:
                frame = frames[unit.key]
                told.append(UnitPhotos(unit.key, days, frame.width_cm, frame.height_cm, self._anew(unit.key, days)))
        return tuple(told)

    def _anew(self, unit: str, days: tuple[int, ...]) -> frozenset[int]:
        """Days on which another frame begins to hold."""
        frames = [self._versions.frames[self._chosen[unit, day][0].path] for day in days]
        return frozenset(day for day, before, frame in zip(days[1:], frames, frames[1:], strict=False) if frame != before)

    def picture(self, unit: str, day: int, width_px: int, height_px: int) -> np.ndarray:
        """A unit's photo of a day: array (height_px, width_px, 3), uint8; not to be changed."""
        held, key = self._held.setdefault(unit, OrderedDict()), (day, width_px, height_px)
        if key not in held:
            while len(held) >= _HELD:
                held.popitem(last=False)
            held[key] = self._made(unit, *key)
        held.move_to_end(key)
        return held[key]

    def _made(self, unit: str, day: int, width_px: int, height_px: int) -> np.ndarray:
        """From what measuring kept of it where that is large enough, else from the photo itself."""
        import cv2

        photo, quality = self._chosen[unit, day]
        frame = self._versions.frames[photo.path]
        across, down = _inside(frame.width_cm / frame.height_cm, width_px, height_px)
        picture = self._kept(photo)
        if picture is not None and picture.shape[1] >= across:
            picture = cv2.resize(picture, (across, down), interpolation=cv2.INTER_AREA)
        else:
            try:
                picture = self._opened(photo, quality, across, down)
            except PhotoError:  # it has gone since it was measured
                if picture is None:
                    raise
                picture = cv2.resize(picture, (across, down), interpolation=cv2.INTER_CUBIC)
        if (across, down) == (width_px, height_px):
            return picture
        whole = np.full((height_px, width_px, 3), SHEET, np.uint8)
        left, top = (width_px - across) // 2, height_px - down
        whole[top:top + down, left:left + across] = picture
        return whole

    def _opened(self, photo: Photo, quality: PhotoQuality, width_px: int, height_px: int) -> np.ndarray:
        """From the photo itself."""
        frame = self._versions.frames[photo.path]
        if quality.corners is None or frame not in self._views:
            raise PhotoError(self._errors.get(frame, f"{photo.path} was not found in its frame."))
        content = photo_bytes(self._folder.root / photo.path)
        return shown_photo(content, photo.path.rpartition("/")[2], quality.corners, self._views[frame], width_px, height_px)

    def _kept(self, photo: Photo) -> np.ndarray | None:
        """The picture that measuring kept; None where it is not there any more."""
        kept = self._store.prepared_get(self._folder.file_digests[photo.path], self._versions.prepared[photo.path])
        prepared = prepared_of(kept) if kept is not None else None
        return prepared.picture if prepared is not None else None


def _inside(shape: float, width_px: int, height_px: int) -> tuple[int, int]:
    """The largest width and height of that ratio inside a place; the whole place where the ratio is nearly its own."""
    own = width_px / height_px
    if abs(shape / own - 1) < _SAME_SHAPE:
        return width_px, height_px
    return (width_px, round(width_px / shape)) if shape > own else (round(height_px * shape), height_px)
