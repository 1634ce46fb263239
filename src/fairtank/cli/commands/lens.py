"""Tell how far a camera's lens bends straight lines, from photos of a checkerboard, and keep it in lens.csv.

Show a printed checkerboard flat on a stiff board, whole and sharp, with a white rim: once straight, then aslant from several sides, once
in each corner of the photo. Five to ten photos; zoom and size of photo as for the tanks.

Example: fairtank lens my-trial board-1.jpg board-2.jpg board-3.jpg board-4.jpg board-5.jpg
"""

from pathlib import Path

import click

from fairtank.cli.options import folder_argument
from fairtank.cli.progress import progress_shown
from fairtank.records.services.lens import ToldLens, trial_lens
from fairtank.vision.framing.lens import MATTERS_CM


@click.command("lens", help=__doc__)
@folder_argument
@click.argument("photos", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--camera", default="camera", show_default=True, help="What to call the camera: each has a row of its own in lens.csv.")
@click.option("--units", default="", help="Units that this camera photographs, parted by commas. Without it: all.")
def command(folder: Path, photos: tuple[Path, ...], camera: str, units: str) -> None:
    """Twin of `fairtank.records.services.lens.trial_lens`."""
    named = tuple(dict.fromkeys(unit.strip() for unit in units.split(",") if unit.strip()))
    with progress_shown("Looking for the board") as move:
        told = trial_lens(root=folder, photos=photos, camera=camera, units=named, progress=move)
    for line in said(told):
        click.echo(line)
    click.echo(f"Next: fairtank measure {folder} (photos of these tanks are measured again, without that bend).")


def said(told: ToldLens) -> list[str]:
    """How bent the lens is, whether that matters, and where it is kept."""
    lens, way = told.lens, "outwards" if told.corner_px > 0 else "inwards"
    opening = (f"This lens shifts a point in the photo's corner by {abs(told.corner_px):.1f} px {way} (of 2016 px across), "
               f"told from {lens.pictures} photos to {lens.residual_px:.2f} px.")
    if told.frame_cm is None:
        matters = "How much that matters is told once frames.csv says where the tanks lie in the photos."
    elif told.frame_cm >= MATTERS_CM:
        matters = f"It matters: glass edges lie up to {told.frame_cm:.2f} cm off the straight lines between the frame's corners."
    else:
        matters = f"It hardly matters: glass edges lie at most {told.frame_cm:.2f} cm off the straight lines between the frame's corners."
    return [*told.left_out, opening, matters, f"Kept in {told.table}."]
