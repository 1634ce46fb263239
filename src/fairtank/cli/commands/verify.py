"""Verify a sealed trial or a kit: what was changed in it after it was sealed, stamped or packed.

Told are the plan, the seal and the data, and which files of a kit are otherwise than its list says.
Reads a trial folder, or one packed as a ZIP file, also where it was tampered with so that nothing else reads it any more. Exit code 0: all
is in order, or rows and photos only came; 1: something was changed, or a folder is neither sealed nor a kit, so that nothing can be
verified.

Example: fairtank verify my-trial.zip
"""

import sys
from pathlib import Path

import click

from fairtank.cli.options import json_option
from fairtank.records.services.verifying import trial_verify, verified_json


@click.command("verify", help=__doc__)
@click.argument("folder", metavar="FOLDER|KIT.zip", type=click.Path(path_type=Path))
@click.option("--key", default="", metavar="CODE", help="Code of the key that should have signed; without it: the first one that did.")
@json_option
def command(folder: Path, key: str, as_json: bool) -> int:
    """Twin of `fairtank.records.services.verifying.trial_verify`."""
    found = trial_verify(root=folder, key=key)
    if as_json:
        sys.stdout.write(verified_json(found))
    else:
        for line in found.words:
            click.echo(line)
    return 0 if found.is_in_order else 1
