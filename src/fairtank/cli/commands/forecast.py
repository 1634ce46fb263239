"""Show how the tanks of a trial may go: when fauna may be safe, algae, plants and nitrate in each arm, as bands of what is plausible.

Needs trial.toml alone; setup.toml says what goes into the tanks, and your own tests in readings.csv narrow the band. A picture is written,
wide and narrow; with --json and without --out nothing is. It takes about ten seconds.

Example: fairtank forecast my-trial --days 60
"""

import sys
from pathlib import Path

import click

from fairtank.cli.lines import plain_spaces
from fairtank.cli.options import Number, OneOf, folder_argument, json_option, options_named, out_of, out_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.reading import folder_tell
from fairtank.publish.forecast_words import forecast_sentences
from fairtank.records.services.forecasting import forecast_json, trial_forecast
from fairtank.simulation.ecology.setup import SOILS

_OPTIONS = {"days": "--days", "members": "--members", "seed": "--seed", "soil": "--soil"}


@click.command("forecast", help=__doc__)
@folder_argument
@click.option("--days", type=Number(7, 365, whole=True), default=60, show_default=True, help="The last day that is looked at, 7 to 365.")
@click.option("--members", type=Number(20, 5000, whole=True), default=200, show_default=True, help="Courses of each arm, 20 to 5000.")
@click.option("--seed", type=Number(0, 2**32 - 1, whole=True), default=1, show_default=True, help="The same seed gives the same forecast.")
@click.option("--soil", type=OneOf(SOILS), help="What the bed gives off. Without it: by the names of its layers.")
@click.option("--workers", type=Number(1, 64, whole=True), help="Processes that work on it, 1 to 64. Without it: one per core.")
@out_option
@json_option
def command(folder: Path, days: int, members: int, seed: int, soil: str | None, workers: int | None, out: Path | None,
            as_json: bool) -> None:
    """Twin of `fairtank.records.services.forecasting.trial_forecast`."""
    with options_named(_OPTIONS), progress_shown("Working out", "parts") as move:
        done = trial_forecast(root=folder, out=out if as_json else out_of(folder, out), days=days, members=members, seed=seed, soil=soil,
                              workers=workers, progress=move)
    folder_tell(done.folder, err=as_json)
    if as_json:
        sys.stdout.write(forecast_json(done))
        return
    for line in forecast_sentences(done.forecast, done.folder.plan):
        click.echo(plain_spaces(line) + "\n")
    click.echo("Assumed:")
    for line in done.forecast.stated:
        click.echo(f"- {plain_spaces(line)}")
    click.echo(f"Picture: {done.chart}")
    click.echo(f"For a phone: {done.phone_chart}")
