"""Photos that must not count twice: one file listed twice, one photo stored again, and a photo that was taken again within the hour.

Nothing is thrown away: a photo that does not count stays in photos_quality.csv, with a sentence that names the one that does.
"""

import io
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np

from fairtank.errors import PhotoError
from fairtank.records.store import Store
from fairtank.trial import QUALITIES, Corners, Photo, TrialFolder
from fairtank.vision.load import LoadedPhoto, load_photo
from fairtank.vision.measure import PhotoResult
from fairtank.vision.quality.verdicts import NOT_USABLE

# Photos of one unit this near in time show one state of the tank: the better one counts. Common practice, no source.
ONE_ROUND = timedelta(hours=1)
# Two small pictures whose px differ less than this on average [stored values] may be of one photo; the photos are then compared.
_THUMBNAIL_ALIKE, _THUMBNAIL_SIZE, _BLOCKS = 2.5, (48, 40), (12, 10)
# Corners of the frame, found anew, lie at the same place of one photo but for this part of their mean distance from its own corner:
# about three px of a photo 2000 px wide.
_SAME_OUTLINE = 0.003
# Correlation of the finest noise in the very smoothest blocks of two photos, from which on they are one photo. (The grain of a wall
# is alike in two photos from a stand, too, but the smoothest blocks hold little besides noise.)
_SAME_NOISE, _BLOCK_PX, _SMOOTHEST, _FEWEST_BLOCKS = 0.17, 32, 0.02, 4
# Two files of one photo differ by this much at most in any block of it, on average [stored values]: what compression and shrinking do.
_SMALL_BLOCK_PX, _BLOCK_APART = 16, 12.0
# So many photos of one unit within the hour are one taken again; more are meant to be there, and all of them count.
_MOST_RETAKES = 3
Whole = Callable[[Photo], PhotoResult | None]


def duplicates_marked(
    folder: TrialFolder, results: dict[str, PhotoResult], whole: Whole, store: Store | None = None
) -> dict[str, PhotoResult]:
    """The results after photos that are there twice were marked; marked photos give no values.

    Parameters
    ----------
    folder : TrialFolder
    results : dict
        Photo path -> its result.
    whole : callable
        Gives a photo's whole result, with its small picture; None where it was not kept.
    store : Store or None
        Where the answers are kept, so that a rerun opens no photo again.

    Returns
    -------
    dict
        Photo path -> its result, in the same order.

    References
    ----------
    common_practice (keys from sources.py).
    """
    marked = dict(results)
    for photos in _same_files(folder):
        _mark_same_file(photos, marked)
    by_unit: dict[str, list[Photo]] = defaultdict(list)
    for photo in sorted(folder.photos, key=lambda photo: (photo.taken_at, photo.path)):
        if marked[photo.path].quality.quality != NOT_USABLE:
            by_unit[photo.unit].append(photo)
    for unit, photos in by_unit.items():
        for first, again in _stored_again(folder, unit, photos, whole, store):
            if marked[first.path].quality.quality != NOT_USABLE and marked[again.path].quality.quality != NOT_USABLE:
                what = f"This is the photo {Path(first.path).name} once more, stored again, so it says nothing new."
                _mark(marked, again, "duplicate", f"{what} Remove its row from photos.csv, or put the right photo in its place.")
    for photos in by_unit.values():
        _mark_retakes([photo for photo in photos if marked[photo.path].quality.quality != NOT_USABLE], marked)
    return marked


def same_noise(one: np.ndarray, other: np.ndarray) -> float:
    """How alike the finest noise of two photos is, where they are smoothest: about 1 for one photo, about 0 for two.

    Everything that is in the tank looks alike in two photos taken one after the other from a stand; the noise of the camera does not.

    Parameters
    ----------
    one, other : array of shape (h, w), float32
        Lightness of two photos of the same size. [0 to 255]

    Returns
    -------
    float
        Middle correlation of the smoothest blocks; 0 where too few blocks are smooth without being burnt out or black.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> noise = np.random.default_rng(1).normal(120, 2, (2, 128, 128)).astype(np.float32)
    >>> round(same_noise(noise[0], noise[0]), 2), abs(same_noise(noise[0], noise[1])) < 0.1
    (1.0, True)
    """
    import cv2

    rough = [picture - cv2.blur(picture, (3, 3)) for picture in (one, other)]
    rows, columns = one.shape[0] // _BLOCK_PX, one.shape[1] // _BLOCK_PX
    size = (columns, rows)

    def blocks(values: np.ndarray) -> np.ndarray:
        return np.asarray(cv2.resize(values[: rows * _BLOCK_PX, : columns * _BLOCK_PX], size, interpolation=cv2.INTER_AREA))

    power = [blocks(part * part) for part in rough]
    light = blocks(one)
    open_to_noise = (power[0] > 0.05) & (power[1] > 0.05) & (light > 20) & (light < 240)
    count = max(int(_SMOOTHEST * open_to_noise.sum()), _FEWEST_BLOCKS)
    if open_to_noise.sum() <= 2 * _FEWEST_BLOCKS:
        return 0.0
    likeness = blocks(rough[0] * rough[1]) / np.sqrt(np.maximum(power[0] * power[1], 1e-9))
    limit = np.partition(power[0][open_to_noise], count - 1)[count - 1]
    return float(np.median(likeness[open_to_noise & (power[0] <= limit)]))


def _same_files(folder: TrialFolder) -> list[list[Photo]]:
    """Photos whose files hold the same bytes, in the order of time."""
    groups: dict[str, list[Photo]] = defaultdict(list)
    for photo in sorted(folder.photos, key=lambda photo: (photo.taken_at, photo.path)):
        groups[folder.file_digests[photo.path]].append(photo)
    return [photos for photos in groups.values() if len(photos) > 1]


def _mark_same_file(photos: list[Photo], marked: dict[str, PhotoResult]) -> None:
    """Of one unit the first counts; listed for several units, the file counts for the one whose tank it shows, else for none."""
    units = sorted({photo.unit for photo in photos})
    if len(units) > 1:
        right = [photo for photo in photos if "wrong_tank" not in marked[photo.path].quality.verdicts]
        known = right if len({photo.unit for photo in right}) == 1 else []
        for photo in (photo for photo in photos if photo not in known):
            others = ", ".join(Path(other.path).name for other in photos if other is not photo)
            what = f"The same file is listed for {' and '.join(units)} ({others}), and it can be of one of them only."
            _mark(marked, photo, "duplicate", f"{what} Put each tank's own photo in its place.")
        photos = known
    for photo in photos[1:]:
        what = f"This file is the same as {Path(photos[0].path).name}, byte for byte, so it says nothing new."
        _mark(marked, photo, "duplicate", f"{what} Remove its row from photos.csv, or put the right photo in its place.")


def _stored_again(folder: TrialFolder, unit: str, photos: list[Photo], whole: Whole, store: Store | None) -> list[tuple[Photo, Photo]]:
    """Pairs of one unit's photos that are one photo. Answers are kept: the same photos are not looked at again, nor two opened twice."""
    digests = folder.file_digests
    names = [digests[photo.path] for photo in photos]
    known = (store.alike_get(unit) if store else None) or {}
    if known.get("photos") == names:
        return [(photos[int(first)], photos[int(again)]) for first, again in known.get("pairs", [])]
    answers: dict[str, bool] = dict(known.get("answers", {}))
    pairs = []
    for first, again in _alike(photos, whole):
        name = f"{names[first]} {names[again]}"
        if name not in answers:
            answers[name] = _is_one_photo(folder.root, photos[first], photos[again])
        if answers[name]:
            pairs.append((first, again))
    if store:
        store.alike_put(unit, {"photos": names, "pairs": pairs, "answers": answers})
    return [(photos[first], photos[again]) for first, again in pairs]


def _alike(photos: list[Photo], whole: Whole) -> Iterator[tuple[int, int]]:
    """Places of photos that may be one: the frame lies alike in them and the small pictures are alike. Of each only the likest one before.

    A photo that is stored in another size keeps where the frame lies in it. Small pictures are first compared in a few blocks: where
    these differ by so much on average, the pictures do, too.
    """
    import cv2

    places, outlines, small, blocks = [], [], [], []
    for place, photo in enumerate(photos):
        result = whole(photo)
        if result is not None and result.thumbnail and result.quality.corners:
            places.append(place)
            outlines.append(_outline(result.quality.corners))
            picture = cv2.resize(_decoded(result.thumbnail), _THUMBNAIL_SIZE, interpolation=cv2.INTER_AREA)
            small.append(picture.ravel())
            blocks.append(cv2.resize(picture.astype(np.float32), _BLOCKS, interpolation=cv2.INTER_AREA).ravel())
    if not places:
        return
    outline, small_px, block_px = np.stack(outlines), np.stack(small), np.stack(blocks)
    for number in range(1, len(places)):
        near = np.flatnonzero(np.abs(outline[:number] - outline[number]).max(axis=1) < _SAME_OUTLINE)
        near = near[np.abs(block_px[near] - block_px[number]).mean(axis=1) < _THUMBNAIL_ALIKE]
        if len(near):
            apart = np.abs(small_px[near].astype(np.float32) - small_px[number]).mean(axis=1)
            if apart.min() < _THUMBNAIL_ALIKE:  # one photo is more alike than any other; opening all that look alike would take hours
                yield places[near[apart.argmin()]], places[number]


def _outline(corners: Corners) -> np.ndarray:
    """Where the frame lies and what form it has, in any size of the photo: its corners in parts of their mean distance from its own."""
    points = np.array(corners, float)
    return np.asarray((points / max(float(np.abs(points).mean()), 1e-9)).ravel())


def _decoded(thumbnail: bytes) -> np.ndarray:
    from PIL import Image

    return np.asarray(Image.open(io.BytesIO(thumbnail)).convert("RGB"))


def _is_one_photo(root: Path, one: Photo, other: Photo) -> bool:
    """Whether two files show the same exposure, in whatever size and quality they were stored."""
    import cv2

    try:
        first, second = (load_photo(root / photo.path) for photo in (one, other))
    except PhotoError:
        return False
    height, width = (min(a, b) for a, b in zip(first.pixels.shape[:2], second.pixels.shape[:2], strict=True))
    if abs(_shape(first) - _shape(second)) > 0.01:
        return False
    # A JPEG keeps colour at half the size: only its own lightness holds the noise of single px.
    greys = (cv2.cvtColor(loaded.pixels, cv2.COLOR_RGB2GRAY) for loaded in (first, second))
    one_px, other_px = (cv2.resize(grey, (width, height), interpolation=cv2.INTER_AREA).astype(np.float32) for grey in greys)
    return _same_everywhere(one_px, other_px) and same_noise(one_px, other_px) > _SAME_NOISE


def _same_everywhere(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two pictures of one size are alike in every block: where a plant has grown they are not, however alike the rest."""
    import cv2

    rows, columns = one.shape[0] // _SMALL_BLOCK_PX, one.shape[1] // _SMALL_BLOCK_PX
    apart = np.abs(one - other)[: rows * _SMALL_BLOCK_PX, : columns * _SMALL_BLOCK_PX]
    blocks = cv2.resize(apart, (max(columns, 1), max(rows, 1)), interpolation=cv2.INTER_AREA)
    return bool(blocks.max() < _BLOCK_APART)


def _shape(loaded: LoadedPhoto) -> float:
    return loaded.full_width_px / loaded.full_height_px


def _mark_retakes(photos: list[Photo], marked: dict[str, PhotoResult]) -> None:
    """Of usable photos of one unit within the hour the best counts; photos are in the order of time."""
    rounds: list[list[Photo]] = []
    for photo in photos:
        if rounds and photo.taken_at - rounds[-1][0].taken_at <= ONE_ROUND:
            rounds[-1].append(photo)
        else:
            rounds.append([photo])
    for several in (one for one in rounds if len(one) <= _MOST_RETAKES):
        best = max(several, key=lambda photo: _goodness(marked[photo.path]))
        for photo in several:
            if photo is not best:
                minutes = round(abs((best.taken_at - photo.taken_at).total_seconds()) / 60)
                when = f"{minutes} minutes {'later' if best.taken_at > photo.taken_at else 'earlier'}"
                what = f"Another photo of {photo.unit}, taken {when}, is better"
                _mark(marked, photo, "retaken", f"{what} and counts for this round: {Path(best.path).name}. Nothing needs to be done.")


def _goodness(result: PhotoResult) -> tuple[int, float, str]:
    """The better photo has the better quality, then the sharper glass edges; among equals the later name, so that the choice stays."""
    quality = result.quality
    return -QUALITIES.index(quality.quality), round(quality.sharpness or 0.0, 2), quality.photo


def _mark(marked: dict[str, PhotoResult], photo: Photo, key: str, sentence: str) -> None:
    """The photo's result without values, its quality `not usable`, with the reason first."""
    result = marked[photo.path]
    quality = result.quality
    told = replace(quality, quality=NOT_USABLE, reasons=(sentence, *quality.reasons), verdicts=(key, *quality.verdicts))
    marked[photo.path] = replace(result, measured=(), quality=told)
