"""Verify a sealed trial: what was changed in the plan, the seal or the data after it was sealed or stamped.

Reads a trial folder, or one packed as a ZIP file, also where it was tampered with so that nothing else reads it any more. Exit code 0: all
is in order, or rows and photos only came; 1: something was changed, or the folder is not sealed, so that nothing can be verified.

Example: fairtank verify my-trial
"""

import sys
from pathlib import Path

import click

from fairtank.cli.options import json_option
from fairtank.publish.verify_words import verified_words
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
        for line in verified_words(found.verified):
            click.echo(line)
    return 0 if found.verified.is_in_order else 1
