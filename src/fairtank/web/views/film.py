"""The film of a trial: what is wished for, how far it is, the film itself, and the files that go with it."""

from pathlib import Path
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.publish.film import wishes as film_wishes
from fairtank.records.jobs.film import wishes_of
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Result, Trial, Unit
from fairtank.records.selectors.results import answer_of
from fairtank.records.services.filming import FOLDER
from fairtank.records.services.working import out_of
from fairtank.web.going import see
from fairtank.web.house import address
from fairtank.web.ranges import file_sent
from fairtank.web.said import refusal_lines
from fairtank.web.security import FILE_POLICY, PAGE_POLICY
from fairtank.web.views.finding import FORBIDDEN, finding_page, shown_to
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

# The page's own policy, and films from here.
FILM_POLICY = f"{PAGE_POLICY}; media-src 'self'"
TYPES = {".mp4": "video/mp4", ".webm": "video/webm", ".jpg": "image/jpeg", ".webp": "image/webp", ".vtt": "text/vtt; charset=utf-8"}
CHOICES = {
    "shape": (("wide", gettext_lazy("wide, 16:9: for a screen")), ("tall", gettext_lazy("tall, 9:16: for a phone")),
              ("square", gettext_lazy("square, 1:1"))),
    "size": (("1080p", gettext_lazy("1080 px on the short side")),
             ("4k", gettext_lazy("2160 px on the short side (4K): four times the work"))),
    "form": (("mp4", gettext_lazy("MP4: plays everywhere")), ("webm", gettext_lazy("WebM: for web pages"))),
    "arms": ((film_wishes.SHOWN, gettext_lazy("named all along")),
             (film_wishes.AT_THE_END, gettext_lazy("hidden by codes, named after the last day")),
             (film_wishes.NEVER, gettext_lazy("never named"))),
}
SWITCHES = ("captions", "date", "curve", "cards", "seal_line")


@require_safe
@needs("look")
def film(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "film")


@require_POST
@needs("record")
def make(request: HttpRequest, slug: str) -> HttpResponse:
    """Have it made behind the pages."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "film")
    if not shown_to(request, trial).is_over:
        return _page(request, trial, status=FORBIDDEN)
    try:
        given = _wished(request)
        film_wishes.wishes_check(wishes_of(given))
        _tanks_check(given["units"] or _units(trial))
    except FairtankError as error:
        return _page(request, trial, refusal_lines(error), status=422)
    enqueue(kind="film", trial=trial, by=visitor(request).by, given=given)
    return see("film", trial.slug)


@require_safe
@needs("look")
def film_file(request: HttpRequest, slug: str, name: str) -> HttpResponseBase:
    """The film, or a picture that goes with it."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    result = answer_of(trial, "film").result
    place = out_of(trial) / FOLDER / name
    if result is None or name not in _names(result.content) or not place.is_file():
        raise Http404(_("There is no such file of a film. The page “Film” has a button that makes one."))
    kept = f"{trial.slug}-{name}" if request.GET.get("keep") == "1" else ""
    return file_sent(request, place, media_type=TYPES[Path(name).suffix], policy=FILE_POLICY, name=kept)


def _names(content: dict[str, Any]) -> set[str]:
    """The files that belong to a film."""
    return {content[key] for key in ("film", "poster", "poster_webp", "before_after")} | {name for _unit, name in content["pairs"]}


def _wished(request: HttpRequest) -> dict[str, Any]:
    """What was chosen in the form."""
    given = _ticked(request)
    seconds = request.POST.get("seconds_per_day", "").strip().replace(",", ".")
    if seconds:
        given["seconds_per_day"] = _seconds(seconds)
    return given


def _ticked(request: HttpRequest) -> dict[str, Any]:
    """All of it but the number, which is typed."""
    return {**{name: request.POST.get(name, "") for name in CHOICES}, **{name: name in request.POST for name in SWITCHES},
            "units": request.POST.getlist("tank")}


def _seconds(text: str) -> float:
    """How long each day is shown, as it was typed; refused in the language of the page."""
    try:
        value = float(text)
    except ValueError as error:
        raise InputError(_("Seconds for each day"), text, _("0.1 to 5")) from error
    if not film_wishes.FEWEST_SECONDS_PER_DAY <= value <= film_wishes.MOST_SECONDS_PER_DAY:
        raise InputError(_("Seconds for each day"), value, _("0.1 to 5"))
    return value


def _units(trial: Trial) -> list[str]:
    return list(Unit.objects.filter(trial=trial).values_list("key", flat=True))


def _tanks_check(units: list[str]) -> None:
    """Refuse more tanks than one film shows before anything is worked out; which ones is not chosen for anybody."""
    if len(units) > film_wishes.MOST_UNITS:
        raise InputError(_("The number of tanks in the film"), len(units), _("1 to %(most)d") % {"most": film_wishes.MOST_UNITS},
                         _("Tick which ones, as many of each arm."))


def _page(request: HttpRequest, trial: Trial, refusals: list[str] | None = None, *, status: int = 200) -> HttpResponse:
    shown = shown_to(request, trial)
    answer = answer_of(trial, "film") if shown.is_over else None
    content = answer.result.content if answer and answer.result else None
    there = content if content and (out_of(trial) / FOLDER / content["film"]).is_file() else None
    wished = _typed(request) if request.method == "POST" else wishes_of(content["given"] if content else {})
    units = _units(trial)
    page = trial_page(request, "film/film.html", trial, "film", {
        "shown": shown, "answer": answer, "film": there, "seconds": round(there["seconds"]) if there else 0, "refusals": refusals or [],
        "wished": wished, "typed_seconds": request.POST.get("seconds_per_day", wished.seconds_per_day or ""), "choices": _choices(wished),
        "track": _captions(trial, answer.result) if answer and answer.result else "", "units": units,
        "chosen": wished.units or (units if len(units) <= film_wishes.MOST_UNITS else []),
        "most": film_wishes.MOST_UNITS, "media_type": TYPES[Path(there["film"]).suffix] if there else "",
    }, status=status)
    page.headers["Content-Security-Policy"] = FILM_POLICY
    return page


def _captions(trial: Trial, film_result: Result) -> str:
    """The address of the captions, where they were written for this very film; else nothing."""
    words = answer_of(trial, "words").result
    if words is None or words.made_at < film_result.made_at or words.content.get("film") != film_result.content["film"]:
        return ""
    return address("words_file", trial.slug, "captions.vtt") if "captions.vtt" in words.content.get("texts", {}) else ""


def _typed(request: HttpRequest) -> film_wishes.FilmWishes:
    """What was chosen, for the form that is shown again; a number that is none stays as it was typed and loses nothing else."""
    try:
        return wishes_of(_ticked(request))
    except InputError:
        return wishes_of({})


def _choices(wished: film_wishes.FilmWishes) -> list[tuple[str, Any, str, list[tuple[str, Any]]]]:
    """Name, words, what is chosen, and what may be chosen."""
    words = {"shape": _("Shape"), "size": _("Size"), "form": _("File"), "arms": _("The arms")}
    return [(name, words[name], getattr(wished, name), list(options)) for name, options in CHOICES.items()]
