"""The charts of a trial to take away: which shapes and grounds, the pictures, and all of them in one ZIP file."""

import re
from collections import Counter
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.publish.chart_export.listing import as_key
from fairtank.records.jobs.queue import enqueue
from fairtank.records.jobs.site import CHARTS_ZIP, wishes_of
from fairtank.records.models import Trial
from fairtank.records.selectors.finding import FindingShown
from fairtank.records.selectors.results import answer_of
from fairtank.records.services.charting import FOLDER, wishes_check
from fairtank.records.services.working import out_of
from fairtank.web.going import see
from fairtank.web.ranges import file_sent
from fairtank.web.said import refusal_lines
from fairtank.web.security import FILE_POLICY
from fairtank.web.views.finding import FORBIDDEN, finding_page, shown_to
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

TYPES = {".svg": "image/svg+xml", ".png": "image/png"}
CHOICES = {
    "shapes": (("page", gettext_lazy("for a page of text")), ("wide", gettext_lazy("wide, 16:9: 1920 x 1080 px")),
               ("tall", gettext_lazy("tall, 9:16: 1080 x 1920 px")), ("square", gettext_lazy("square, 1:1: 1080 x 1080 px"))),
    "themes": (("light", gettext_lazy("light paper")), ("dark", gettext_lazy("dark paper")),
               ("transparent", gettext_lazy("transparent, to lie on something light")),
               ("transparent-dark", gettext_lazy("transparent, to lie on something dark"))),
    "forms": (("png", gettext_lazy("PNG: for videos, posts and documents")), ("svg", gettext_lazy("SVG: sharp at every size"))),
}
LEGENDS = {"shapes": gettext_lazy("Shapes"), "themes": gettext_lazy("What lies behind"), "forms": gettext_lazy("Files")}
# What is seen in a picture, by the beginning of its name; behind it stands the key of a measure, or the number of one of several pictures.
SEEN = (
    ("tanks-", gettext_lazy("%(measure)s: where each tank stands")),
    ("curves-", gettext_lazy("%(measure)s: each tank, day by day")),
    ("looks-", gettext_lazy("%(measure)s: what each planned look said")),
    ("all-measures", gettext_lazy("All measures, each with its interval")),
    ("evenness", gettext_lazy("How even the tanks were: what each had of what could matter")),
    ("what-could-it-show", gettext_lazy("What the plan could show, beside other plans")),
    ("strip-wall", gettext_lazy("The photos: one row for each tank, one column for each day")),
)
_USUAL = {"shapes": ["wide"], "themes": ["light"], "forms": ["png"], "series": False}


@require_safe
@needs("look")
def charts(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "charts_export")


@require_POST
@needs("record")
def make(request: HttpRequest, slug: str) -> HttpResponse:
    """Have them drawn behind the pages."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "charts_export")
    if not shown_to(request, trial).is_over:
        return _page(request, trial, status=FORBIDDEN)
    given = _wished(request)
    if refusals := _unticked(given) or _refused(given):
        return _page(request, trial, refusals, status=422)
    enqueue(kind="charts", trial=trial, by=visitor(request).by, given=given)
    return see("charts_export", trial.slug)


@require_safe
@needs("look")
def chart_file(request: HttpRequest, slug: str, name: str) -> HttpResponseBase:
    """One picture."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    result = answer_of(trial, "charts").result
    place = out_of(trial) / FOLDER / name
    if result is None or name not in result.content["files"] or not place.is_file():
        raise Http404(_("There is no such picture. The page “Charts” has a button that draws them."))
    kept = f"{trial.slug}-{name.replace('/', '-')}" if request.GET.get("keep") == "1" else ""
    return file_sent(request, place, media_type=TYPES[place.suffix], policy=FILE_POLICY, name=kept)


@require_safe
@needs("export")
def charts_zip(request: HttpRequest, slug: str) -> HttpResponseBase:
    """All pictures in one file."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    place = out_of(trial) / CHARTS_ZIP
    if not place.is_file():
        raise Http404(_("No charts were drawn yet. The page “Charts” has a button that draws them."))
    return file_sent(request, place, media_type="application/zip", policy=FILE_POLICY, name=f"{trial.slug}-charts.zip")


def _wished(request: HttpRequest) -> dict[str, Any]:
    return {**{name: request.POST.getlist(name) for name in CHOICES}, "series": "series" in request.POST}


def _unticked(given: dict[str, Any]) -> list[str]:
    """A line for each choice of which nothing is ticked."""
    return [_("%(what)s: nothing is ticked. Tick at least one.") % {"what": words} for name, words in LEGENDS.items() if not given[name]]


def _refused(given: dict[str, Any]) -> list[str]:
    try:
        wishes_check(wishes_of(given))
    except FairtankError as error:
        return refusal_lines(error)
    return []


def _page(request: HttpRequest, trial: Trial, refusals: list[str] | None = None, *, status: int = 200) -> HttpResponse:
    shown = shown_to(request, trial)
    answer = answer_of(trial, "charts") if shown.is_over else None
    content: dict[str, Any] = answer.result.content if answer and answer.result else {}
    wished = _wished(request) if request.method == "POST" else content.get("given", _USUAL)
    made = content if content and (out_of(trial) / FOLDER).is_dir() else None
    return trial_page(request, "charts_export/charts_export.html", trial, "charts_export", {
        "shown": shown, "answer": answer, "made": made, "pictures": _pictures(content, _measures(shown)) if made else [],
        "refusals": refusals or [],
        "choices": [(name, LEGENDS[name], list(options), wished[name]) for name, options in CHOICES.items()], "series": wished["series"],
        "count": len(content.get("files", [])), "days": sum("-by-day/" in name for name in content.get("files", [])),
    }, status=status)


def _measures(shown: FindingShown) -> dict[str, str]:
    """What each measure is called, by its key as part of a file's name."""
    return {as_key(one.measure): one.title for one in (*shown.primary, *shown.secondary)}


def _pictures(content: dict[str, Any], measures: dict[str, str]) -> list[dict[str, Any]]:
    """The charts with what is seen in each and its files: the one that is shown first; pictures of single days are in the ZIP file only."""
    told = {key: words for options in CHOICES.values() for key, words in options}
    places = list(told)  # shapes and themes in the order in which they are asked for
    found: dict[tuple[str, str, str], list[tuple[str, str]]] = {}
    for name in sorted(content["files"], key=lambda name: [places.index(part) for part in name.split("/", 2)[:2]]):
        shape, theme, chart = name.split("/", 2)
        stem, _dot, form = chart.rpartition(".")
        if "/" not in chart:
            found.setdefault((stem, shape, theme), []).append((name, form.upper()))
    counts = Counter((_series(stem), shape, theme) for stem, shape, theme in found)
    return [{"seen": _seen(stem, measures, counts[_series(stem), shape, theme]),
             "form": f"{told.get(shape, shape)}, {told.get(theme, theme)}", "files": sorted(files)}
            for (stem, shape, theme), files in found.items()]


def _series(stem: str) -> str:
    """The name without the number of one of several pictures."""
    return re.sub(r"-\d+$", "", stem)


def _seen(stem: str, measures: dict[str, str], count: int) -> str:
    """What is seen in a picture, and which of several it is."""
    for begins, words in SEEN:
        if stem.startswith(begins):
            seen = words % {"measure": measures.get(stem.removeprefix(begins), stem.removeprefix(begins).replace("-", " "))}
            number = stem.removeprefix(begins).lstrip("-")
            return _("%(seen)s (picture %(number)d of %(count)d)") % {"seen": seen, "number": int(number), "count": count} \
                if count > 1 and number.isdigit() else seen
    return stem.replace("-", " ").capitalize()
