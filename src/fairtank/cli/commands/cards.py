"""Print photo cards: one for each tank, to stand beside it in every photo, and on request stickers for the corners of the glass.

A card tells from the photo which tank it shows, how large a millimetre is, and what the camera made of six greys and six colours.
Which card belongs to which tank is drawn by lot and kept in cards.csv.

Example: fairtank cards my-trial --stickers
"""

import sys
from pathlib import Path

import click

from fairtank.cli.next_step import next_told
from fairtank.cli.options import OneOf, folder_argument, json_option, out_of, out_option
from fairtank.publish.card_pages import CHECK_MM, PAPERS
from fairtank.publish.numbers import shown
from fairtank.records.services.cards import MadeCards, cards_json, trial_cards


@click.command("cards", help=__doc__)
@folder_argument
@out_option
@click.option("--paper", type=OneOf(tuple(PAPERS)), default="a4", show_default=True, help="The size of the paper.")
@click.option("--stickers", is_flag=True, help="Also four stickers for each tank's corners of the front glass.")
@json_option
def command(folder: Path, out: Path | None, paper: str, stickers: bool, as_json: bool) -> None:
    """Twin of `fairtank.records.services.cards.trial_cards`."""
    made = trial_cards(root=folder, out=out_of(folder, out), paper=paper, stickers=stickers)
    if as_json:
        sys.stdout.write(cards_json(made))
        return
    for line in [*said(made), *next_told(folder, "cards")]:
        click.echo(line)


def said(made: MadeCards) -> list[str]:
    """Which card belongs to which tank, where the sheets lie, and how to print them."""
    kept = len(made.cards) - made.added
    drawn = f"{made.added} {'card was' if made.added == 1 else 'cards were'} drawn by lot"
    opening = (f"{drawn}; cards.csv holds them." if not kept else
               f"cards.csv holds all {kept} cards already; it stays as it is." if not made.added else
               f"{drawn}; the {kept} that stood in cards.csv stay.")
    width = max(len(one.code) for one in made.cards)
    told = [opening, *(f"  {one.code:<{width}}  card {one.card:>2}  beside {shown(one.unit)}" for one in made.cards)]
    told.append(f"Cards:    {made.sheets}")
    told += [f"Stickers: {made.stickers}"] if made.stickers is not None else []
    return [*told, f"Print at 100 %: the line on each sheet must be {CHECK_MM} mm long. Paper stays outside the tank, and out of splashes."]
