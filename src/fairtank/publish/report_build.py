"""What each unit was to receive and what it did receive: planned beside weighed, and what was never weighed."""

from collections.abc import Sequence

from fairtank.publish.blocks import Block, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import MINUS, NO_BREAK, in_a_row, number, plain_number, shown, unit_words
from fairtank.publish.phrases import so_many, word_of
from fairtank.trial import BuildLine

MOST_NAMED = 8
# Two numbers that agree to less than this are printed as the same; a kitchen scale tells no more.
SAME_SHARE = 0.0005


def build_blocks(content: ReportContent) -> tuple[Block, ...]:
    """Planned and weighed of every material and unit, with the deviation; then which lines were not weighed."""
    lines = content.folder.build
    if not lines:
        return (Words("No build sheet was kept: that the tanks were set up alike is not documented."),)
    units = [unit.key for unit in content.folder.plan.units]
    rows = []
    for material in dict.fromkeys((line.material, line.unit_of_measure) for line in lines):
        own = {line.unit: line for line in lines if (line.material, line.unit_of_measure) == material}
        planned = sorted({line.planned for line in own.values() if line.planned is not None})
        rows.append((f"{shown(material[0])} [{unit_words(material[1])}]",
                     " or ".join(plain_number(value) for value in planned) or "none",
                     *(_cell(own.get(unit), is_one_plan=len(planned) < 2) for unit in units)))
    table = Table(f"Planned, and weighed into each {word_of(content.folder.plan)}; in brackets how far it lies from the plan",
                  ("Material", "Planned", *(shown(unit) for unit in units)), tuple(rows), wide=(0,),
                  numeric=tuple(range(1, len(units) + 2)))
    return (Words(weighed_words(lines)), table)


def weighed_words(lines: Sequence[BuildLine]) -> str:
    """How many lines were weighed, which was farthest from its plan, and which were not weighed."""
    weighed = [line for line in lines if line.weighed is not None]
    told = f"{len(weighed)} of {so_many(len(lines), 'line')} of the build sheets were weighed."
    off = [(line, _share(line)) for line in weighed]
    known = [(line, share) for line, share in off if share is not None]
    if known:
        line, share = max(known, key=lambda one: abs(one[1]))
        told += (" Each weighs what was planned." if abs(share) < SAME_SHARE else
                 f" Farthest from its plan: {shown(line.material)} in {shown(line.unit)}, {_percent(share)}.")
    left = [line for line in lines if line.weighed is None]
    if left:
        by_material: dict[str, list[str]] = {}
        for line in left:
            by_material.setdefault(shown(line.material), []).append(shown(line.unit))
        named = [f"{material} ({in_a_row(units)})" for material, units in by_material.items()]
        more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
        told += f" Not weighed: {'; '.join(named[:MOST_NAMED])}{more}."
    return told


def _cell(line: BuildLine | None, *, is_one_plan: bool) -> str:
    if line is None:
        return "none"
    own = "" if is_one_plan or line.planned is None else f" of {plain_number(line.planned)}"
    if line.weighed is None:
        return f"not weighed{own}"
    share = _share(line)
    return f"{plain_number(line.weighed)}{own}{'' if share is None else f' ({_percent(share)})'}"


def _share(line: BuildLine) -> float | None:
    """How far the weighed amount lies from the planned one, as a share of it."""
    if line.weighed is None or not line.planned:
        return None
    return line.weighed / line.planned - 1


def _percent(share: float) -> str:
    """A deviation as people read it.

    >>> _percent(0.01875), _percent(-0.2), _percent(0.0)
    ('+1.9\\xa0%', '−20\\xa0%', '0\\xa0%')
    """
    if abs(share) < SAME_SHARE:
        return f"0{NO_BREAK}%"
    decimals = 1 if abs(share) < 0.0995 else 0
    return f"{MINUS if share < 0 else '+'}{number(100 * abs(share), decimals)}{NO_BREAK}%"
