"""Gather from finished trials how far tanks treated alike end up apart, so that a small trial can lean on it.

FOLDERS are trial folders, or hold them at any depth. Each trial is judged; photos that are not measured yet are measured first. With
--into the entries are merged into that trial's spread.csv; without it nothing is written.

Example: fairtank spread my-trials --into my-new-trial
"""

import sys
from pathlib import Path

import click

from fairtank.cli.columns import aligned
from fairtank.cli.lines import plain_spaces
from fairtank.cli.options import json_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.publish.numbers import shown
from fairtank.publish.spread_words import NONE_TELLS, RIGHT, library_words, measure_title, merged_words, table_rows
from fairtank.records.services.spreading import GatheredSpread, spread_gather, spread_json


@click.command("spread", help=__doc__)
@click.argument("folders", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--into", type=click.Path(path_type=Path), help="Trial folder whose spread.csv is written; entries of others stay.")
@workers_option
@json_option
def command(folders: tuple[Path, ...], into: Path | None, workers: int | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.spreading.spread_gather`."""
    gathered = spread_gather(roots=folders, into=into, workers=workers, watched=lambda name: progress_shown(f"Measuring {shown(name)}"))
    if as_json:
        sys.stdout.write(spread_json(gathered))
        return
    for line in said(gathered):
        click.echo(plain_spaces(line))


def said(gathered: GatheredSpread) -> list[str]:
    """The table, what is good for what, what was left out, and what became of a spread.csv."""
    told = [*aligned(table_rows(gathered.entries), RIGHT), ""] if gathered.entries else [NONE_TELLS]
    told += [library_words(library) for library in gathered.libraries]
    told += [f"Left out, {shown(one.folder)}: {shown(one.reason)}" for one in gathered.left_out]
    told += [f"Left out, an older entry of {shown(entry.trial)} ({measure_title(entry.measure)}, {entry.summary}): a trial counts once; "
             "two different trials need titles of their own." for entry in gathered.older]
    merged = gathered.merged
    if merged is not None:
        told += merged_words(str(merged.place), added=merged.added, replaced=merged.replaced, unchanged=merged.unchanged,
                             kept=merged.kept, removed=merged.removed, left_out=merged.left_out)
    return told
