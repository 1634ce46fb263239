"""Draw the arms by lot: equal numbers in every block, from a seed, so that anybody can draw once more and get the same.

Writes the arms into trial.toml, keeps every draw in draw.json, and lays the sealed list and a sheet to sign beside the trial folder, not
in it, where a scorer would find them. Drawing again, or after the seal or the first data, takes a --reason, which every finding tells.

Example: fairtank draw my-trial --seed 482915 --witness "a friend"
"""

import sys
from pathlib import Path

import click

from fairtank.cli.next_step import next_told
from fairtank.cli.options import Number, folder_argument, json_option, out_of, out_option
from fairtank.planning.drawing.numbers import LARGEST_SEED
from fairtank.publish.draw_words import ADVICE, arms_sentence, blocked_words, possible_words, seed_words, worked_words
from fairtank.publish.numbers import shown
from fairtank.records.exporters.draw_json import check_json, draw_json
from fairtank.records.services.drawing import CheckedDraw, DrawnTrial, DrawRequest, draw_check, trial_draw


@click.command("draw", help=__doc__)
@folder_argument
@click.option("--seed", type=Number(0, LARGEST_SEED, whole=True),
              help="What the lot is made from; best a public number that nobody can choose. "
              "Without it: one from this computer's randomness, printed.")
@click.option("--block", "block", multiple=True, metavar="COLUMN", help="What makes the blocks: block, pair, tank, shelf, place, position, "
              "neighbours, none, or a factor of factors.csv such as hands. May be given several times.")
@click.option("--neighbours", type=Number(2, 100, whole=True),
              help="With --block neighbours: how many make a block. Without it: one per arm.")
@click.option("--rows", metavar="COLUMN", default="", help="Rows of a Latin square, such as shelf; goes with --columns.")
@click.option("--columns", metavar="COLUMN", default="", help="Columns of a Latin square, such as place.")
@click.option("--places", is_flag=True, help="Also draw which tank goes to which place.")
@click.option("--witness", default="", help="Who saw the draw.")
@click.option("--reason", default="", help="Why it is drawn again, or after the seal or the first data.")
@click.option("--list-to", type=click.Path(path_type=Path),
              help="Where the sealed list and the sheet with the arms go. Without it: a folder "
              "beside the trial's, called like it with -sealed-list behind.")
@click.option("--check", is_flag=True, help="Draw nothing: work the draws of draw.json out once more and compare with trial.toml.")
@out_option
@json_option
def command(folder: Path, seed: int | None, block: tuple[str, ...], neighbours: int | None, rows: str, columns: str, places: bool,
            witness: str, reason: str, list_to: Path | None, check: bool, out: Path | None, as_json: bool) -> int:
    """Twin of `fairtank.records.services.drawing.trial_draw`."""
    if check:
        checked = draw_check(root=folder)
        if as_json:
            sys.stdout.write(check_json(checked))
        else:
            for line in checked_said(checked):
                click.echo(line)
        return 1 if checked.wrong else 0
    request = DrawRequest(seed, block, neighbours or 0, rows, columns, places, witness, reason)
    made = trial_draw(root=folder, request=request, out=out_of(folder, out), list_to=list_to)
    if as_json:
        sys.stdout.write(draw_json(made))
        return 0
    for line in [*said(made), *next_told(folder, "draw")]:
        click.echo(line)
    return 0


def said(made: DrawnTrial) -> list[str]:
    """What was drawn, from how many, how, and where everything lies."""
    draw = made.draw
    if made.done == "unchanged":
        return [f"Drawn already, with seed {draw.seed}, and nothing has changed since: nothing was written.", arms_sentence(made.plan)]
    told = [f"Drawn {'again ' if made.done == 'again' else ''}by lot. {arms_sentence(made.plan)}"]
    if draw.drawn_day is not None:
        told.append(f"The change starts on day {draw.drawn_day}.")
    if draw.places:
        told.append("Places: " + "; ".join(f"{shown(unit)} to {shown(place)}" for unit, place in draw.places) + ".")
    told += [blocked_words(draw), possible_words(draw), f"{seed_words(draw)} {worked_words(made.drawn)}".strip()]
    if draw.seed_from == "system":
        told.append(ADVICE)
    if draw.said_before:
        told.append(f"trial.toml said already that the arms were {shown(draw.said_before)}, with no record of it; the finding will tell.")
    told.append("Order of planting: " + ", ".join(map(shown, draw.planting)) + ".")
    if not made.codes:
        told.append("There are more units than photo cards, so the sealed list and the scorer's sheet have no codes.")
    return [*told, f"Sealed list (keep it from whoever scores): {made.sealed_list}",
            f"Sheet to sign, with the arms:              {made.sheet}",
            f"Sheet for whoever scores, without arms:    {made.scoring}", f"Record of every draw:                      {made.record}"]


def checked_said(checked: CheckedDraw) -> list[str]:
    """Whether the draws come out again, and whether trial.toml follows the last one."""
    count = len(checked.draws)
    if checked.wrong:
        return list(checked.wrong)
    times = "The draw was" if count == 1 else f"All {count} draws were"
    return [f"{times} worked out once more from {'its seed' if count == 1 else 'their seeds'} and came out the same; trial.toml has what "
            f"was "
            f"drawn. {possible_words(checked.draws[-1])}"]
