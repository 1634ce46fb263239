"""Arguments and options that several commands share, each described once."""

from pathlib import Path

import click

folder_argument = click.argument("folder", type=click.Path(path_type=Path))
out_option = click.option(
    "--out", type=click.Path(path_type=Path), help="Where results go. Without it: the folder `out` inside the trial folder."
)
workers_option = click.option("--workers", type=click.IntRange(1, 64), help="Processes that measure photos. Without it: one per core.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object on standard output and nothing else there.")
port_option = click.option(
    "--port", type=click.IntRange(0, 65535), default=8321, show_default=True,
    help="Where the pages listen on this computer; 0 takes any free port.",
)


def out_of(folder: Path, out: Path | None) -> Path:
    """Where results go: the folder that was named, else `out` inside the trial folder."""
    return out if out is not None else folder / "out"
