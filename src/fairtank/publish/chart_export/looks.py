"""The planned looks of a trial in one picture: what it said at each of them, one interval below the other on one axis."""

from collections.abc import Sequence
from dataclasses import replace

from fairtank.finding import Finding, Look
from fairtank.publish.arms import ArmLook
from fairtank.publish.chart_export.dot_lines import LowRows, between, changed_look
from fairtank.publish.charts import Spec
from fairtank.publish.dot_row import axis_words
from fairtank.publish.dots import Judged, judged_on_axis, reference_of
from fairtank.publish.looks_words import earlier_looks_words
from fairtank.publish.numbers import NO_BREAK, number, trimmed
from fairtank.publish.phrases import plain_text

TITLE = "What each planned look said"
HOW = "A look before the end may spend only a share of the 5 % of false alarms: the earlier, the wider its interval."


def looks_drawn(finding: Finding, looks: dict[str, ArmLook]) -> tuple[tuple[tuple[str, str], Judged], ...]:
    """The looks that have an interval, the last one behind them, each with its words in two parts; empty where fewer than two have one.

    Parameters
    ----------
    finding : Finding
        Of a trial that was read, with the looks before.
    looks : dict of str to ArmLook
        How each arm is drawn.

    Returns
    -------
    tuple of ((str, str), Judged)
    """
    facts, found = dict(finding.facts), []
    last = int(facts["look_day"]) if "look_day" in facts else finding.window[1]
    for one, day in (*((_at(finding, look), look.day) for look in finding.looks), (finding, last)):
        judged = judged_on_axis(one, reference_of(one, looks))
        if judged is not None:
            level = f"{trimmed(number(100 * one.level, 2))}{NO_BREAK}%"
            found.append(((f"Day {day}, {level} interval:", " ".join(between(one, looks, judged))), judged))
    return tuple(found) if len(found) > 1 else ()


def looks_chart(finding: Finding, looks: dict[str, ArmLook], *, width_px: int) -> Spec:
    """The picture as a Vega-Lite description.

    Parameters
    ----------
    finding : Finding
        For which `looks_drawn` has at least two.
    looks : dict of str to ArmLook
        How each arm is drawn.
    width_px : int
        Outer width. [px]

    Returns
    -------
    dict
        Vega-Lite; rows from the first look to the last.
    """
    drawn = looks_drawn(finding, looks)
    rows = LowRows(finding, width_px)
    rows.reach_of([], [judged for _, judged in drawn])
    for words, judged in drawn:
        rows.add_interval(words, judged, changed_look(finding, looks))
    return rows.framed(_told(finding, drawn), axis_words(finding).partition(", one mark for each")[0])


def _told(finding: Finding, drawn: Sequence[tuple[tuple[str, str], Judged]]) -> str:
    """The picture in words."""
    rows = "; ".join(" ".join(words) for words, _ in drawn)
    return plain_text(f"{TITLE}, one interval for each. {rows}. {earlier_looks_words(finding)}".strip())


def _at(finding: Finding, look: Look) -> Finding:
    """The finding as it stood at a look, as far as it is drawn."""
    return replace(finding, level=look.level, estimate=look.estimate, low=look.low, high=look.high, natural=look.natural, grade=look.grade)
