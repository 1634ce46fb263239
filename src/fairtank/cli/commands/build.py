"""Plan a build: a sheet for each tank to weigh by, a shopping list, and what the change brings besides itself.

What is to be built stands in setup.toml; trial.toml may be there already or not. build.csv in the folder is made, or brought up to the
plan: what was weighed, batches and notes stay.

Example: fairtank build my-trial --out results
"""

import sys
from pathlib import Path

import click

from fairtank.cli.next_step import next_told
from fairtank.cli.options import folder_argument, json_option, out_of, out_option
from fairtank.cli.reading import unknown_tell
from fairtank.publish.build_pages import EFFECTS_TITLE
from fairtank.publish.numbers import shown
from fairtank.publish.shopping_pages import shopping_sentence
from fairtank.publish.side_effect_words import side_effect_text
from fairtank.records.exporters.build_json import build_json
from fairtank.records.services.building import PlannedBuild, trial_build
from fairtank.science.cautions import CAUTIONS, LAST_WORD

MOST_NAMED = 6


@click.command("build", help=__doc__)
@folder_argument
@out_option
@json_option
def command(folder: Path, out: Path | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.building.trial_build`; with --json and without --out nothing is written."""
    planned = trial_build(root=folder, out=out if as_json else out_of(folder, out))
    unknown_tell(planned.unknown_columns, err=as_json)
    if as_json:
        sys.stdout.write(build_json(planned))
        return
    for sentence in [*said(planned), *next_told(folder, "build")]:
        click.echo(sentence)


def said(planned: PlannedBuild) -> list[str]:
    """What the command answers: the build in a few sentences, what comes along, and where things lie."""
    sentences = [_units(planned), *_tanks(planned), shopping_sentence(planned.shopping)]
    effects = side_effect_text(planned.effects)
    if effects:
        sentences += [f"{EFFECTS_TITLE}:", *(f"  {shown(text)}" for text in effects)]
    if planned.sheet.cautions:
        sentences += ["About this build:", *(f"  {shown(text)}" for text in planned.sheet.cautions)]
    titles = ", ".join(CAUTIONS[key].title.lower() for key in planned.sheet.caution_keys)
    sentences += [f"Before you begin, read the last page of the build sheets: {titles}.", LAST_WORD] if titles else []
    sentences += _rows(planned)
    if planned.files is not None:
        sentences += [f"Build sheets:  {planned.files.sheets}", f"Shopping list: {planned.files.shopping}",
                      f"               {planned.files.shopping_table}", f"To weigh in:   {planned.files.build_table}"]
    return sentences


def _units(planned: PlannedBuild) -> str:
    units = planned.sheet.units
    counts = sorted({len(planned.sheet.lines_of(facts.unit)) for facts in units})
    litres = sorted(facts.net_l for facts in units)
    held = f"{litres[0]:.1f} L" if litres[-1] - litres[0] < 0.05 else f"{litres[0]:.1f} to {litres[-1]:.1f} L"
    lines = f"{counts[0]}" if len(counts) == 1 else f"{counts[0]} to {counts[-1]}"
    each = "" if len(units) == 1 else " each"
    return f"{len(units)} {'unit' if len(units) == 1 else 'units'}, {lines} lines{each}, {held} of water{each}."


def _tanks(planned: PlannedBuild) -> list[str]:
    """Weight of each kind of tank."""
    by_weight: dict[str, list[str]] = {}
    for tank in planned.sheet.tanks:
        by_weight.setdefault(f"{tank.weight_kg:.{0 if tank.weight_kg >= 10 else 1}f} kg", []).append(tank.tank)
    return [f"On the stand: {weight} ({_listed(keys)})." for weight, keys in by_weight.items()]


def _rows(planned: PlannedBuild) -> list[str]:
    """What becomes of build.csv."""
    rows = planned.rows
    if planned.files is None:
        return []
    if planned.is_new:
        return [f"build.csv was made, with {rows.added} rows."]
    done = [f"{count} {'row was' if count == 1 else 'rows were'} {what}" for count, what in
            ((rows.added, "added"), (rows.changed, "brought up to date")) if count]
    told = [f"build.csv: {', '.join(done) or 'nothing changed'}; what was weighed stays."]
    if rows.unplanned:
        named = _listed([f"{shown(material)} ({unit})" for unit, material in rows.unplanned])
        told.append(f"build.csv: kept although no longer planned: {named}.")
    return told


def _listed(names: list[str]) -> str:
    return ", ".join(names[:MOST_NAMED]) + (f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else "")
