"""Take a trial folder onto the shelf, or one that was packed as a ZIP file, such as a kit.

Every file is checked first, as by all other commands, and those of a kit against its list; nothing is taken in if anything is wrong. The
folder itself is not changed.

Example: fairtank import my-trial
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import json
from pathlib import Path

import click

from fairtank.cli.options import json_option
from fairtank.cli.progress import progress_shown
from fairtank.records.database import database_told, tables_ready
from fairtank.records.folder.zipped import folder_at
from fairtank.records.services.importing import trial_import
from fairtank.records.services.trail import KEEPER


@click.command("import", help=__doc__)
@click.argument("folder", metavar="FOLDER|TRIAL.zip", type=click.Path(path_type=Path))
@click.option("--example", is_flag=True, help="Mark it as invented.")
@json_option
def command(folder: Path, example: bool, as_json: bool) -> None:
    """Twin of `fairtank.records.services.importing.trial_import`."""
    tables_ready()
    with folder_at(folder) as root, database_told(), progress_shown("Taking in") as move:
        trial = trial_import(root=root, by=KEEPER, progress=move, is_example=example)
    if as_json:
        click.echo(json.dumps({"trial": trial.slug, "title": trial.title, "address": f"/trials/{trial.slug}/"}))
        return
    click.echo(f"On the shelf: {trial.title} ({trial.slug}). To see it: fairtank serve")
