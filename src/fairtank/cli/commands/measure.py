"""Turn a folder's photos into numbers: measures.csv and photos_quality.csv.

Photos that were measured before, in the same way, are not opened again. With --maps the folder maps/ and the page maps.html show on every
usable photo what was counted as plant and what as algae.

Example: fairtank measure my-trial --out results
"""

from pathlib import Path

import click

from fairtank.cli.options import cluster_option, folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.records.services.maps import maps_write
from fairtank.records.services.trials import MEASURES_FILE, trial_measure
from fairtank.records.store import store_of
from fairtank.trial import QUALITIES


@click.command("measure", help=__doc__)
@folder_argument
@out_option
@workers_option
@cluster_option
@click.option("--maps", is_flag=True, help="Also draw on every usable photo what was counted as plant and as algae: maps.html.")
def command(folder: Path, out: Path | None, workers: int | None, cluster: str | None, maps: bool) -> None:
    """Twin of `fairtank.records.services.trials.trial_measure`, and of `maps.maps_write`."""
    place = out_of(folder, out)
    with progress_shown("Measuring") as move:
        measured = trial_measure(root=folder, out=place, workers=workers, progress=move, cluster=cluster)
    counts = [(quality, sum(row.quality == quality for row in measured.qualities)) for quality in QUALITIES]
    told = ", ".join(f"{count} {quality}" for quality, count in counts)
    click.echo(f"{len(measured.qualities)} photos, {measured.fresh} of them measured now: {told}.")
    for caution in measured.cautions:
        click.echo(caution)
    click.echo(f"Values: {place / MEASURES_FILE}")
    if maps:
        with progress_shown("Drawing") as move:
            page = maps_write(root=folder, out=place, store=store_of(folder, place), measured=measured, progress=move)
        click.echo(f"Maps: {page}" if page else "No map was drawn: no photo that can be used was told into plants, algae and background.")
