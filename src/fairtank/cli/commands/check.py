"""Look whether everything on the shelf is as it was kept: every photo, every row.

Reads all photos again and compares them with their digests; looks for rows without their photo, references that lead nowhere, days that do
not follow from their times, and tables whose rows say something else than their text. Changes nothing. Exit code 1 if anything is wrong.

Example: fairtank check
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import json

import click

from fairtank.cli.options import json_option
from fairtank.cli.progress import progress_shown
from fairtank.records.database import database_told, tables_ready
from fairtank.records.services.checking import shelf_check


@click.command("check", help=__doc__)
@json_option
def command(as_json: bool) -> int:
    """Twin of `fairtank.records.services.checking.shelf_check`."""
    tables_ready()
    with database_told(), progress_shown("Reading") as move:
        found = shelf_check(progress=move)
    if as_json:
        click.echo(json.dumps({"clean": found.is_clean, "faults": list(found.faults), "notes": list(found.notes), **found.counts}))
        return 0 if found.is_clean else 1
    for sentence in (*found.faults, *found.notes):
        click.echo(sentence)
    if found.is_clean:
        click.echo(f"All is as it was kept: {found.counts['trials']} trials, {found.counts['photos']} photos.")
    return 0 if found.is_clean else 1
