"""Whose maps to doubt: photos in new colours or with close calls, and strokes that favour one arm, in sentences."""

from collections.abc import Sequence

from fairtank.records.services.painting import unbalanced_strokes
from fairtank.trial import PhotoQuality, TrialFolder
from fairtank.vision.classes.doubt import odd_photos
from fairtank.vision.quality.verdicts import NOT_USABLE

# So many photos are named; of more only how many there are.
_NAMED = 5


def doubtful_map_cautions(folder: TrialFolder, qualities: Sequence[PhotoQuality]) -> tuple[str, ...]:
    """Sentences about photos whose classes deserve a look, and about strokes that are spread unevenly over the arms.

    Parameters
    ----------
    folder : TrialFolder
    qualities : sequence of PhotoQuality
        Of its measured photos.

    Returns
    -------
    tuple of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    painted = {label.photo for label in folder.labels}
    used = [quality for quality in qualities if quality.quality != NOT_USABLE]
    new = _odd(used, [quality.new_fraction for quality in used], painted)
    close = _odd(used, [quality.closeness for quality in used], painted)
    said = []
    if new:
        said.append(f"No stroke showed the colours of much that is on {_named(new)}. Paint strokes on a photo that shows the same, "
                    "or count points there by hand.")
    if close:
        said.append(f"Plants and algae were much closer calls than usual on {_named(close)}. Count points there by hand before their "
                    "numbers are believed.")
    spread = unbalanced_strokes(folder)
    return (*said, *((spread,) if spread else ()))


def _odd(used: list[PhotoQuality], shares: list[float | None], painted: set[str]) -> list[str]:
    """The photos that stand out, except painted ones: what is odd about those the strokes have shown."""
    return [quality.photo for quality, is_odd in zip(used, odd_photos(shares), strict=True) if is_odd and quality.photo not in painted]


def _named(photos: list[str]) -> str:
    """The photos by name, as far as there are few.

    >>> _named(["a.jpg", "b.jpg"]), _named([f"{n}.jpg" for n in range(1, 9)])
    ('a.jpg and b.jpg', '1.jpg, 2.jpg, 3.jpg, 4.jpg, 5.jpg and 3 more photos')
    """
    more = len(photos) - _NAMED
    shown = photos[:_NAMED] + ([f"{more} more photo{'s' if more > 1 else ''}"] if more > 0 else [])
    return " and ".join([", ".join(shown[:-1]), shown[-1]]) if len(shown) > 1 else shown[0]
