"""Write everything on the shelf, photos and all, into one file.

The shelf may be used meanwhile. Keep the file on another disk. `fairtank restore` takes it back.

Example: fairtank backup /media/stick/shelf-2026-11-26.zip
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import json
import time
from pathlib import Path

import click

from fairtank.cli.options import json_option
from fairtank.cli.progress import progress_shown
from fairtank.records.database import database_told, tables_ready
from fairtank.records.services.backing_up import shelf_backup


@click.command("backup", help=__doc__)
@click.argument("file", type=click.Path(path_type=Path))
@json_option
def command(file: Path, as_json: bool) -> int:
    """Twin of `fairtank.records.services.backing_up.shelf_backup`."""
    tables_ready()
    began = time.monotonic()
    with database_told(), progress_shown("Copying") as move:
        made = shelf_backup(path=file, progress=move)
    took_s = time.monotonic() - began
    if as_json:
        click.echo(json.dumps({"file": str(made.path), "size_bytes": made.size_bytes, "photos": made.photos,
                               "missing": list(made.missing), "seconds": round(took_s, 2)}))
    else:
        click.echo(f"Backup: {made.path} ({made.size_bytes / 1e6:.1f} MB, {made.photos} photos, {took_s:.1f} s).")
        if made.missing:
            click.echo(f"Not in it: {len(made.missing)} photos that are missing or damaged on the shelf. fairtank check names them.",
                       err=True)
    return 1 if made.missing else 0
