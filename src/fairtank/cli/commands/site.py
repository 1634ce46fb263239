"""Make the public page of a finished trial: a folder that any web space serves, and that asks for nothing outside itself.

It lands in the folder `site` of the results. Upload the folder as it is. With --address a link to the page shows its picture.

Example: fairtank site my-trial --kit my-trial-kit.zip --film out/film/film-wide-1080p.mp4 --address https://trials.example/my-trial/
"""

from pathlib import Path

import click

from fairtank.cli.options import cluster_option, folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.records.services.siting import PAGE, site_write
from fairtank.records.services.trials import trial_judge
from fairtank.records.site_address import address_of


@click.command("site", help=__doc__)
@folder_argument
@out_option
@click.option("--kit", type=click.Path(path_type=Path), help="The kit's file, to be offered on the page.")
@click.option("--film", type=click.Path(path_type=Path), help="A film (.mp4 or .webm), to be shown on the page.")
@click.option("--address", default="", help="Where the page will stand, such as https://trials.example/my-trial/.")
@workers_option
@cluster_option
def command(folder: Path, out: Path | None, kit: Path | None, film: Path | None, address: str, workers: int | None,
            cluster: str | None) -> None:
    """Twin of `fairtank.records.services.siting.site_write`."""
    stands_at, place = address_of(address), out_of(folder, out)
    with progress_shown("Measuring") as move:
        judged = trial_judge(root=folder, out=place, workers=workers, progress=move, cluster=cluster)
    with progress_shown("Pictures") as move:
        site = site_write(judged=judged, out=place, kit=kit, film=film, address=stands_at, progress=move)
    click.echo(f"Public page: {site / PAGE}")
