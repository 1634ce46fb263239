"""Tell beforehand what a planned trial could show: the smallest difference it would notice, and what other layouts would notice.

Needs trial.toml alone. How far like tanks end up apart is taken from --sd, else from spread.csv, else from the run-in in series.csv, else
from invented tanks. A picture of cost against smallest difference is written, wide and narrow; with --json and without --out nothing is.

Example: fairtank detect my-trial --reference 10 --tank-cost 80 --day-cost 1.5
"""

import sys
from contextlib import nullcontext
from pathlib import Path

import click

from fairtank.cli.columns import aligned
from fairtank.cli.options import Number, OneOf, folder_argument, json_option, options_named, out_of, out_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.reading import folder_tell
from fairtank.inference.foresight.showing import Prices, Showing
from fairtank.publish.detect_words import look_sentences, notes, opening, table_rows
from fairtank.publish.numbers import NO_BREAK
from fairtank.records.services.detecting import detect_json, takes_told, trial_detect

_OPTIONS = {"sd": "--sd", "the reference level": "--reference", "per_tank": "--tank-cost", "per_day": "--day-cost"}


@click.command("detect", help=__doc__)
@folder_argument
@click.option("--reference", type=Number(), help="Level of the reference tanks, in the measure's unit. Without it: 10 % for a cover.")
@click.option("--sd", type=Number(), help="Standard deviation of the plan's summary among like tanks, on the scale on which it is judged.")
@click.option("--tanks", type=OneOf(["new", "settled"]), default="new", show_default=True,
              help="Which invented tanks stand in where nothing is known: newly planted ones drift apart more.")
@click.option("--tank-cost", type=Number(), help="What one tank costs; with it, or with --day-cost, designs are compared by "
              "cost. Without both: what setup.toml says.")
@click.option("--day-cost", type=Number(), help="What one day of the whole trial costs.")
@out_option
@json_option
def command(folder: Path, reference: float | None, sd: float | None, tanks: str, tank_cost: float | None, day_cost: float | None,
            out: Path | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.detecting.trial_detect`."""
    priced = tank_cost is not None or day_cost is not None
    place = out if as_json else out_of(folder, out)
    # It takes a second or two: a bar for those who watch, and no lines for those who do not.
    watched = progress_shown("Working out", "designs") if sys.stderr.isatty() else nullcontext()
    with options_named(_OPTIONS), watched as move:
        prices = Prices(tank_cost or 0.0, day_cost or 0.0) if priced else None
        detected = trial_detect(root=folder, out=place, reference=reference, sd=sd, tanks=tanks, prices=prices, progress=move)
    folder_tell(detected.folder, err=as_json)
    if as_json:
        sys.stdout.write(detect_json(detected))
        return
    for line in [*said(detected.showing), "", *takes_told(detected)]:
        click.echo(line.replace(NO_BREAK, " "))
    click.echo(f"Picture: {detected.chart}")
    click.echo(f"For a phone: {detected.phone_chart}")


def said(showing: Showing) -> list[str]:
    """The sentence, what one tank can and cannot do, the table, and what all of it rests on."""
    told = [*opening(showing), ""]
    told += aligned(table_rows(showing), ("tanks", "last day", "cost"))
    told += ["", *look_sentences(showing), *notes(showing)]
    return told
