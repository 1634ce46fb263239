"""Write the kit of a trial: one ZIP file with which others can check it and do it again.

It holds the trial folder, the findings, a description of every table, and the length and SHA-256 of every file. You choose how the photos
go out and under which licence; nothing is given away that you did not choose.

Example: fairtank kit my-trial --out my-trial.zip --photos reduced --licence CC-BY-4.0
"""

from pathlib import Path

import click

from fairtank.cli.options import OneOf, folder_argument
from fairtank.cli.progress import progress_shown
from fairtank.publish.kit.facts import PHOTOS, KitWishes
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.kit.made_words import made_words
from fairtank.publish.kit.miappe import counts_words
from fairtank.records.services.kitting import kit_make


@click.command("kit", help=__doc__)
@folder_argument
@click.option("--out", type=click.Path(path_type=Path), help="The ZIP file to write. Without it: the folder's name, with .zip, beside it.")
@click.option("--photos", type=OneOf(list(PHOTOS)), default="full", metavar="|".join(PHOTOS),
              help="As they were measured, 1280 px at most, or left out with their digests listed; the findings are the same.")
@click.option("--licence", type=OneOf(list(LICENCES)), metavar="|".join(LICENCES),
              help="What others may do with it. Without it: what LICENCE.txt in the folder says, else that all rights remain with you.")
@click.option("--with-place", is_flag=True, help="Leave in photos the place where they were taken. Readers may see where you live.")
def command(folder: Path, out: Path | None, photos: str, licence: str | None, with_place: bool) -> None:
    """Twin of `fairtank.records.services.kitting.kit_make`."""
    place = folder.resolve()
    with progress_shown("Photos") as move:
        made = kit_make(root=folder, out=out or place.parent / f"{place.name}.zip", wishes=KitWishes(photos, licence or "", with_place),
                        progress=move)
    for line in (*made_words(made.facts, made.files, made.not_taken), counts_words(made.miappe)):
        click.echo(line)
    click.echo(f"Written: {made.path} ({made.size_bytes / 1e6:.1f} MB). To check it: fairtank verify {made.path}")
