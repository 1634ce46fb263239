"""Kinds of work: the one list. A new kind is one entry here and one function, which gets the job and tells how far it is."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

_ROOM = "fairtank.records.jobs."


@dataclass(frozen=True)
class JobKind:
    """One kind of work.

    doing: what it does, as the head of a sentence. counted: what it counts, in the plural; empty where it counts nothing. work: where its
    function lies, a name so that pages need not load it: it takes the job and a `Progress` and returns what is kept in the job's result.
    is_answer: needs a trial and nothing more, and leaves a `Result` of the same name.
    """

    key: str
    doing: Any
    counted: Any
    work: str
    is_answer: bool = True


KINDS = {kind.key: kind for kind in (
    JobKind("measure", _("Measuring the photos"), _("photos"), _ROOM + "measure.measure"),
    JobKind("maps", _("Drawing what was counted as what"), _("photos"), _ROOM + "class_maps.class_maps"),
    JobKind("judge", _("Working out the finding"), _("photos"), _ROOM + "judge.judge"),
    JobKind("kit", _("Writing the kit"), _("photos"), _ROOM + "kit.kit"),
    JobKind("report", _("Writing the report"), _("photos"), _ROOM + "report.report"),
    JobKind("film", _("Making the film"), _("frames"), _ROOM + "film.film", is_answer=False),
    JobKind("site", _("Making the public page"), _("photos"), _ROOM + "site.site", is_answer=False),
    JobKind("charts", _("Drawing the charts to take away"), _("pictures"), _ROOM + "site.charts", is_answer=False),
    JobKind("words", _("Putting the words for a video together"), _("photos"), _ROOM + "words.words"),
    JobKind("even", _("Working out how even the tanks are"), "", _ROOM + "even.even"),
    JobKind("watch", _("Working out whether the tanks drift apart"), "", _ROOM + "watch.watch"),
    JobKind("detect", _("Working out what the trial could show"), _("designs"), _ROOM + "detect.detect"),
    JobKind("forecast", _("Working out how the tanks may go"), _("parts"), _ROOM + "forecast.forecast"),
    JobKind("pool", _("Taking several trials together"), _("trials"), _ROOM + "pool.pool", is_answer=False),
    JobKind("import", _("Taking in a trial"), _("photos"), _ROOM + "taking_in.take_in", is_answer=False),
    JobKind("backup", _("Writing a backup of everything"), _("photos"), _ROOM + "house.backup", is_answer=False),
    JobKind("check", _("Looking whether everything is as it was kept"), _("photos"), _ROOM + "house.check", is_answer=False),
)}  # fmt: skip
