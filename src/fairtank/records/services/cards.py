"""The photo cards of a trial: drawn by lot, kept in cards.csv, and laid out to print."""

from dataclasses import dataclass
from pathlib import Path

from fairtank import __version__
from fairtank.card import cards_of_plan
from fairtank.errors import JobError, plain_reason
from fairtank.publish.card_pages import PrintedCard, cards_pdf, stickers_pdf
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder import read_folder
from fairtank.records.folder.nouns import values_from_nouns
from fairtank.records.folder.tables import CARDS
from fairtank.records.folder.writer import table_text
from fairtank.records.services.trials import place_check, result_write
from fairtank.records.writing import text_write
from fairtank.trial import CardOfUnit, TrialFolder

CARDS_FILE, STICKERS_FILE = "cards.pdf", "stickers.pdf"


@dataclass(frozen=True)
class MadeCards:
    """The cards of a trial, in the order of its units.

    added: how many were drawn now; the others stood in cards.csv. table: cards.csv. sheets, stickers: what to print; stickers is None
    where none were asked for.
    """

    cards: tuple[CardOfUnit, ...]
    added: int
    table: Path
    sheets: Path
    stickers: Path | None


def trial_cards(*, root: Path, out: Path, paper: str = "a4", stickers: bool = False) -> MadeCards:
    """Write the sheets of a trial's photo cards, and cards.csv where a unit had no card yet.

    Cards and codes are drawn by lot from the plan's seed. What stands in cards.csv stays as it is.

    Parameters
    ----------
    root : Path
        The trial folder.
    out : Path
        Where the sheets go.
    paper : str
        `a4` or `letter`.
    stickers : bool
        Also the sheets of corner stickers.

    Returns
    -------
    MadeCards

    Raises
    ------
    FolderError
        If anything in the folder is wrong.
    InputError
        If there are more units than cards, or the paper is not known.
    JobError
        If something cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    place_check(out, root, tuple(photo.path for photo in folder.photos))
    cards, added = _all_cards(folder)
    order = {unit.key: place for place, unit in enumerate(folder.plan.units)}
    in_order = tuple(sorted(cards, key=lambda one: order[one.unit]))
    # Printed by card, not by unit: the order on the sheet tells nothing either.
    printed = [PrintedCard(one.card, one.code) for one in sorted(cards, key=lambda one: one.card)]
    title = folder.plan.title
    sheets = cards_pdf(printed, title=title, paper=paper)
    corner_sheets = stickers_pdf(printed, title=title, paper=paper) if stickers else None
    table = root / CARDS.file
    if added:
        _table_write(table, cards, folder)
    result_write(out / CARDS_FILE, sheets)
    if corner_sheets is not None:
        result_write(out / STICKERS_FILE, corner_sheets)
    return MadeCards(in_order, added, table, out / CARDS_FILE, None if corner_sheets is None else out / STICKERS_FILE)


def cards_json(made: MadeCards) -> str:
    """Which card belongs to which unit, and where the sheets lie, as one JSON object."""
    document = {
        "software": f"fairtank {__version__}", "cards": [{"unit": one.unit, "card": one.card, "code": one.code} for one in made.cards],
        "added": made.added, "table": str(made.table), "sheets": str(made.sheets),
        "stickers": None if made.stickers is None else str(made.stickers),
    }  # fmt: skip
    return json_text(document)


def _all_cards(folder: TrialFolder) -> tuple[tuple[CardOfUnit, ...], int]:
    """What cards.csv says, then what was drawn now, and how many that are."""
    drawn = cards_of_plan(folder.plan, folder.cards)
    return (*folder.cards, *drawn), len(drawn)


def _table_write(path: Path, cards: tuple[CardOfUnit, ...], folder: TrialFolder) -> None:
    """cards.csv with the new rows below the old ones; further columns stay."""
    kept = folder.unknown_cells.get(CARDS.file, ())
    cells = (*kept, *({} for _ in range(len(cards) - len(kept)))) if kept else ()
    try:
        text_write(path, table_text(CARDS, values_from_nouns("cards", cards), cells))
    except OSError as error:
        raise JobError(f"{path} cannot be written: {plain_reason(error)}. Nothing was written.") from error
