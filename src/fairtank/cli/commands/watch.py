"""Watch a running trial for drift: whether tanks or arms part in anything but the change, by what the diary holds so far.

Reads readings.csv, chores.csv, events.csv and photos.csv as far as they are there; run it whenever you like. A picture is written, wide and
narrow; with --json and without --out nothing is.

Example: fairtank watch my-trial
"""

import sys
from pathlib import Path

import click

from fairtank.cli.columns import aligned
from fairtank.cli.lines import plain_spaces
from fairtank.cli.options import folder_argument, json_option, out_of, out_option
from fairtank.cli.reading import folder_tell
from fairtank.publish.watch_words import RIGHT, factor_sentences, headline, notes, table_rows
from fairtank.records.services.watching import WatchedTrial, trial_watch, watch_json


@click.command("watch", help=__doc__)
@folder_argument
@out_option
@json_option
def command(folder: Path, out: Path | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.watching.trial_watch`."""
    watched = trial_watch(root=folder, out=out if as_json else out_of(folder, out))
    folder_tell(watched.folder, err=as_json)
    if as_json:
        sys.stdout.write(watch_json(watched))
        return
    for line in said(watched):
        click.echo(plain_spaces(line))
    if watched.chart is not None:
        click.echo(f"Picture: {watched.chart}")
        click.echo(f"For a phone: {watched.phone_chart}")


def said(watched: WatchedTrial) -> list[str]:
    """The sentence, what drifts with what to do, the table of all factors, and what it rests on."""
    found, plan = watched.watch, watched.folder.plan
    told = [headline(found, plan), ""]
    drifting = [factor for factor in found.factors if factor.departures]
    for factor in drifting:
        told += [*factor_sentences(factor, found, plan), ""]
    if found.factors:
        told += [*aligned(table_rows(found, plan), RIGHT), ""]
    rest = [factor for factor in found.factors if factor.state == "few" or (factor.state == "steady" and factor.unrecorded)]
    told += [sentence for factor in rest for sentence in factor_sentences(factor, found, plan)]
    return [*told, *notes(found)]
