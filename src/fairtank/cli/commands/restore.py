"""Take a backup back in the place of the shelf.

Everything in the file is checked before anything is put in place. A shelf that holds something gives way only with --replace, and is
then kept in a folder beside the data folder. Stop the pages first.

Example: fairtank restore /media/stick/shelf-2026-11-26.zip
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import json
from pathlib import Path

import click

from fairtank.cli.options import json_option
from fairtank.cli.progress import progress_shown
from fairtank.records.database import database_told, tables_ready
from fairtank.records.services.restoring import shelf_restore


@click.command("restore", help=__doc__)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Let a shelf that holds something give way; it is kept beside.")
@json_option
def command(file: Path, replace: bool, as_json: bool) -> None:
    """Twin of `fairtank.records.services.restoring.shelf_restore`."""
    tables_ready()
    with database_told(), progress_shown("Checking") as move:
        done = shelf_restore(path=file, replace=replace, progress=move)
    if as_json:
        click.echo(json.dumps({"made_at": done.made_at, "trials": done.trials, "photos": done.photos, "missing": done.missing,
                               "kept": None if done.kept is None else str(done.kept)}))
        return
    click.echo(f"The shelf is as it was on {done.made_at[:16].replace('T', ' at ')} UTC: {done.trials} trials, {done.photos} photos.")
    if done.missing:
        click.echo(f"{done.missing} photos were missing already when the backup was made. fairtank check names them.")
    if done.kept is not None:
        click.echo(f"What was there before lies in {done.kept}.")
