"""Show the shelf, the calculators and a trial folder as pages on this computer.

Everything you record in the pages is kept in the data folder of this computer, and a worker beside the pages measures and judges. A trial
folder that is named is shown as it lies there and not changed; the shelf offers to take it in.

With --lan, phones of your home network can be paired and used for the rounds; without it only this computer is answered.

Example: fairtank serve --lan
"""

import importlib
import os
import subprocess
import sys
from pathlib import Path

import click

from fairtank.cli.lan import EVERYWHERE, OnLan, lan_prepared
from fairtank.cli.options import out_of, out_option, port_option
from fairtank.cli.pages import serve as pages_serve

# Loaded only to refuse a folder: reading one takes much that the pages load in a process of their own.
FOLDERS, PLAN_FILE = "fairtank.records.folder.problems", "trial.toml"


@click.command("serve", help=__doc__)
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@out_option
@port_option
@click.option("--lan", is_flag=True, help="Let phones of the home network in, once they are paired with a code.")
@click.option("--tls", is_flag=True, help="With --lan: encrypt, with a certificate of fairtank's own, of which phones warn.")
@click.option("--address", default="", metavar="ADDRESS", help="With --lan: the address that phones open, if this computer has several.")
def command(folder: Path | None, out: Path | None, port: int, lan: bool, tls: bool, address: str) -> None:
    """Twin of `fairtank.cli.pages.serve`."""
    if (tls or address) and not lan:
        raise click.UsageError("--tls and --address belong to --lan; name it too")
    if lan and os.environ.get("FAIRTANK_HOSTED") == "1":
        raise click.UsageError("a hosted installation has accounts; --lan is for the home network")
    if folder is None and out is not None:
        raise click.UsageError("--out belongs to a trial folder; name the folder too")
    if folder is not None and not folder.is_dir():
        importlib.import_module(FOLDERS).check_is_folder(folder, PLAN_FILE)
    results = None if folder is None else out_of(folder, out)
    if not lan:
        pages_serve(folder, results, port)
        return
    found = lan_prepared(address=address, port=port, is_tls=tls)
    pages_serve(folder, results, found.port, host=EVERYWHERE, certificate=found.certificate, when_ready=lambda: _lan_told(found))


def _lan_told(found: OnLan) -> None:
    """What phones open, and a first code where somebody sits before the terminal."""
    print(f"Phones open {found.address}pair", flush=True)
    if found.certificate is None:
        print("It is not encrypted: use it in your own Wi-Fi with a password, or add --tls.", flush=True)
    else:
        print(f"SHA-256 fingerprint of the certificate:\n{found.fingerprint}", flush=True)
    if sys.stdout.isatty():
        subprocess.run([sys.executable, "-m", "fairtank.cli", "phone"], check=False)
