"""What finished trials of the shelf tell of how far like tanks end up apart, read without their findings."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from fairtank.publish.numbers import NO_BREAK, figures, number, shown
from fairtank.publish.spread_words import COLUMNS, kind_words, library_words, measure_title, spread_text, table_rows
from fairtank.records.models import Result, SpreadEntry, Trial
from fairtank.records.services.spreading import kind_of, libraries_of
from fairtank.trial import SpreadEntry as Entry

MIDDLE_PCT = 20  # at which the spread of a cover is told: odds give the same spread other levels in per cent elsewhere
_FIELDS = ("measure", "scale", "summary", "window_class", "tank_class", "variance", "df", "of_trial")


@dataclass(frozen=True)
class SpreadKept:
    """What one trial tells: each entry in words, the rows of a table with its head, or why it tells nothing."""

    told: tuple[tuple[str, str], ...]
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    why_none: str

    @property
    def labelled(self) -> list[list[tuple[str, str]]]:
        """The rows, each cell with its head before it."""
        return [list(zip(self.head, row, strict=True)) for row in self.rows]


@dataclass(frozen=True)
class EarlierTanks:
    """What a trial has of earlier tanks, and what it could have.

    is_open: whether it may still take some, which it may before day 0. there: one sentence for each kind of entries that it has. offered:
    trials that tell something, each with its entries in words.
    """

    is_open: bool
    there: tuple[str, ...]
    offered: tuple[tuple[Trial, tuple[str, ...]], ...]


def spread_kept(trial: Trial) -> SpreadKept | None:
    """What a trial tells of like tanks; None as long as it was not judged here.

    Parameters
    ----------
    trial : Trial

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    result = Result.objects.filter(trial=trial, kind="spread").first()
    if result is None:
        return None
    entries = entries_in(result.content)
    rows = table_rows(entries)
    told = tuple(map(like_tanks_words, entries))
    return SpreadKept(told, COLUMNS[1:], tuple(tuple(row[1:]) for row in rows[1:]), result.content["why_none"])


def like_tanks_words(entry: Entry) -> tuple[str, str]:
    """One entry as a keeper can picture it: what of which days, and between which levels two of three tanks end that were treated alike.

    The first is English in every language of the pages, as are the names of measures; the second is in that of the page.
    """
    sd, measure = math.sqrt(entry.variance), measure_title(entry.measure)
    what = {"change": "its change", "swap": "its change", "slope": "its growth", "threshold": "the day on which it reaches a level"}
    named = ", ".join(part for part in (measure, what.get(entry.summary, ""), shown(entry.window_class)) if part)
    if entry.summary in ("slope", "threshold"):  # a growth for each day, or a day: of these a level says nothing
        return named, _("%(much)s above or below the middle of all") % {"much": spread_text(entry.variance, entry.scale, entry.summary)}
    if entry.scale == "logit":
        odds = MIDDLE_PCT / (100 - MIDDLE_PCT)
        low, high = (100 * odds * math.exp(way * sd) / (1 + odds * math.exp(way * sd)) for way in (-1, 1))
        return named, _("%(low)s to %(high)s, where all of them stand round %(middle)s") % {
            "low": figures(low), "high": f"{figures(high)}{NO_BREAK}%", "middle": f"{MIDDLE_PCT}{NO_BREAK}%"}
    if entry.scale == "log":
        lowest, highest = (number(math.exp(way * sd), 2 if sd > 0.02 else 3) for way in (-1, 1))
        return named, _("%(low)s to %(high)s times the middle of all") % {"low": lowest, "high": highest}
    return named, _("%(much)s above or below the middle of all") % {"much": figures(sd)}


def entries_in(content: dict[str, Any]) -> list[Entry]:
    """The entries of an answer of the kind `spread`."""
    return [Entry(**told) for told in content["entries"]]


def earlier_tanks(trial: Trial, others: Iterable[Trial], today: date | None = None) -> EarlierTanks:
    """What a trial has of earlier tanks, and which others could help it, in two queries.

    Parameters
    ----------
    trial : Trial
        With a plan.
    others : trials
        Those that the visitor may hand on.
    today : date, optional

    Returns
    -------
    EarlierTanks

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    rows = SpreadEntry.objects.filter(trial=trial).values_list(*_FIELDS)
    there = tuple(library_words(library) for library in libraries_of([Entry(*row) for row in rows]))
    if not takes_earlier(trial, today):
        return EarlierTanks(False, there, ())
    known = {one.pk: one for one in others}
    offered = [(known[result.trial_id], tuple(_words(entry) for entry in entries_in(result.content)))
               for result in Result.objects.filter(trial__in=known, kind="spread").order_by("trial__start", "trial")
               if result.content["entries"]]
    return EarlierTanks(True, there, tuple(offered))


def takes_earlier(trial: Trial, today: date | None = None) -> bool:
    """Whether a trial may still take earlier tanks: later the choice could follow from what was seen."""
    return trial.planned and trial.closed_at is None and trial.start is not None and (today or date.today()) < trial.start


def _words(entry: Entry) -> str:
    return f"{kind_words(kind_of(entry))}: {spread_text(entry.variance, entry.scale, entry.summary)}"
