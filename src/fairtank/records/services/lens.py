"""The lens of a camera: told from photos of a checkerboard and kept in lens.csv."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from fairtank.errors import InputError, JobError, PhotoError, plain_reason
from fairtank.lens import Lens
from fairtank.records.folder import read_folder
from fairtank.records.folder.nouns import values_from_nouns
from fairtank.records.folder.tables import LENS
from fairtank.records.folder.writer import table_text
from fairtank.records.writing import text_write
from fairtank.trial import Frame, TrialFolder
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.lens import lens_and_left_out, straight_points
from fairtank.vision.load import load_photo


@dataclass(frozen=True)
class ToldLens:
    """A lens that was told now.

    lens: its row. table: lens.csv. corner_px: how far it shifts a point in the photo's corner (outwards; negative: inwards), in px of a
    photo whose long side has 2016 px. frame_cm: the same for what matters, the frame: how far its edges' middles lie off the straight
    lines between its corners, at most over all frames of the camera's units [cm]; None without frames. left_out: a sentence about each
    photo that did not help.
    """

    lens: Lens
    table: Path
    corner_px: float
    frame_cm: float | None
    left_out: tuple[str, ...] = ()


def trial_lens(*, root: Path, photos: Sequence[Path], camera: str = "camera", units: tuple[str, ...] = (),
               progress: Callable[[int, int], None] | None = None) -> ToldLens:  # fmt: skip
    """Tell a camera's lens from photos of a checkerboard and write its row of lens.csv; other cameras' rows stay.

    Parameters
    ----------
    root : Path
        The trial folder.
    photos : sequence of Path
        At least three photos of one checkerboard, of one size.
    camera : str
        What to call the camera.
    units : tuple of str
        Units that it photographs; none for all.
    progress : callable or None
        Called with (photos looked at, photos in all).

    Returns
    -------
    ToldLens

    Raises
    ------
    FolderError
        If anything in the folder is wrong.
    InputError
        If a unit is not known, or a photo is not there.
    PhotoError
        If a photo cannot be read, or too few show a board.
    JobError
        If lens.csv cannot be written.

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    folder = read_folder(root)
    known = tuple(unit.key for unit in folder.plan.units)
    for unit in units:
        if unit not in known:
            raise InputError("the unit", unit, f"the units of trial.toml: {', '.join(known)}")
    others = tuple(lens for lens in folder.lens if lens.camera != camera)
    for other in others:
        if not units or not other.units or set(units) & set(other.units):
            raise InputError("the camera", camera, f"one camera for each unit, and lens.csv has {other.camera} for some of these units",
                             "Name the units of each camera, or take the other row out.")
    for path in photos:
        if not path.is_file():
            what = f"{path}, which is a folder" if path.is_dir() else f"{path}, and there is no such file"
            raise InputError("the photo", what, "photos of a checkerboard", "Look at the name, and at the folder that it is in.")
    pictures = [load_photo(path) for path in photos]
    first = pictures[0]
    lens, left_out = lens_and_left_out([picture.pixels for picture in pictures], camera=camera, names=[str(path) for path in photos],
                                       progress=progress)
    lens = replace(lens, units=units)
    lens = replace(lens, focal_px=round(lens.focal_px, 1), k1=round(lens.k1, 5), k2=round(lens.k2, 5),
                   residual_px=round(lens.residual_px, 3))
    table = root / LENS.file
    try:
        text_write(table, table_text(LENS, values_from_nouns("lens", (*others, lens)), ()))
    except OSError as error:
        raise JobError(f"{table} cannot be written: {plain_reason(error)}. Nothing was written.") from error
    width, height = first.full_width_px, first.full_height_px
    half = NORMAL_LONG_SIDE_PX / 2 * float(np.hypot(width, height)) / max(width, height)
    return ToldLens(lens, table, lens.bend_px(half), _frame_bend_cm(folder, lens, units or known), left_out)


def lens_of_unit(folder: TrialFolder, unit: str) -> Lens | None:
    """The lens of the camera that photographs a unit; None where lens.csv tells of none.

    Parameters
    ----------
    folder : TrialFolder
    unit : str

    Returns
    -------
    Lens or None

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return next((lens for lens in folder.lens if not lens.units or unit in lens.units), None)


def _frame_bend_cm(folder: TrialFolder, lens: Lens, units: tuple[str, ...]) -> float | None:
    """How far the middles of frame edges lie off where straight lines between the corners put them, at most [cm]."""
    found = []
    for frame in folder.frames:
        if frame.unit in units:
            try:
                photo = load_photo(folder.root / frame.reference_photo)
            except PhotoError:
                continue
            found.append(_bend_cm(frame, lens, photo.full_width_px, photo.full_height_px))
    return max(found, default=None)


def _bend_cm(frame: Frame, lens: Lens, width_px: int, height_px: int) -> float:
    corners = np.array(frame.corners)
    after = np.roll(corners, -1, axis=0)
    straight, next_straight = (straight_points(points, lens, width_px, height_px) for points in (corners, after))
    middles = straight_points((corners + after) / 2, lens, width_px, height_px)
    along = next_straight - straight
    off = np.abs(along[:, 0] * (middles - straight)[:, 1] - along[:, 1] * (middles - straight)[:, 0]) / np.hypot(*along.T)
    per_cm = np.hypot(*along.T) / np.array([frame.width_cm, frame.height_cm, frame.width_cm, frame.height_cm])
    return float((off / per_cm).max())
