"""The shopping list on paper: what to buy in packs, what lies there already, what running costs, and what could not be priced."""

from collections.abc import Sequence

from fairtank import __version__
from fairtank.planning.costs import Shopping, ShoppingLine
from fairtank.publish.blocks import Block, Bullets, Document, Section, Table, Words
from fairtank.publish.numbers import NO_BREAK, number, plain_number, shown, trimmed, with_unit
from fairtank.publish.phrases import so_many

BUY_HEAD = ("What", "Needed", "There", "To buy", "Packs", "One pack", "Cost")
# Little of something that is sold by the kilogram or litre is told in grams or millilitres.
SMALLER, SMALLER_BELOW = {"kg": "g", "L": "mL"}, 0.1
OWNED_HEAD = ("What", "Needed", "There", "Left over")


def shopping_document(shopping: Shopping, *, title: str, units: int, weeks: float) -> Document:
    """The shopping list as blocks, in the order in which it is read.

    Parameters
    ----------
    shopping : Shopping
        The whole list and its sums.
    title : str
        Of the trial, else of the folder.
    units : int
        How many units are built.
    weeks : float
        How long the trial runs. [week]

    Returns
    -------
    Document
        What `publish.pdf.pdf_bytes` sets on paper.

    Examples
    --------
    See `tests/publish/test_build_shopping.py`.
    """
    buy = [line for line in shopping.lines if line.packs != 0]
    there = [line for line in shopping.lines if line.packs == 0]
    sections = (
        Section("buy", "To buy", (_buy_table(buy, shopping.currency),) if buy else (Words("Everything is there already."),)),
        Section("there", "There already", (_owned_table(there),) if there else ()),
        Section("running", "What running it costs", _running(shopping, weeks)),
        Section("missing", "What could not be priced", (Bullets(_missing(shopping)),) if shopping.missing else ()),
        Section("notes", "What this list leaves out", (Bullets(tuple(shown(note) for note in shopping.notes)),) if shopping.notes else ()),
    )
    byline = f"{so_many(units, 'tank')}, {trimmed(number(weeks, 1))}{NO_BREAK}weeks"
    return Document(f"Shopping list: {shown(title)}", "", (shopping_sentence(shopping),), byline,
                    tuple(section for section in sections if section.blocks), (f"Made with fairtank {__version__}.",))


def shopping_sentence(shopping: Shopping) -> str:
    """What the whole trial costs, as one sentence that says `at least` where something has no price.

    Parameters
    ----------
    shopping : Shopping
        The whole list and its sums.

    Returns
    -------
    str
        One sentence.
    """
    least = "at least " if shopping.is_at_least else ""
    if shopping.total == 0 and shopping.is_at_least:
        return "What this costs is not known: nothing that must be bought has a price."
    said = f"What must be bought costs {least}{money(shopping.purchases, shopping.currency)}"
    if shopping.running.cost_trial is not None:
        said += f"; with electricity the trial costs {least}{money(shopping.total, shopping.currency)}"
    return f"{said}, {money(shopping.per_unit, shopping.currency)} for each tank."


def money(amount: float, currency: str) -> str:
    """An amount of money with the keeper's own word for it.

    >>> money(12.5, "crowns")
    '12.50\\xa0crowns'
    """
    return with_unit(number(amount, 2), shown(currency))


def _buy_table(lines: Sequence[ShoppingLine], currency: str) -> Table:
    rows = tuple((shown(line.title), _amount(line.needed, line), _amount(line.owned, line) if line.owned else "none",
                  _amount(line.to_buy, line), "not known" if line.packs is None else str(line.packs), _pack(line),
                  "not known" if line.cost is None else number(line.cost, 2)) for line in lines)
    head = (*BUY_HEAD[:-1], f"{BUY_HEAD[-1]} [{shown(currency)}]" if currency else BUY_HEAD[-1])
    return Table("Needed is for all tanks and the whole trial, with the allowance for waste", head, rows, wide=(0,),
                 numeric=(1, 2, 3, 4, 5, 6))


def _owned_table(lines: Sequence[ShoppingLine]) -> Table:
    rows = tuple((shown(line.title), _amount(line.needed, line), _amount(line.owned, line),
                  "not known" if line.left_over is None else _amount(line.left_over, line)) for line in lines)
    return Table("What need not be bought", OWNED_HEAD, rows, wide=(0,), numeric=(1, 2, 3))


def _running(shopping: Shopping, weeks: float) -> tuple[Block, ...]:
    running, currency = shopping.running, shopping.currency
    rows = [("electricity", f"{number(running.energy_kwh_week, 1)}{NO_BREAK}kWh", f"{number(running.energy_kwh_trial, 1)}{NO_BREAK}kWh")]
    if running.cost_week is not None and running.cost_trial is not None:
        rows.append(("its cost", money(running.cost_week, currency), money(running.cost_trial, currency)))
    rows.append(("all costs, purchases shared out over the weeks", money(shopping.per_week, currency), money(shopping.total, currency)))
    head = ("", "A week", f"The trial of {trimmed(number(weeks, 1))} weeks")
    return (Table("Electricity of all devices, the heaters at the coolest room", head, tuple(rows), wide=(0,), numeric=(1, 2)),)


def _missing(shopping: Shopping) -> tuple[str, ...]:
    """What has no cost, and why."""
    why = {line.title: line.note for line in shopping.lines if line.cost is None}
    return tuple(f"{shown(title)}: {why.get(title) or 'price of a kWh not given'}." for title in shopping.missing)


def _pack(line: ShoppingLine) -> str:
    if not line.pack_size:
        return "not known"
    size = _amount(line.pack_size, line)
    return size if line.price is None else f"{size} at {number(line.price, 2)}"


def _amount(amount: float, line: ShoppingLine) -> str:
    unit = line.unit_of_measure
    if unit in SMALLER and 0 < amount < SMALLER_BELOW:
        amount, unit = 1000 * amount, SMALLER[unit]
    return plain_number(amount) if unit == "piece" else with_unit(plain_number(amount), unit)
