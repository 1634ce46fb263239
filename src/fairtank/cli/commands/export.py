"""Write a trial of the shelf as a trial folder, which every other command reads.

Texts and tables that were not changed on the shelf are the same to the byte as they came; photos always are.

Example: fairtank export midday-break my-trial
"""

from fairtank.cli.shelf import trial_named

# isort: split
import json
from pathlib import Path

import click

from fairtank.cli.options import json_option
from fairtank.records.database import database_told
from fairtank.records.services.exporting import trial_export


@click.command("export", help=__doc__)
@click.argument("trial")
@click.argument("folder", type=click.Path(path_type=Path))
@json_option
def command(trial: str, folder: Path, as_json: bool) -> None:
    """Twin of `fairtank.records.services.exporting.trial_export`."""
    found = trial_named(trial)
    with database_told():
        root = trial_export(trial=found, root=folder)
    if as_json:
        click.echo(json.dumps({"trial": found.slug, "folder": str(root)}))
        return
    click.echo(f"Written: {root}. To judge it: fairtank judge {root}")
