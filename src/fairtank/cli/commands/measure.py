"""Turn a folder's photos into numbers: measures.csv and photos_quality.csv.

Photos that were measured before, in the same way, are not opened again.

Example: fairtank measure my-trial --out results
"""

from pathlib import Path

import click

from fairtank.cli.options import folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.records.services.trials import MEASURES_FILE, trial_measure
from fairtank.trial import QUALITIES


@click.command("measure", help=__doc__)
@folder_argument
@out_option
@workers_option
def command(folder: Path, out: Path | None, workers: int | None) -> None:
    """Twin of `fairtank.records.services.trials.trial_measure`."""
    place = out_of(folder, out)
    with progress_shown("Measuring") as move:
        measured = trial_measure(root=folder, out=place, workers=workers, progress=move)
    counts = [(quality, sum(row.quality == quality for row in measured.qualities)) for quality in QUALITIES]
    told = ", ".join(f"{count} {quality}" for quality, count in counts)
    click.echo(f"{len(measured.qualities)} photos, {measured.fresh} of them measured now: {told}.")
    for caution in measured.cautions:
        click.echo(caution)
    click.echo(f"Values: {place / MEASURES_FILE}")
