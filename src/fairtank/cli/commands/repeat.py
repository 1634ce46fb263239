"""Make a plan of your own from a kit: the same question in your tanks, every quantity reckoned for your glass.

Bed by its depth, plants by area, doses by litre, light and hardness by their targets. What was taken over, what was reckoned anew and what
you must decide is printed, and lies in the new folder. Photos, readings, draw and seal of the first trial are not taken.

Example: fairtank repeat midday.zip my-trial --tank 60x30x36 --glass 6
"""

import json
from datetime import date, datetime
from pathlib import Path

import click

from fairtank.cli.options import Number, json_option
from fairtank.publish.kit.repeat_words import repeat_words
from fairtank.records.services.repeating import OtherTanks, size_read, trial_repeat


@click.command("repeat", help=__doc__)
@click.argument("kit", metavar="KIT.zip|FOLDER", type=click.Path(path_type=Path))
@click.argument("folder", metavar="NEWFOLDER", type=click.Path(path_type=Path))
@click.option("--tank", "sizes", multiple=True, required=True, metavar="LxWxH", help="Outer size in cm; once for all tanks, or once for "
                                                                                     "each of them.")
@click.option("--glass", type=Number(2, 40), required=True, metavar="MM", help="Thickness of your glass in mm.")
@click.option("--water-line", type=Number(1, 200), metavar="CM", help="Above the inner bottom. Without it: as far below the rim as in the "
                                                                      "first trial.")
@click.option("--start", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE", help="Day 0. Without it: two weeks from today.")
@json_option
def command(kit: Path, folder: Path, sizes: tuple[str, ...], glass: float, water_line: float | None, start: datetime | None,
            as_json: bool) -> None:
    """Twin of `fairtank.records.services.repeating.trial_repeat`."""
    tanks = OtherTanks(tuple(map(size_read, sizes)), glass, water_line)
    day: date | None = start.date() if start else None
    made = trial_repeat(place=kit, root=folder, tanks=tanks, start=day)
    if as_json:
        click.echo(json.dumps({"folder": str(made.root), "title": made.plan.title, "repeats": made.plan.repeats,
                               "start": made.plan.start.isoformat(),
                               "lines": [vars(one) for one in made.moved]}, ensure_ascii=False))
        return
    click.echo(f"{made.plan.title}: {made.root}\nIt repeats: {made.plan.repeats}")
    for line in repeat_words(made.moved):
        click.echo(line)
    click.echo(f"Now draw the arms: fairtank draw {made.root}")
