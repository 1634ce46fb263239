"""Pictures for the report: each unit's first and last photo, and one small picture per day, all in the same frame."""

from concurrent.futures import ThreadPoolExecutor

from fairtank.errors import PhotoError
from fairtank.publish.content import UnitPictures
from fairtank.records.services.measuring import MeasuredTrial, unit_frames
from fairtank.trial import Frame, Photo, PhotoQuality, TrialFolder
from fairtank.vision.load import load_photo
from fairtank.vision.measure import jpeg
from fairtank.vision.quality.verdicts import NOT_USABLE
from fairtank.vision.view import rectified, relative

_LARGE_WIDTH_PX = 900
_AT_ONCE = 2


def unit_pictures(folder: TrialFolder, measured: MeasuredTrial) -> tuple[UnitPictures, ...]:
    """One entry per unit with photos, in the plan's order; photos outside its days or not found in their frame are left out."""
    frames = unit_frames(folder)
    photos = {photo.path: photo for photo in folder.photos}
    placed: dict[str, list[PhotoQuality]] = {}
    for quality in sorted(measured.qualities, key=lambda quality: photos[quality.photo].taken_at):
        if quality.corners is not None and 0 <= quality.day <= folder.plan.days:
            placed.setdefault(quality.unit, []).append(quality)
    units = [unit.key for unit in folder.plan.units if unit.key in placed]
    with ThreadPoolExecutor(_AT_ONCE) as pool:  # the decoders hold no lock of Python's, so that thumbnails are read meanwhile
        large = {unit: [pool.submit(_large, folder, photos[quality.photo], quality, frames[unit]) for quality in _ends(placed[unit])]
                 for unit in units}
        found = []
        for unit in units:
            small = {quality.day: thumbnail for quality in placed[unit]
                     if (thumbnail := measured.thumbnails.get(quality.photo)) is not None}
            (first, last), (first_large, last_large) = _ends(placed[unit]), large[unit]
            found.append(UnitPictures(unit, first_large.result(), first.day, last_large.result(), last.day, tuple(sorted(small.items()))))
    return tuple(found)


def _ends(there: list[PhotoQuality]) -> tuple[PhotoQuality, PhotoQuality]:
    """A unit's first and last usable photo; of all, where none is usable."""
    good = [quality for quality in there if quality.quality != NOT_USABLE] or there
    return good[0], good[-1]


def _large(folder: TrialFolder, photo: Photo, quality: PhotoQuality, frame: Frame) -> bytes | None:
    """The frame's content about 900 px wide; None when the photo has gone since it was measured."""
    assert quality.corners is not None
    try:
        loaded = load_photo(folder.root / photo.path)
    except PhotoError:
        return None
    corners = relative(quality.corners, max(loaded.full_width_px, loaded.full_height_px))
    height_px = max(1, round(_LARGE_WIDTH_PX * frame.height_cm / frame.width_cm))
    return jpeg(rectified(loaded.pixels, corners, _LARGE_WIDTH_PX, height_px), _LARGE_WIDTH_PX, 85)
