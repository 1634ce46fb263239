"""The schedule: what each day brings, chores to change, days that slipped, and a file for the calendar."""

from itertools import groupby
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.chore import CHORE_KINDS, Chore
from fairtank.errors import FairtankError
from fairtank.planning.schedule.rules import words_of
from fairtank.publish.schedule_words import (
    amount_words,
    caution_keys,
    chore_words,
    day_words,
    light_words,
    minutes_words,
    slip_words,
    state_words,
    touched_words,
)
from fairtank.records.models import Trial
from fairtank.records.services.fields_refused import FieldsRefused
from fairtank.records.services.shelf_schedule import (
    CHORE_FIELDS,
    Scheduled,
    calendar_of,
    chore_remove,
    chore_store,
    schedule_take,
    scheduled_of,
    slip_store,
)
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.web.going import told
from fairtank.web.said import in_pages, refusal_lines
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of

DAYS_SHOWN = 14
KIND_WORDS = {
    "photo": gettext_lazy("photos"), "test": gettext_lazy("a water test"), "dose": gettext_lazy("a dose"),
    "water_change": gettext_lazy("a water change"), "light": gettext_lazy("the light"), "trim": gettext_lazy("trimming"),
    "clean": gettext_lazy("cleaning"), "feed": gettext_lazy("feeding"), "other": gettext_lazy("something else"),
}  # fmt: skip


@require_safe
@needs("look")
def schedule(request: HttpRequest, slug: str) -> HttpResponse:
    """The days as a list, the chores, the slips."""
    return _page(request, trial_for(request, slug))


def _page(request: HttpRequest, trial: Trial, *, refusal: str = "") -> HttpResponse:
    found = scheduled_of(trial) if trial.planned else None
    if found is None:
        return no_plan(request, trial, "schedule")
    keys = caution_keys((chore for chore in found.chores), found.papers.setup)
    return trial_page(request, "plan/schedule.html", trial, "schedule", {
        "plan": found.plan, "is_proposed": not found.papers.has_schedule, "days": _days(request, found),
        "shows_all": request.GET.get("days") == "all", "light": light_words(found.papers.setup),
        "chores": [(chore, chore_words(chore), amount_words(chore)) for chore in found.chores],
        "minutes": minutes_words(sum(state.task.minutes for state in found.states)),
        "slips": slip_words(found.slips, found.schedule) if found.slips else [],
        "touched": [line for number in range(1, len(found.slips) + 1)
                    for line in touched_words(found.schedule.touched, number, is_sealed=found.papers.seal is not None)],
        "cautions": [CAUTIONS[key] for key in keys], "last_word": LAST_WORD if keys else "", "refusal": refusal,
        "typed": request.POST if request.method == "POST" else {}, "today_day": found.day,
    }, status=422 if refusal else 200)


def _days(request: HttpRequest, found: Scheduled) -> list[tuple[str, list[str], bool]]:
    """Each day with its tasks in words: two weeks from today (or from day 0), or all of them."""
    first = max(found.day, 0)
    wanted = [state for state in found.states if request.GET.get("days") == "all" or first <= state.task.day < first + DAYS_SHOWN]
    return [(day_words(day, own[0].task.date, found.plan), [state_words(state, found.plan) for state in own], day == found.day)
            for day, group in groupby(wanted, key=lambda state: state.task.day) if (own := list(group))]


@require_POST
@needs("manage")
def take(request: HttpRequest, slug: str) -> HttpResponse:
    """Take the proposal as the trial's own schedule."""
    trial = trial_for(request, slug)
    try:
        schedule_take(trial=trial, by=visitor(request).by)
    except FairtankError as error:
        return _page(request, trial, refusal=" ".join(refusal_lines(error)))
    return told(request, _("It is the trial's own schedule now. Change times, minutes and days to fit."), "schedule", trial.slug)


@require_POST
@needs("manage")
def slip(request: HttpRequest, slug: str) -> HttpResponse:
    """Move all that is not done from a day on."""
    trial, sent = trial_for(request, slug), request.POST
    try:
        slip_store(trial=trial, by=visitor(request).by, day=sent.get("day", ""), by_days=sent.get("by_days", ""),
                   reason=sent.get("reason", ""))
    except FairtankError as error:
        return _page(request, trial, refusal=" ".join(refusal_lines(error)))
    return told(request, _("All that is not done moves; what was done stays, and so do the days that are judged."), "schedule", trial.slug)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def chore(request: HttpRequest, slug: str) -> HttpResponse:
    """One chore: added, or changed where its key is named."""
    trial, key = trial_for(request, slug), request.POST.get("key", request.GET.get("key", ""))
    found = scheduled_of(trial) if trial.planned else None
    if found is None:
        return no_plan(request, trial, "schedule")
    there = next((one for one in found.chores if one.key == key), None)
    if key and there is None:
        raise Http404(_("There is no such chore in the schedule."))
    if request.method != "POST":
        return _chore_page(request, trial, key, _typed_of(there))
    typed = {name: request.POST.get(name, "") for name in CHORE_FIELDS}
    try:
        chore_store(trial=trial, by=visitor(request).by, key=key, typed=typed)
    except FieldsRefused as error:
        return _chore_page(request, trial, key, typed, {name: in_pages(line) for name, line in error.sentences.items()})
    except FairtankError as error:
        return _chore_page(request, trial, key, typed, {"": " ".join(refusal_lines(error))})
    return told(request, _("The schedule was changed."), "schedule", trial.slug)


def _typed_of(there: Chore | None) -> dict[str, str]:
    """A chore as it would be typed; a new one with what is usual."""
    if there is None:
        return {"kind": "other", "every": "every day", "at": "18:00"}
    words = words_of(there.rule)
    told_words = {"every": words if words != "once" else f"once on day {there.from_day}", "at": there.at.isoformat("minutes"),
                  "units": ", ".join(there.units), "from_day": str(there.from_day) if there.from_day and words != "once" else ""}
    rest: dict[str, Any] = {name: getattr(there, name) for name in CHORE_FIELDS if name not in told_words}
    said = {name: "" if value in (None, 0.0) else f"{value:g}" if isinstance(value, float) else str(value) for name, value in rest.items()}
    return {**said, **told_words}


def _chore_page(request: HttpRequest, trial: Trial, key: str, typed: dict[str, str], refused: dict[str, str] | None = None) -> HttpResponse:
    refused = refused or {}
    return trial_page(request, "plan/chore.html", trial, "schedule", {
        "key": key, "typed": typed, "refused": refused, "kinds": [(kind, KIND_WORDS[kind]) for kind in CHORE_KINDS],
        "general": refused.get("", "")}, status=422 if refused else 200)


@require_POST
@needs("manage")
def remove(request: HttpRequest, slug: str) -> HttpResponse:
    """Take a chore out."""
    trial = trial_for(request, slug)
    try:
        chore_remove(trial=trial, by=visitor(request).by, key=request.POST.get("key", ""))
    except FairtankError as error:
        return _page(request, trial, refusal=" ".join(refusal_lines(error)))
    return told(request, _("The chore was taken out; what was done of it stays in the diary."), "schedule", trial.slug)


@require_safe
@needs("look")
def calendar(request: HttpRequest, slug: str) -> HttpResponse:
    """The schedule as a file for the phone's calendar."""
    trial, alarm = trial_for(request, slug), whole_of(request.GET.get("alarm", ""), 0, 1440)
    try:
        content = calendar_of(trial, alarm)
    except FairtankError as error:
        raise Http404(" ".join(refusal_lines(error))) from error
    headers = {"Content-Disposition": f'attachment; filename="{trial.slug}.ics"'}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)
