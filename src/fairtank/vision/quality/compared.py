"""A photo's look beside that of its unit's reference photo: the numbers from which verdicts are made."""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.quality.look import CELL_PX, Look, cells_of, lab_of

# Variance of a cell's detail [stored values squared] from which it shows a texture, a strong texture, and below which it is smooth.
_TEXTURE, _STRONG, _SMOOTH = 20.0, 150.0, 40.0
# Correlation of a cell's detail with the reference's, from which its light is taken for that of the same things, and from which it
# is the same things (leaves that grew, or another tank, seldom reach it by chance).
_ALIKE, _SAME, _ALIKE_WELL = 0.6, 0.7, 0.8
_HIDDEN_DETAIL = 0.15  # a texture is gone when less than this of its variance is left
_HIDDEN_WHOLE = 0.5  # of all textures are gone: no trim takes so much, whatever colours are seen instead
_LEAFY = (-8.0, 5.0)  # a* below and b* above: the green of leaves, which may cover whatever they like, and be cut again
# Leaves may be red, and algae brown, too: in the reference photo what has so much a*, or so much b*, and a texture counts as grown.
_RED, _BROWN = 12.0, 22.0
_STRANGE_COLOUR = 9.0  # distance in CIELAB from all colours of the reference photo, from which on a cell shows what the tank never showed
_FAR_COLOUR = 14.0  # distance in CIELAB of a smooth cell from its reference
_VEIL_LIGHT, _VEIL_TIMES = 0.03, 0.2  # linear light added to the darkest channel, and as a share of what was there
_VEIL_SURE = 0.35  # of a part must be sure for the whole of it to count
_VEIL_HAZE = 1.0  # and as a share of the light added everywhere: haze lies thicker before what stands further back
# Light that is added rather than another thing's: at least so much in every channel, and so evenly over them.
_LEAST_SHINE, _SHINE_GREY = 0.02, 0.55
_FEWEST_CELLS = 15
_KEPT_WELL = 0.3  # share of strong textures in place, above which nothing that moved is looked for
# Where the water line and the bed's edge may lie (shares of the frame's height), and how far a known line's neighbourhood reaches.
_LINES_FROM, _LINES_TO, _LINE_NEAR = 0.05, 0.75, 0.03
_LINE_STRONGER = 1.3  # a line that was there before may look so much stronger by where it falls on the px
_LINE_LOWEST_CONTRAST = 0.6  # in milky water the lines at the glass keep theirs, while what stands further back loses its own
_BLOCKS, _BLOCK_PX, _ACROSS_PX, _DOWN_PX, _BLOCK_SAME = 40, 20, 16, 4, 0.7


@dataclass(frozen=True)
class Compared:
    """One photo beside its reference; shares are of the frame's area unless said otherwise.

    sharpness: how steep the glass edges are, 1 as in the reference. light_ratio, surround_ratio: light in the frame and around it as the
    camera stored them, in units of the reference's. clipped_excess: share of burnt out px above the reference's. veiled_fraction: largest
    connected part where light lies over the picture. hidden_fraction: share of the reference's textures that are gone.
    foreign_fraction: largest smooth part of a colour far from the reference's. kept_fraction: share of the reference's strong textures
    that are seen again in place, of those that are no leaves in either photo. shifted_fraction: share that is seen again, but moved alike,
    and shift_cm by how much across the frame (only looked for when little is seen in place). line_strength, line_at: a line across
    the whole width that the reference has not, relative to the reference's strongest, and where it lies (share of the height from the top).
    """

    sharpness: float | None
    light_ratio: float
    surround_ratio: float | None
    clipped_excess: float
    veiled_fraction: float
    hidden_fraction: float
    foreign_fraction: float
    kept_fraction: float | None
    shifted_fraction: float | None
    shift_cm: float | None
    line_strength: float
    line_at: float


def compared(look: Look, reference: Look, width_cm: float) -> Compared:
    """A photo's look beside the reference's.

    Parameters
    ----------
    look, reference : Look
        Of two photos of one unit, of the same size.
    width_cm : float
        Width of the frame. [cm], above 0

    Returns
    -------
    Compared

    References
    ----------
    common_practice (keys from sources.py).
    """
    likeness = cells_of(look.high * reference.high) / np.sqrt(np.maximum(look.variance * reference.variance, 1e-3))
    textured = reference.variance > _TEXTURE
    same = (likeness > _ALIKE) & textured
    is_known = np.count_nonzero(same) >= _FEWEST_CELLS  # else nothing tells the light of both photos apart from what stands there
    same = same if is_known else np.ones_like(same)
    gains = np.median(look.light[same] / np.maximum(reference.light[same], 1e-3), axis=0)
    contrast = float(np.median(np.sqrt(look.variance[same] / np.maximum(reference.variance[same], 1e-3))))
    lab = lab_of(look.light / np.maximum(gains, 1e-3))
    leafy, grown = _green(lab), _grown(reference.lab, textured)
    shaded = _beside(grown) & (likeness < _ALIKE_WELL)  # leaves that were cut no longer shade what stands beside them
    strange = ~grown | _strange(lab, reference.lab, grown & ~leafy & (look.variance < _STRONG))
    gone = textured & ~leafy & (look.variance < _HIDDEN_DETAIL * min(contrast, 1.0) ** 2 * reference.variance)
    hidden = _share(gone, textured) or 0.0
    if hidden < _HIDDEN_WHOLE:
        hidden = _share(gone & strange, textured) or 0.0
    strong = (reference.variance > _STRONG) & _inner(reference.used) & ~leafy & ~grown & ~gone
    kept = _share(likeness > _SAME, strong)
    shifted, shift_cm = (None, None) if kept is None or kept > _KEPT_WELL else _shift(look, reference, strong, width_cm)
    strength, place = _new_line(look.lines, reference.lines, contrast)
    surround = None if look.surround is None or not reference.surround else look.surround / reference.surround
    veiled, foreign = 0.0, 0.0
    if is_known:
        veiled = _veiled(look, reference, same, float(gains.mean()), shaded)
        foreign = _largest(_foreign(lab, look, reference, gains, contrast, leafy) & ~leafy & strange)
    return Compared(
        _sharpness(look.steepness, reference.steepness), look.level / max(reference.level, 1e-6), surround,
        max(0.0, look.clipped_fraction - reference.clipped_fraction), veiled, hidden, foreign,
        kept, shifted, shift_cm, strength, place,
    )  # fmt: skip


def _share(mask: np.ndarray, among: np.ndarray) -> float | None:
    """Share of some cells where the mask holds; None with too few of them."""
    count = np.count_nonzero(among)
    return float(np.count_nonzero(mask & among) / count) if count >= _FEWEST_CELLS else None


def _green(lab: np.ndarray) -> np.ndarray:
    """Cells as green as leaves."""
    leafy: np.ndarray = (lab[..., 1] < _LEAFY[0]) & (lab[..., 2] > _LEAFY[1])
    return leafy


def _grown(lab: np.ndarray, textured: np.ndarray) -> np.ndarray:
    """Cells of the reference photo, and those beside them, in which leaves or algae may stand that may be taken away again."""
    return _beside(_green(lab) | (textured & ((lab[..., 1] > _RED) | (lab[..., 2] > _BROWN))))


def _beside(cells: np.ndarray) -> np.ndarray:
    """Some cells, and those that touch them."""
    import cv2

    return cv2.dilate(cells.astype(np.uint8), np.ones((3, 3), np.uint8)).astype(bool)


def _strange(lab: np.ndarray, reference: np.ndarray, among: np.ndarray) -> np.ndarray:
    """Which of some cells have a colour that the reference photo shows nowhere: no water, soil or stone that a trim laid bare."""
    strange = np.zeros(among.shape, bool)
    if among.any():
        colours, own = reference[::2, ::2].reshape(-1, 3), lab[among]
        apart = (own**2).sum(axis=1) + ((colours**2).sum(axis=1) - 2 * own @ colours.T).min(axis=1)
        strange[among] = apart > _STRANGE_COLOUR**2
    return strange


def _inner(used: np.ndarray) -> np.ndarray:
    """Cells away from the glass, its rims and the water line, which all tanks share."""
    inner = used.copy()
    inner[: round(0.15 * len(used))], inner[:, :2], inner[:, -2:] = False, False, False
    return inner


def _largest(mask: np.ndarray) -> float:
    """Area of the largest connected part."""
    import cv2

    count, _, numbers, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=4)
    return float(numbers[1:, cv2.CC_STAT_AREA].max() / mask.size) if count > 1 else 0.0


def _sharpness(steepness: np.ndarray, reference: np.ndarray) -> float | None:
    """Middle of the edges' ratios and the worst of them in one number: a shaken photo keeps the edges along which it was shaken."""
    ratio = steepness / reference
    ratio = ratio[np.isfinite(ratio)]
    return float(np.sqrt(np.median(ratio) * ratio.min())) if ratio.size else None


def _veiled(look: Look, reference: Look, same: np.ndarray, gain: float, shaded: np.ndarray) -> float:
    """Area of the largest part where even the darkest channel has become lighter, more than where the same things stand.

    Haze would lighten those, too, and most of the frame, which nothing that is mirrored does. Where leaves that shaded a cell may have been
    cut, only what is lighter than anything in the reference photo counts for sure; a part of which enough is sure counts whole.
    """
    import cv2

    now = look.darkest / max(gain, 1e-3)
    rise, free = now - reference.darkest, reference.used & ~shaded
    common = float(max(np.median(rise[same]), np.median(rise[free]) if free.any() else -1.0))
    least = max(_VEIL_LIGHT, _VEIL_HAZE * common)
    lighter = reference.used & (now - common > np.maximum(reference.darkest + least, (1 + _VEIL_TIMES) * reference.darkest))
    lightest = float(reference.darkest[reference.used].max()) if reference.used.any() else 1.0
    sure = lighter & (~shaded | (now - common > lightest + least))
    count, numbers = cv2.connectedComponents(lighter.astype(np.uint8), connectivity=4)
    whole, certain = (np.bincount(numbers[mask], minlength=count)[1:] for mask in (lighter, sure))
    largest = int(whole[certain > _VEIL_SURE * whole].max(initial=0))
    return max(largest / lighter.size, _largest(sure))


def _foreign(lab: np.ndarray, look: Look, reference: Look, gains: np.ndarray, contrast: float, leafy: np.ndarray) -> np.ndarray:
    """Smooth cells whose colour lies far from the reference's, after what changed alike in all smooth cells (a tint of the water).

    Where nearly white light was added (a mirrored lamp), no other thing stands.
    """
    smooth = look.variance < _SMOOTH * contrast**2
    change = lab - reference.lab
    both = smooth & ~leafy & (reference.variance < 1.5 * _SMOOTH)
    if np.count_nonzero(both) >= 2 * _FEWEST_CELLS:
        change = change - np.median(change[both], axis=0)
    added = look.light / np.maximum(gains, 1e-3) - reference.light
    shine = (added.min(axis=2) > _LEAST_SHINE) & (added.min(axis=2) > _SHINE_GREY * added.max(axis=2))
    return smooth & ~shine & ((change**2).sum(axis=2) > _FAR_COLOUR**2)


def _new_line(lines: np.ndarray, reference: np.ndarray, contrast: float) -> tuple[float, float]:
    """How strong the strongest new line across the frame is, as a share of the reference's strongest, and where it lies."""
    import cv2

    count = len(reference)
    near = np.ones((2 * round(_LINE_NEAR * count) + 1, 1), np.uint8)
    known = cv2.dilate(np.abs(reference)[:, None].astype(np.float32), near)[:, 0]
    new = (np.abs(lines) - known * _LINE_STRONGER * min(max(contrast, 1.0), 1.5)) / max(contrast, _LINE_LOWEST_CONTRAST)
    first, last = round(_LINES_FROM * count), round(_LINES_TO * count)
    place = first + int(new[first:last].argmax())
    return float(max(new[place], 0.0) / max(known[: round(0.6 * count)].max(), 4.0)), place / count


def _shift(look: Look, reference: Look, strong: np.ndarray, width_cm: float) -> tuple[float, float]:
    """Share of strongly textured cells that are seen again moved alike across the frame, and how far [cm]."""
    import cv2

    height, width = reference.high.shape
    order = np.argsort(-(reference.variance * strong).ravel(), kind="stable")[:_BLOCKS]
    moves = []
    for row, column in zip(*np.unravel_index(order, strong.shape), strict=True):
        y, x = int(row) * CELL_PX - 4, int(column) * CELL_PX - 4
        top, left, bottom, right = y - _DOWN_PX, x - _ACROSS_PX, y + _BLOCK_PX + _DOWN_PX, x + _BLOCK_PX + _ACROSS_PX
        if not strong[row, column] or top < 0 or left < 0 or bottom > height or right > width:
            continue
        block = reference.high[y : y + _BLOCK_PX, x : x + _BLOCK_PX]
        here = cv2.matchTemplate(look.high[top:bottom, left:right], block, cv2.TM_CCOEFF_NORMED)
        _, best, _, (across, _) = cv2.minMaxLoc(here)
        if best > _BLOCK_SAME:
            moves.append(across - _ACROSS_PX)
    if not moves:
        return 0.0, 0.0
    middle = float(np.median(moves))
    alike = np.count_nonzero(np.abs(np.array(moves) - middle) <= 1.5) if abs(middle) >= 2 else 0
    return float(alike / _BLOCKS), middle * width_cm / width
