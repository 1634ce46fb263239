"""Rows of cells as lines with columns, for a terminal."""

from collections.abc import Collection, Sequence


def aligned(rows: Sequence[Sequence[str]], to_the_right: Collection[str] = ()) -> list[str]:
    """Rows of cells as lines with columns two spaces apart; those whose heading is named stand to the right.

    >>> aligned([["trial", "weight"], ["spring", "7 %"]], ("weight",))
    ['trial   weight', 'spring     7 %']
    """
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
    right = {place for place, heading in enumerate(rows[0]) if heading in to_the_right}
    return ["  ".join(cell.rjust(width) if place in right else cell.ljust(width)
                      for place, (cell, width) in enumerate(zip(row, widths, strict=True))).rstrip() for row in rows]
