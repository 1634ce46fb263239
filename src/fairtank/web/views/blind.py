"""The blind table as the keeper sees it: who judges what, how far they are, their links, and how far they agree once all are done."""

from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.records.models import Seat, Trial
from fairtank.records.planned import planned_of
from fairtank.records.selectors.seats import ByEye, agreed_of, measures_by_eye, standings_of
from fairtank.records.services.seats import (
    FEWEST,
    LINK_LASTS,
    MOST,
    USUAL,
    SeatWanted,
    seat_close,
    seat_link_end,
    seat_link_make,
    seat_make,
    seat_open_again,
)
from fairtank.trial import Plan
from fairtank.web.going import told
from fairtank.web.said import in_pages, refusal_lines
from fairtank.web.views.phones import symbol_of
from fairtank.web.visitors import is_this_machine, needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of


@require_safe
@needs("score")
def blind(request: HttpRequest, slug: str) -> HttpResponse:
    """Who sits at the table; whoever may only score sees the own seats alone."""
    return _page(request, trial_for(request, slug))


def _page(request: HttpRequest, trial: Trial, *, status: int = 200, **more: Any) -> HttpResponse:
    planned, who = planned_of(trial), visitor(request)
    if not who.may("manage"):
        own = [one for one in standings_of(trial) if one.seat.rater == who.by.name and not one.seat.token_digest]
        return trial_page(request, "blind/own.html", trial, "blind", {"standings": own})
    measures = measures_by_eye(trial, planned.plan) if planned else ()
    content = {
        "planned": planned, "measures": [(one, _agreed(trial, planned.plan, one)) for one in measures] if planned else [],
        "sent": {} if "link" in more else request.POST, "usual": USUAL, "fewest": FEWEST, "most": MOST, "days": LINK_LASTS.days,
        "open_measures": [one.choice.key for one in measures], "is_first": not any(one.seats for one in measures),
    }
    return trial_page(request, "blind/blind.html", trial, "blind", {**content, **more}, status=status)


def _agreed(trial: Trial, plan: Plan, of: ByEye) -> dict[str, Any]:
    """How far people agree, as the page tells it."""
    found = agreed_of(trial, plan, of)
    if found is None:
        return {"waits": plan.blinded and of.is_open and bool(of.seats)}
    if found.eyes is None:
        return {"choices": found.choices, "people": found.people}
    alone = [(own.rater or _("one person"), own.repeats, round(own.same_share * own.repeats)) for own in found.eyes.alone]
    return {"reason": in_pages(found.eyes.reason), "alone": alone}


@require_POST
@needs("manage")
def make(request: HttpRequest, slug: str) -> HttpResponse:
    """A seat for somebody; with a link where that is asked for."""
    trial, sent, by = trial_for(request, slug), request.POST, visitor(request).by
    try:
        seat = seat_make(trial=trial, by=by, wanted=_wanted(sent))
        secret = seat_link_make(seat=seat, by=by) if sent.get("where") == "link" else ""
    except FairtankError as error:
        return _page(request, trial, status=422, refusal=refusal_lines(error))
    if secret:
        return _with_link(request, trial, seat, secret)
    said = _("%(name)s has a seat now, with %(count)d to answer.") % {"name": seat.rater, "count": len(seat.tasks)}
    return told(request, said, "blind", slug)


def _wanted(sent: Any) -> SeatWanted:
    count, top = (_whole(sent.get(name, ""), words) for name, words in (("count", _("how many photos")), ("top", _("the scale"))))
    return SeatWanted(sent.get("measure", "")[:60], sent.get("way", "")[:10], sent.get("rater", ""), count, sent.get("question", ""),
                      sent.get("low_words", ""), sent.get("high_words", ""), top)


def _whole(text: str, words: str) -> int:
    found = whole_of(text, 0, 10**6)
    if found is None:
        raise InputError(words, _("missing") if not text.strip() else _("not a whole number"), _("a whole number"))
    return found


def _with_link(request: HttpRequest, trial: Trial, seat: Seat, secret: str) -> HttpResponse:
    """The page with a link, which is shown this once."""
    place = reverse("rate", args=[secret])
    reaches_out = settings.HOSTED or (settings.LAN and bool(settings.ADDRESS))
    whole = settings.ADDRESS.rstrip("/") + place if settings.ADDRESS and not settings.HOSTED else request.build_absolute_uri(place)
    return _page(request, trial, link=whole, link_of=seat, symbol=symbol_of(whole) if reaches_out else "",
                 is_here_only=not reaches_out and is_this_machine(request))


@require_POST
@needs("manage")
def link(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """A new link for a seat; the one before opens nothing any more."""
    trial = trial_for(request, slug)
    seat = _seat(trial, number)
    try:
        secret = seat_link_make(seat=seat, by=visitor(request).by)
    except FairtankError as error:
        return _page(request, trial, status=422, refusal=refusal_lines(error))
    return _with_link(request, trial, seat, secret)


@require_POST
@needs("manage")
def unlink(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Take a link back."""
    seat = _seat(trial_for(request, slug), number)
    seat_link_end(seat=seat, by=visitor(request).by)
    return told(request, _("The link of %(name)s opens nothing any more. What was answered is kept.") % {"name": seat.rater}, "blind", slug)


@require_POST
@needs("manage")
def end(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Wait for somebody no longer."""
    seat = _seat(trial_for(request, slug), number)
    seat_close(seat=seat, by=visitor(request).by)
    return told(request, _("Nobody waits for %(name)s any more. What was answered counts.") % {"name": seat.rater}, "blind", slug)


@require_POST
@needs("manage")
def open_again(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Let somebody go on after all."""
    seat = _seat(trial_for(request, slug), number)
    try:
        seat_open_again(seat=seat, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "blind", slug)
    return told(request, _("%(name)s can go on.") % {"name": seat.rater}, "blind", slug)


def _seat(trial: Trial, number: int) -> Seat:
    found: Seat | None = Seat.objects.filter(trial=trial, pk=number).select_related("trial").first()
    if found is None:
        raise Http404(_("There is no such seat at the blind table."))
    return found
