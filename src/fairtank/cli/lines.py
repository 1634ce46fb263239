"""What `fairtank calc` prints: an answer, a table and the inputs of its help as lines for a terminal."""

import textwrap

from fairtank.bench.answers import read_as
from fairtank.bench.asking import Asked
from fairtank.bench.inputs import ONE, ROWS, SEVERAL, option_of, range_words, taken_by, usual_reading, value_words
from fairtank.bench.tables import Table, columns_of, remarks_of
from fairtank.planning.claiming.claim import Claim
from fairtank.publish.calc_words import Answer, answer_text, notes_text, sources_text
from fairtank.publish.claim_words import claim_text
from fairtank.publish.numbers import NO_BREAK
from fairtank.registry import Entry

_HEADING_WIDTH = 18
_WORDS = {ONE: "number", SEVERAL: "number,number,...", ROWS: "row;row;..."}


def answer_lines(asked: Asked, answer: Answer) -> list[str]:
    """The answer for people: number, interval, what was converted, cautions, sources."""
    if isinstance(answer.result, Claim):
        told = (*claim_text(answer.result), *read_as(asked), *sources_text(asked.entry.sources))
    else:
        told = (*answer_text(answer), *read_as(asked), *notes_text(asked.entry))
    return [plain_spaces(line) for line in told]


def table_lines(table: Table) -> list[str]:
    """The table for people: aligned columns with units, the interval beside each number that has one, and what it rests on."""
    columns = columns_of(table)
    headings = [[column.label] if column.kind == "interval" else _heading(column.label, column.unit) for column in columns]
    rows = _aligned(headings, [list(column.cells) for column in columns])
    return [plain_spaces(line) for line in (table.asked.entry.title, *rows, *remarks_of(table))]


def inputs_told(entry: Entry) -> list[tuple[str, str]]:
    """For each input its option and, in words, what it is, what it accepts, what stands in for it, and how far a reading is off."""
    rows = []
    for declared in entry.inputs:
        words = _WORDS[taken_by(entry, declared)]
        if declared.choices:
            words = "word" if declared.low is None else "word-or-number"
        unit = f" [{declared.unit}]" if declared.unit else ""
        accepted = f": {range_words(declared)}" if range_words(declared) else ""
        rest = "" if declared.default is None else f"; {value_words(declared.default)} when left out"
        error = f"; {usual_reading(declared)}" if declared.error else ""
        rows.append((f"{option_of(declared)} {words}", f"{declared.label}{unit}{accepted}{rest}{error}"))
    return rows


def plain_spaces(line: str) -> str:
    """A line for a terminal, where no-break spaces get in the way of searching and copying."""
    return line.replace(NO_BREAK, " ")


def _heading(label: str, unit: str) -> list[str]:
    return textwrap.wrap(label, _HEADING_WIDTH) + ([f"[{unit}]"] if unit else [])


def _aligned(headings: list[list[str]], cells: list[list[str]]) -> list[str]:
    """Columns set to the right, two spaces apart; headings stand on the line above the first row."""
    widths = [max(map(len, (*heading, *column))) for heading, column in zip(headings, cells, strict=True)]
    tall = max(map(len, headings))
    padded = [[""] * (tall - len(heading)) + heading for heading in headings]
    rows = [*zip(*padded, strict=True), tuple("-" * width for width in widths), *zip(*cells, strict=True)]
    return ["  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
