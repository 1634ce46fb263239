"""Show a trial folder and its report as pages on this computer, read-only.

Example: fairtank serve my-trial
"""

from pathlib import Path

import click

from fairtank.cli.options import folder_argument, out_of, out_option, port_option
from fairtank.cli.pages import serve as pages_serve
from fairtank.errors import FolderError, Problem


@click.command("serve", help=__doc__)
@folder_argument
@out_option
@port_option
def command(folder: Path, out: Path | None, port: int) -> None:
    """Twin of `fairtank.cli.pages.serve`."""
    if not folder.is_dir():
        raise FolderError((Problem(folder.name or str(folder), None, None, "there is no such folder", "a folder that holds trial.toml"),))
    pages_serve(folder, out_of(folder, out), port)
