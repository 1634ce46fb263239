"""Lay out photos to paint strokes on, under names that tell nothing, and take the painted ones back.

Copies paint-1.jpg and so on go into the folder to-paint, balanced over the arms, their tanks, and early, middle and late days. After
painting: fairtank strokes my-trial --take my-trial/to-paint

Example: fairtank strokes my-trial
"""

from pathlib import Path

import click

from fairtank.cli.options import Number, folder_argument
from fairtank.records.services.painting import strokes_ask, strokes_take


@click.command("strokes", help=__doc__)
@folder_argument
@click.option("--out", type=click.Path(path_type=Path), help="Where the copies go. Without it: the folder `to-paint` in the trial folder.")
@click.option("--take", type=click.Path(path_type=Path), help="A folder with painted pictures (paint-1.png ...) to take into labels/.")
@click.option("--photos", type=Number(1, 100, whole=True),
              help="How many photos, 1 to 100. Without it: 6, or three per arm where that is more.")
def command(folder: Path, out: Path | None, take: Path | None, photos: int | None) -> None:
    """Twin of `fairtank.records.services.painting.strokes_ask` and `strokes_take`."""
    if take is not None:
        taken = strokes_take(root=folder, place=take)
        click.echo(f"{len(taken.labels)} stroke {'picture is' if len(taken.labels) == 1 else 'pictures are'} in labels/ now.")
        cautions = taken.cautions
    else:
        asked = strokes_ask(root=folder, out=out, count=photos)
        click.echo(f"{len(asked.names)} photos to paint: {asked.place}")
        click.echo(f"How to paint them: {asked.place / 'how-to-paint.txt'}")
        click.echo(f"Which photo is which stands in {asked.key}: do not look before all are painted.")
        click.echo(f"When they are painted: fairtank strokes {folder} --take {asked.place}")
        cautions = asked.cautions
    for caution in cautions:
        click.echo(caution)
