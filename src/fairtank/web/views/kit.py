"""The kit: what others need to check a trial or to do it again, in one file; how the photos go out and under which licence is chosen "
  "here."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.publish.kit.facts import PHOTOS
from fairtank.publish.kit.holds import DESCRIBED, NUMBERS, PICTURES, READ, TABLES
from fairtank.publish.kit.licences import LICENCES, Licence
from fairtank.records.jobs.kit import KIT_FILE
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Photo, Trial
from fairtank.records.selectors.results import answers_of
from fairtank.records.services.working import out_of
from fairtank.web.going import see
from fairtank.web.said import worked_out
from fairtank.web.security import FILE_POLICY
from fairtank.web.spoken import is_english, wholly_spoken
from fairtank.web.views.finding import FORBIDDEN, finding_page, shown_to
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

PHOTO_WORDS = {
    "full": (gettext_lazy("As they were measured"), gettext_lazy("Everything can be measured again from them. The largest file.")),
    "reduced": (gettext_lazy("Smaller, 1280 px at most"), gettext_lazy("Good to look at. The values measured on the originals go along, so "
                                                                       "that the "
                                                                      "findings are the same.")),
    "none": (gettext_lazy("Left out"), gettext_lazy("The values go along, and a digest by which each photo can be recognised later.")),
}  # fmt: skip
# What lies in a kit, and for whom.
HOLD_WORDS = {
    PICTURES: (gettext_lazy("Photos"), gettext_lazy("For whoever wants to look for themselves.")),
    TABLES: (gettext_lazy("The plan and the tables"),
             gettext_lazy("What was asked, built, done, read and noted: for whoever wants to do it again.")),
    NUMBERS: (gettext_lazy("The values"), gettext_lazy("As they were measured: for whoever wants to judge it again.")),
    READ: (gettext_lazy("The finding and the report"), gettext_lazy("For whoever wants to know what came of it.")),
    DESCRIBED: (gettext_lazy("Licence, contents and descriptions"),
                gettext_lazy("What may be done with it, a first page to read, and lists for archives and programs.")),
}
_FOR_CHECKERS = "sha256:"  # a sentence with this is for those who compare digests


@require_safe
@needs("look")
def kit(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "kit")


def _page(request: HttpRequest, trial: Trial, refusal: str = "") -> HttpResponse:
    shown, answer = shown_to(request, trial), answers_of(trial, ("kit",))["kit"]
    content = answer.result.content if answer.result and shown.is_over else {}
    given = content.get("given") or {}
    return trial_page(request, "kit/kit.html", trial, "kit", {
        "shown": shown, "answer": answer, "refusal": refusal, "photos": Photo.objects.filter(trial=trial).count(),
        "arms": request.GET.get("arms", ""),
        "ways": [(key, *PHOTO_WORDS[key]) for key in PHOTOS], "way": request.POST.get("photos", given.get("photos", "reduced")),
        "licences": [_licence(one) for one in LICENCES.values()],
        "licence": request.POST.get("licence", given.get("licence", "")),
        "size": _size(trial), "content": content, "holds": _holds(content), **_told(content),
        "checked": _lines(content.get("checked", ())),
        "unfilled": [{**one, **_line(one["why"])} for one in content.get("unfilled", ())],
    }, status=422 if refusal else 200)


@require_POST
@needs("manage")
def ask(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the kit written behind the pages."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "kit")
    photos, licence = request.POST.get("photos", ""), request.POST.get("licence", "")
    if photos not in PHOTOS or licence not in LICENCES:
        return _page(request, trial, _("Choose how the photos go out, and what others may do with the kit: without your word nothing is "
                                       "allowed."))
    given: dict[str, Any] = {"photos": photos, "licence": licence}
    if request.POST.get("place") == "kept" and visitor(request).may("keep"):
        given["with_place"] = True
    enqueue(kind="kit", trial=trial, by=visitor(request).by, given=given)
    return see("kit", trial.slug)


@require_safe
@needs("export")
def kit_file(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The kit itself."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    place = _place(trial)
    if place is None:
        raise Http404(_("There is no kit yet. The page “Kit” has a button that writes it."))
    return FileResponse(place.open("rb"), as_attachment=True, filename=f"{trial.slug}-kit.zip", content_type="application/zip",
                        headers={"Content-Security-Policy": FILE_POLICY})


def _holds(content: dict[str, Any]) -> list[dict[str, Any]]:
    """What lies in the kit, how much, and for whom; nothing of a kit that was written before this was counted."""
    return [{"what": HOLD_WORDS[sort][0], "files": files, "size": size, "whom": HOLD_WORDS[sort][1]}
            for sort, files, size in content.get("holds", ())]


def _told(content: dict[str, Any]) -> dict[str, Any]:
    """What there is to know of the kit, and what only those need who compare digests; how many files there are stands in the list."""
    kept = [one for one in content.get("told", ()) if not (content.get("holds") and one.startswith("The kit holds "))]
    return {"told": _lines(one for one in kept if _FOR_CHECKERS not in one), "digests": _lines(one for one in kept if _FOR_CHECKERS in one)}


def _lines(sentences: Iterable[str]) -> list[dict[str, Any]]:
    return [_line(one) for one in sentences]


def _line(sentence: str) -> dict[str, Any]:
    """A sentence in the language of the page, and whether it is still English there."""
    other = wholly_spoken(sentence)
    return {"text": other if other != sentence else worked_out(sentence), "is_english": other == sentence and not is_english()}


def _licence(one: Licence) -> dict[str, Any]:
    """One choice: the name of a licence is its makers' and stays as it is, what it lets others do is said by us."""
    return {"key": one.key, "address": one.address, "name": one.name if one.address else wholly_spoken(one.name), "short": _line(one.short)}


def _place(trial: Trial) -> Path | None:
    place = out_of(trial) / KIT_FILE
    return place if place.is_file() else None


def _size(trial: Trial) -> int:
    """How long the kit is; 0 where there is none."""
    place = _place(trial)
    return place.stat().st_size if place else 0
