"""The draw on paper: a plan of the shelf with the arms, the procedure and a line to sign; and a scorer's sheet that tells no arm."""

from dataclasses import dataclass
from typing import Any

from fairtank import __version__
from fairtank.lot import Draw
from fairtank.planning.drawing.blocking import place_order, shelf_and_place
from fairtank.planning.drawing.lots import Drawn
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.draw_words import blocked_words, label_words, number_cells, possible_words, seed_words, steps_words, worked_words
from fairtank.publish.numbers import shown
from fairtank.publish.pdf import template_pdf
from fairtank.publish.seal_words import time_words
from fairtank.trial import Plan, Unit

DRAW_TEMPLATE = "draw.typ"
MOST_ACROSS = 6
DASH_NAMES = {(1, 0): "solid", (7, 4): "dashed", (2, 3): "dotted", (9, 3, 2, 3): "dash-dotted", (12, 5): "loosely-dashed"}
KEEP_APART = "This sheet tells the arms. Keep it away from whoever scores or measures."
SIGNED = ("Seen by", "Date", "Drawn by")
NUMBERS_HEAD = ("Text", "First eight digits", "As a number", "One of", "Drawn")
SCORING_WORDS = ("Score in this order, without asking which tank is which. The code stands on the card in the photo; what the arms are "
                 "lies "
                 "elsewhere until all scores are in.")
SCORING_HEAD = ("", "Code", "Score", "Note")


@dataclass(frozen=True)
class DrawContent:
    """Everything the sheets of a draw show. plan: as the draw left it. codes: unit and blind code; none where units outnumber the cards.
    number: which draw of this trial it was."""

    plan: Plan
    draw: Draw
    drawn: Drawn
    codes: tuple[tuple[str, str], ...]
    number: int = 1


def draw_pdf(content: DrawContent) -> bytes:
    """The sheet of a draw as PDF/UA-1, A4.

    Parameters
    ----------
    content : DrawContent

    Returns
    -------
    bytes
        The same content gives the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    return template_pdf(DRAW_TEMPLATE, sheet_data(content), {})


def scoring_pdf(content: DrawContent) -> bytes:
    """The scorer's sheet as PDF/UA-1, A4: codes in the order drawn, and nothing of arms, units or places.

    Parameters
    ----------
    content : DrawContent

    Returns
    -------
    bytes
        The same content gives the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    return template_pdf(DRAW_TEMPLATE, scoring_data(content), {})


def sheet_data(content: DrawContent) -> dict[str, Any]:
    """What the template is told of a draw."""
    draw, drawn = content.draw, content.drawn
    title = shown(content.plan.title) or "A trial without a title"
    again = f" Draw {content.number} of this trial (reason given: “{shown(draw.reason)}”)." if content.number > 1 else ""
    facts = [f"{time_words(draw.at)}. {seed_words(draw)} {possible_words(draw)}{again}", blocked_words(draw)]
    if draw.drawn_day is not None:
        facts.append(f"The change starts on day {draw.drawn_day}, drawn from day {draw.window[0]} to day {draw.window[1]}."
                     if draw.window else f"The change starts on day {draw.drawn_day}.")
    rows = [[label_words(draw, lot.label), [list(number_cells(one)) for one in lot.used]] for lot in drawn.lots if lot.used]
    return {
        "kind": "draw", "title": f"The draw: {title}", "trial": title, "warning": KEEP_APART, "facts": facts,
        "legend": [_look(look) for look in arm_looks(content.plan).values()], "shelves": shelves(content.plan),
        "planting": "Order of planting: " + ", ".join(shown(unit) for unit in draw.planting) + ".",
        "steps": list(steps_words(draw, drawn)), "worked": worked_words(drawn), "numbers_head": list(NUMBERS_HEAD), "numbers": rows,
        "signed": list(SIGNED), "witness": shown(draw.witness),
        "foot": [f"Procedure: {draw.procedure}. Made with fairtank {__version__}. To do it once more: fairtank draw FOLDER --check."],
    }


def _look(look: ArmLook) -> dict[str, Any]:
    return {"letter": shown(look.letter), "words": shown(look.words), "colour": look.colour, "dash": DASH_NAMES[look.dash],
            "line": look.line_words}


def shelves(plan: Plan) -> list[dict[str, Any]]:
    """The units as they stand: a row for each shelf, from left to right; without places in the order of the plan, by block."""
    looks = arm_looks(plan)
    placed = all(unit.position for unit in plan.units)
    units = sorted(plan.units, key=lambda unit: place_order(unit.position)) if placed else list(plan.units)
    rows: dict[str, list[Unit]] = {}
    for unit in units:
        name = f"round {unit.round}" if plan.kind == "rounds" and unit.round else shelf_and_place(unit.position)[0] if placed else \
            f"block {unit.block}" if unit.block else ""
        rows.setdefault(name, []).append(unit)
    return [{"name": shown(name), "across": min(len(row), MOST_ACROSS), "cells": [_cell(unit, plan, looks[unit.arm], name) for unit in row]}
            for name, row in rows.items()]


def _cell(unit: Unit, plan: Plan, look: ArmLook, row: str) -> dict[str, Any]:
    """One unit in its place; what its row is called already is not said again."""
    shelf, place = shelf_and_place(unit.position)
    where = place if shelf == row else unit.position
    group = f"pair {unit.pair}" if plan.kind == "pairs" else unit.block
    words = ("first" if plan.kind == "swap" else "", "" if look.is_nameless else shown(look.label))
    return {"unit": shown(unit.key), "where": shown(where), "group": "" if group in (row, row.removeprefix("block ")) else shown(group),
            "letter": shown(look.letter), "words": " ".join(word for word in words if word), "colour": look.colour,
            "dash": DASH_NAMES[look.dash]}


def scoring_data(content: DrawContent) -> dict[str, Any]:
    """What the template is told of the scorer's sheet."""
    codes, title = dict(content.codes), shown(content.plan.title) or "A trial without a title"
    rows = [[str(number), shown(codes[unit])] for number, unit in enumerate(content.draw.scoring, start=1) if unit in codes]
    words = SCORING_WORDS if rows else "This trial has more tanks than there are cards, so there are no codes to score by."
    return {"kind": "scoring", "title": "Scoring sheet", "trial": "", "words": words, "head": list(SCORING_HEAD), "rows": rows,
            "signed": ["Scored by", "Date", "Measure"], "foot": [f"Made with fairtank {__version__}."], "subject": title}
