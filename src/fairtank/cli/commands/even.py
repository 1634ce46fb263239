"""Tell in which ways the tanks differ other than by the change, and which of them go along with the arms.

Needs trial.toml alone, and says more the more is recorded: factors.csv, setup.toml, build.csv, readings.csv, events.csv, chores.csv,
photos.csv. What goes along with the arms comes first, with how it could move the measure and what to do. A picture of all factors and
tanks is written, wide and narrow; with --json and without --out nothing is.

Example: fairtank even my-trial
"""

import sys
from pathlib import Path

import click

from fairtank.cli.next_step import next_told
from fairtank.cli.options import folder_argument, json_option, out_of, out_option
from fairtank.cli.reading import folder_tell
from fairtank.publish.phrases import plain_text
from fairtank.records.services.evening import EvenTrial, even_json, trial_even


@click.command("even", help=__doc__)
@folder_argument
@out_option
@json_option
def command(folder: Path, out: Path | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.evening.trial_even`."""
    even = trial_even(root=folder, out=out if as_json else out_of(folder, out))
    folder_tell(even.folder, err=as_json)
    if as_json:
        sys.stdout.write(even_json(even))
        return
    for line in [*said(even), *next_told(folder, "even")]:
        click.echo(line)


def said(even: EvenTrial) -> list[str]:
    """The sentences, a blank line between them, and where the picture is."""
    told = [even.sentences[0]]
    for sentence in even.sentences[1:]:
        told += ["", sentence]
    if even.caution:
        told += ["", even.caution]
    if even.chart is not None:
        told += ["", f"Picture: {even.chart}", f"For a phone: {even.phone_chart}"]
    return [plain_text(line) for line in told]
