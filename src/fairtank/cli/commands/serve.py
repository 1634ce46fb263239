"""Show a trial folder, its report and the calculators as pages on this computer.

The pages change nothing. Without a folder they show the calculators alone.

Example: fairtank serve my-trial
"""

from pathlib import Path

import click

from fairtank.cli.options import out_of, out_option, port_option
from fairtank.cli.pages import serve as pages_serve
from fairtank.records.folder.problems import check_is_folder
from fairtank.records.folder.toml_section import FILE as PLAN_FILE


@click.command("serve", help=__doc__)
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@out_option
@port_option
def command(folder: Path | None, out: Path | None, port: int) -> None:
    """Twin of `fairtank.cli.pages.serve`."""
    if folder is None:
        if out is not None:
            raise click.UsageError("--out belongs to a trial folder; name the folder too")
        pages_serve(None, None, port)
        return
    check_is_folder(folder, PLAN_FILE)
    pages_serve(folder, out_of(folder, out), port)
