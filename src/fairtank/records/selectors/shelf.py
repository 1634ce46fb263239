"""The shelf: every trial with where it stands in words, read in a few queries however many there are."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet
from django.db.models.fields.json import KT
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fairtank.publish.page_judged import WAITS
from fairtank.publish.sentences import spoken
from fairtank.records.folder.draw_json import DRAW_FILE
from fairtank.records.folder.paths import CSV_LIMIT_BYTES
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.models import Document, Result, Seat, Trial
from fairtank.records.rows.kinds import FILE_FIELDS, KINDS
from fairtank.records.services.shelf_trials import UNDO_DAYS

# As a repeated trial names the first one: its title, then the code of its seal, or the digest of its data or its plan.
_REPEATED = re.compile(r"(?P<title>.+); (?:seal \S+|(?:plan )?sha256:[0-9a-f]{64})", re.DOTALL)


@dataclass(frozen=True)
class Shelved:
    """One trial on the shelf. phase: one of PHASES; stands: where it stands, as a sentence; found: its one sentence, once it was judged.

    repeats: the title of the trial that it repeats; empty where it was not made from another one.
    """

    trial: Trial
    phase: str
    stands: str
    found: str = ""

    @property
    def repeats(self) -> str:
        """Told by its origin, which ends in the mark of the first trial."""
        told = _REPEATED.fullmatch(self.trial.origin)
        return told["title"] if told else ""


PHASES = ("running", "before", "ended", "planning")


def with_marks(trials: QuerySet[Trial]) -> QuerySet[Trial]:
    """Trials with what tells where they stand: whether they were drawn here, and the sentence of their finding."""
    drawn = Document.objects.filter(trial=OuterRef("pk"), path=DRAW_FILE)
    return trials.annotate(has_draw=Exists(drawn))


def shelved(trials: Iterable[Trial], today: date | None = None) -> list[Shelved]:
    """Every trial of a list with where it stands; the list must come from `with_marks`.

    Parameters
    ----------
    trials : trials
        As `with_marks` gives them.
    today : date, optional

    Returns
    -------
    list of Shelved

    References
    ----------
    common_practice (keys from sources.py).
    """
    day, listed = today or date.today(), list(trials)
    found = sentences_of([trial.pk for trial in listed])
    return [Shelved(trial, *stands_words(trial, day, is_drawn=trial.has_draw, is_judged=trial.pk in found), found.get(trial.pk, ""))
            for trial in listed]


def sentences_of(keys: list[int]) -> dict[int, str]:
    """The one sentence of each trial that was judged and may be read, as it is spoken: that of its primary measure.

    While somebody still scores blind it is not told, nor before the day on which the trial is read.
    """
    scoring = Seat.objects.filter(closed_at=None).values("trial")
    rows = (Result.objects.filter(trial__in=keys, kind="sentence").exclude(trial__in=scoring).exclude(content__state=WAITS)
            .values_list("trial_id", KT("content__sentence")))
    return {key: spoken(sentence) for key, sentence in rows if sentence}


def stands_words(trial: Trial, today: date, *, is_drawn: bool, is_judged: bool = False) -> tuple[str, str]:
    """Where a trial stands: its phase, and a sentence."""
    if not trial.planned or trial.start is None:
        return "planning", _("Being planned; the plan is not made yet.")
    day, last = (today - trial.start).days, trial.start + timedelta(days=trial.days)
    if trial.closed_at is not None or day > trial.days:
        return "ended", _ended(trial, last, is_judged=is_judged)
    if day >= 0:
        return "running", _("Running: day %(day)d of %(days)d, to %(last)s.") % {"day": day, "days": trial.days, "last": last.isoformat()}
    if trial.sealed_at is not None:
        stands = _("Sealed with the code %(code)s.") % {"code": trial.seal_code}
    else:
        stands = _("Planned and drawn, not sealed yet.") if is_drawn else _("Planned; the lot was not drawn yet.")
    begins = ngettext("Day 0 is tomorrow.", "Day 0 is in %(count)d days, on %(start)s.", -day)
    begins %= {"count": -day, "start": trial.start.isoformat()}
    return "before", f"{stands} {begins}"


def _ended(trial: Trial, last: date, *, is_judged: bool) -> str:
    if trial.closed_at is not None and trial.closed_at.date() < last:
        told = _("Called finished on %(day)s.") % {"day": trial.closed_at.date().isoformat()}
    else:
        told = _("Ended on %(last)s.") % {"last": last.isoformat()}
    return told if is_judged else _("%(told)s Not judged here yet.") % {"told": told}


def in_trash(trials: QuerySet[Trial], now: datetime | None = None) -> QuerySet[Trial]:
    """Trials that were taken away and can still be brought back, the latest first."""
    since = (now or timezone.now()) - timedelta(days=UNDO_DAYS)
    return trials.filter(removed_at__gte=since).order_by("-removed_at")


def is_on_shelf(root: Path) -> bool:
    """Whether a trial was taken in from a folder of that name, with the plan and the tables that lie there now.

    A table whose rows were changed on the shelf since is not compared: what lies in the folder is then the older one.
    """
    try:
        plan = (root / PLAN_FILE).read_bytes()
    except OSError:
        return False
    found = Document.objects.filter(path=PLAN_FILE, content=plan, trial__origin=root.name[:300], trial__removed_at=None)
    return any(_is_as_it_lies(trial, root) for trial in found.values_list("trial", flat=True))


def _is_as_it_lies(trial: int, root: Path) -> bool:
    kept = {path: bytes(content) for path, content in Document.objects.filter(trial=trial, is_table=True).values_list("path", "content")}
    for path, field in FILE_FIELDS.items():
        place = root / path
        there = place.read_bytes() if place.is_file() and place.stat().st_size <= CSV_LIMIT_BYTES else b""
        if path in kept:
            if kept[path] != there:
                return False
        elif there and not KINDS[field].model._base_manager.filter(trial=trial).exists():
            return False
    return True


def recent_changes(trial: Trial, count: int) -> Any:
    """What was changed last; answers to the questions are left out, they are many and stand on the page of the plan."""
    return trial.trail.exclude(verb="answer").order_by(F("pk").desc())[:count]
