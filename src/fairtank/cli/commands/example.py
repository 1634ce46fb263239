"""Write an invented example trial of any design, to look at and to judge: fairtank example swap --out FOLDER.

Without a design the examples are listed. All tanks, people and numbers in them are invented, and the titles say so; spread.csv, where an
example has one, holds invented earlier trials.

Example: fairtank example one_each_earlier --out try-one
"""

from pathlib import Path

import click

from fairtank.cli.options import Number, OneOf
from fairtank.records.services.examples import SHOWN, example_make


@click.command("example", help=__doc__)
@click.argument("design", required=False, type=OneOf(list(SHOWN)), metavar="[DESIGN]")
@click.option("--out", type=click.Path(path_type=Path), help="The new folder. Without it: the design's name.")
@click.option("--seed", type=Number(0, 2**31, whole=True), help="Another lot, other tanks, other days.")
def command(design: str | None, out: Path | None, seed: int | None) -> None:
    """Twin of `fairtank.records.services.examples.example_make`."""
    if design is None:
        wide = max(map(len, SHOWN))
        for name, told in SHOWN.items():
            click.echo(f"{name.ljust(wide)}  {told}")
        click.echo("\nfairtank example DESIGN --out FOLDER writes one; then: fairtank judge FOLDER")
        return
    root = out if out is not None else Path(design)
    plan = example_make(design=design, root=root, seed=seed)
    click.echo(f"{plan.title}: {root}")
    click.echo(f"{plan.question}\nNow try: fairtank judge {root}")
