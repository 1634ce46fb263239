"""Take several trials of one question together: what they say, how far they differ, what a further trial would probably find.

FOLDER holds the trial folders, or kits (.zip), side by side. Each is judged; photos that are not measured yet are measured first. Trials
that ask another question, or cannot be read, are named and left out. Writes pooled.json, a picture and a report (HTML and PDF); with --json
and no --out it only prints.

Example: fairtank pool my-trials
"""

import sys
from pathlib import Path

import click

from fairtank.cli.columns import aligned
from fairtank.cli.lines import plain_spaces
from fairtank.cli.options import folder_argument, json_option, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.publish.numbers import shown
from fairtank.publish.pool_words import effect_heading, headline, sentences, table_rows
from fairtank.records.services.pooling import PooledTrials, drawn_words, pooled_json, trials_pool


@click.command("pool", help=__doc__)
@folder_argument
@click.option("--measure", help="Primary measure that is meant. Without it: the one that most trials ask about.")
@click.option("--arm", help="Name of the changed arm that is meant in trials with several. Without it: the name that most trials use.")
@out_option
@workers_option
@json_option
def command(folder: Path, measure: str | None, arm: str | None, out: Path | None, workers: int | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.pooling.trials_pool`."""
    place = out if as_json else out_of(folder, out)
    together = trials_pool(root=folder, out=place, measure=measure, arm=arm, workers=workers,
                           watched=lambda name: progress_shown(f"Measuring {shown(name)}"))
    if as_json:
        sys.stdout.write(pooled_json(together))
        return
    for line in said(together):
        click.echo(plain_spaces(line))
    if together.chart is not None:
        click.echo(f"Picture: {together.chart}")
        click.echo(f"Report: {together.report_html}")
        click.echo(f"        {together.report_pdf}")


def said(together: PooledTrials) -> list[str]:
    """The sentence, the table, what it rests on, and what was left out."""
    story = together.story
    told = ["No trial could be taken: see the reasons."] if story is None else \
        [headline(story), *filter(None, [drawn_words(together)]), "", f"{effect_heading(story)}:",
         *aligned(table_rows(story), ("weight",)), "", *sentences(story)]
    told += [f"Left out, {shown(one.folder)}: {shown(one.reason)}" for one in together.left_out]
    if together.passed_over:
        told.append(f"Passed over, without a trial.toml: {', '.join(shown(name) for name in together.passed_over)}.")
    return told
