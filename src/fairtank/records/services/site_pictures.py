"""Pictures to compare on the public page: some days of each unit, brought to the unit's frame; nothing else of a photo's file stays in."""

import io
from collections.abc import Callable

from fairtank.errors import PhotoError
from fairtank.publish.site.content import LargePicture
from fairtank.records.services.measuring import MeasuredTrial, unit_frames
from fairtank.trial import Photo, PhotoQuality, TrialFolder
from fairtank.vision.load import load_photo
from fairtank.vision.quality.verdicts import NOT_USABLE
from fairtank.vision.view import rectified, relative

WIDTH_PX, MOST_DAYS, MOST_PICTURES, _QUALITY = 760, 7, 60, 72


def large_pictures(folder: TrialFolder, measured: MeasuredTrial, progress: Callable[..., None] | None = None) -> tuple[LargePicture, ...]:
    """First, last and some days between of each unit, on days that all units share as far as they can.

    Parameters
    ----------
    folder : TrialFolder
    measured : MeasuredTrial
        For where the frame lies in each photo; photos that could not be used are passed over.
    progress : callable, optional
        Told (done, total, 0).

    Returns
    -------
    tuple of LargePicture
        By unit in the plan's order, then by day.

    References
    ----------
    common_practice (keys from sources.py).
    """
    chosen = _chosen(folder, measured)
    frames, photos, found = unit_frames(folder), {photo.path: photo for photo in folder.photos}, []
    for done, quality in enumerate(chosen, 1):
        frame = frames[quality.unit]
        picture = _picture(folder, photos[quality.photo], quality, max(1, round(WIDTH_PX * frame.height_cm / frame.width_cm)))
        found += [picture] if picture else []
        if progress is not None:
            progress(done, len(chosen), 0)
    return tuple(found)


def _chosen(folder: TrialFolder, measured: MeasuredTrial) -> list[PhotoQuality]:
    """One photo for each unit and day that is shown: the usable one nearest to each of the days, which lie evenly between the ends."""
    usable: dict[str, dict[int, PhotoQuality]] = {}
    for one in sorted(measured.qualities, key=lambda one: one.photo):
        if one.corners is not None and one.quality != NOT_USABLE and 0 <= one.day <= folder.plan.days:
            usable.setdefault(one.unit, {})[one.day] = one
    days = sorted({day for own in usable.values() for day in own})
    if not days:
        return []
    wanted = min(MOST_DAYS, len(days), max(MOST_PICTURES // len(usable), 2))
    targets = [days[0] + (days[-1] - days[0]) * place / max(wanted - 1, 1) for place in range(wanted)]
    shared = [min(days, key=lambda day: (sum(day not in own for own in usable.values()) + abs(day - target), day)) for target in targets]
    chosen = []
    for unit in folder.plan.units:
        own = usable.get(unit.key, {})
        nearest = {min(own, key=lambda day: (abs(day - target), day)) for target in shared} if own else set()
        chosen += [own[day] for day in sorted(nearest)]
    return chosen


def _picture(folder: TrialFolder, photo: Photo, quality: PhotoQuality, height_px: int) -> LargePicture | None:
    """One photo in its frame as WebP; None when it has gone since it was measured."""
    from PIL import Image

    assert quality.corners is not None
    try:
        loaded = load_photo(folder.root / photo.path)
    except PhotoError:
        return None
    corners = relative(quality.corners, max(loaded.full_width_px, loaded.full_height_px))
    held = io.BytesIO()
    Image.fromarray(rectified(loaded.pixels, corners, WIDTH_PX, height_px)).save(held, "WEBP", quality=_QUALITY, method=4)
    return LargePicture(quality.unit, quality.day, held.getvalue(), WIDTH_PX, height_px)
