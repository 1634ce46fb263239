"""Show a code that pairs a phone, as a symbol for its camera and in print; the pages must have been started with `serve --lan`.

The code holds for 5 minutes and for one phone. `fairtank serve --lan` shows one when it starts; the page Settings, Phones shows them too.

Example: fairtank phone --address http://192.168.1.20:8321/
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import sys

import click
import segno

from fairtank.places import data_folder
from fairtank.records.certificates import certificate_in
from fairtank.records.database import database_told, tables_ready
from fairtank.records.services.pairing import code_make
from fairtank.records.services.trail import By


@click.command("phone", help=__doc__)
@click.option("--address", envvar="FAIRTANK_ADDRESS", required=True, help="What `fairtank serve --lan` printed for phones.")
def command(address: str) -> None:
    """Twin of `fairtank.records.services.pairing.code_make`."""
    if not address.startswith(("http://", "https://")) or "#" in address:
        raise click.BadParameter("it begins with http:// or https://, such as http://192.168.1.20:8321/", param_hint="--address")
    place = f"{address.rstrip('/')}/pair"
    tables_ready()
    with database_told():
        code = code_make(by=By("terminal"))
    if sys.stdout.isatty():
        segno.make(f"{place}#{code}", error="m", micro=False).terminal(border=2, compact=True)
    by_camera = "point its camera at the symbol, or " if sys.stdout.isatty() else ""
    click.echo(f"To pair a phone, {by_camera}open {place} on it and type {code[:4]} {code[4:]} (5 minutes, one phone).")
    kept = certificate_in(data_folder())
    if address.startswith("https://") and kept is not None:
        click.echo(f"The phone will warn of the certificate; go on only if its SHA-256 fingerprint is\n{kept.fingerprint}")
