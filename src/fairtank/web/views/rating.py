"""The table at which people judge photos without knowing which tank, arm or day they see.

There are two doors: an account or the keeper sits down at a seat of a trial, or a link is opened. A link needs no session and no cookie,
opens one seat and names no other page; its secret is all that is asked for, so a form behind it needs no token against forgery: whoever
could forge it would have to know the secret.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.records.models import Measure, Seat
from fairtank.records.selectors.seats import SCORE, Standing, Task, seat_of_secret, standing_of
from fairtank.records.services.scoring import answer_give, answer_undo, seen_of, steps_of, task_picture
from fairtank.records.services.trail import By
from fairtank.web.going import See, see
from fairtank.web.said import refusal_lines
from fairtank.web.security import FILE_POLICY
from fairtank.web.throttle import RATER_LINK, address_of, told_to_wait, wait_s
from fairtank.web.visitors import needs, open_to_all, trial_for, visitor

# Nothing leads from a link to anywhere, and nothing of it is kept by those who gather addresses.
ALONE = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex, nofollow"}
_PICTURE = {"Cache-Control": "private, max-age=3600", "Content-Security-Policy": FILE_POLICY}


@dataclass(frozen=True)
class Door:
    """How somebody came to a seat: under which names of routes and with what in their addresses. back: where a pause leads; empty behind
    a link."""

    seat: Seat
    by: By
    routes: str
    args: tuple[Any, ...]
    back: str = ""

    def address(self, what: str, *more: Any) -> str:
        """An address behind this door."""
        return reverse(f"{self.routes}_{what}" if what else self.routes, args=[*self.args, *more])

    @property
    def answer(self) -> str:
        """Where answers are sent."""
        return self.address("answer")

    @property
    def undo(self) -> str:
        """Where the last one is taken back."""
        return self.address("undo")

    def pictures(self, task: Task | None) -> list[str]:
        """Where the pictures of a task lie."""
        return [] if task is None else [self.address("picture", task.token, which) for which in range(len(task.photos))]


def _shown(request: HttpRequest, door: Door, standing: Standing, refusal: str = "") -> HttpResponse:
    """The task that comes next, or thanks; only that part of the page where a script asked."""
    seat, is_part, standing = door.seat, bool(request.headers.get("HX-Request")), seen_of(standing)
    steps = steps_of(seat)
    content = {
        "door": door, "seat": seat, "standing": standing, "task": standing.next, "refusal": refusal,
        "pictures": door.pictures(standing.next), "ahead": door.pictures(standing.ahead),
        "question": seat.question or _question(seat), "is_score": seat.way == SCORE,
        "steps": [(step, str(place) if place < 10 else "x") for place, step in enumerate(steps)], "sign": " %" if seat.top == 100 else "",
    }
    status = 422 if refusal and not is_part else 200
    return render(request, "blind/task.html" if is_part else "blind/table.html", content, status=status)


def _question(seat: Seat) -> str:
    """What is asked where the keeper wrote nothing."""
    title = Measure.objects.filter(trial=seat.trial_id, key=seat.measure).values_list("title", flat=True).first()
    words = title or seat.measure.replace("_", " ")
    return (_("%(measure)s: which step fits?") if seat.way == SCORE else _("Which photo shows more: %(measure)s?")) % {"measure": words}


def _changed(request: HttpRequest, door: Door, change: Callable[[], Standing]) -> HttpResponse:
    """What an answer leads to: the next task."""
    try:
        standing = change()
    except FairtankError as error:
        return _shown(request, door, standing_of(door.seat), " ".join(refusal_lines(error)))
    return _shown(request, door, standing) if request.headers.get("HX-Request") else See(door.address("table" if door.back else ""))


def _answered(request: HttpRequest, door: Door) -> HttpResponse:
    sent = request.POST
    return _changed(request, door, lambda: answer_give(seat=door.seat, token=sent.get("task", "")[:40], answer=sent.get("answer", "")[:10],
                                                       by=door.by))


def _picture(seat: Seat, token: str, which: int) -> HttpResponse:
    try:
        content = task_picture(seat, token, which)
    except (FairtankError, OSError) as error:
        raise Http404(_("There is no such picture.")) from error
    return HttpResponse(content, content_type="image/jpeg", headers=_PICTURE)


def _table_door(request: HttpRequest, slug: str, number: int) -> Door:
    """A seat of this trial without a link: for whoever runs the trial, and for the account of that name."""
    trial, who = trial_for(request, slug), visitor(request)
    found = Seat.objects.filter(trial=trial, pk=number, token_digest="").select_related("trial").first()
    if found is None or not (who.may("manage") or found.rater == who.by.name):
        raise Http404(_("There is no such seat at the blind table."))
    return Door(found, By(found.rater, who.by.user), "blind", (slug, number), reverse("blind", args=[slug]))


@require_safe
@needs("score")
def table(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """The table for who sits at this computer."""
    door = _table_door(request, slug, number)
    return see("blind", slug) if door.seat.closed_at else _shown(request, door, standing_of(door.seat))


@require_POST
@needs("score")
def table_answer(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Keep an answer and show what comes next."""
    return _answered(request, _table_door(request, slug, number))


@require_POST
@needs("score")
def table_undo(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Take the last answer back."""
    door = _table_door(request, slug, number)
    return _changed(request, door, lambda: answer_undo(seat=door.seat, by=door.by))


@require_safe
@needs("score")
def table_picture(request: HttpRequest, slug: str, number: int, token: str, which: int) -> HttpResponse:
    """What is to be judged, under a word that tells nothing."""
    return _picture(_table_door(request, slug, number).seat, token, which)


def _by_link(view: Callable[[HttpRequest, Door, dict[str, Any]], HttpResponse]) -> Callable[..., HttpResponse]:
    """A view behind a link: the secret alone opens it. Wrong ones are counted, so that nobody tries many."""

    @csrf_exempt
    @open_to_all
    @wraps(view)
    def asked(request: HttpRequest, secret: str, **more: Any) -> HttpResponse:
        seat = seat_of_secret(secret)
        if seat is not None:
            answer = view(request, Door(seat, By(seat.rater), "rate", (secret,)), more)
        elif seconds := wait_s(RATER_LINK, address_of(request)):
            answer = told_to_wait(request, seconds)
        else:
            answer = render(request, "blind/over.html", status=404)
        for name, value in ALONE.items():
            answer.headers[name] = value
        return answer

    return asked


@require_safe
@_by_link
def rate(request: HttpRequest, door: Door, more: dict[str, Any]) -> HttpResponse:
    """The table behind a link."""
    return _shown(request, door, standing_of(door.seat))


@csrf_exempt
@require_POST
@_by_link
def rate_answer(request: HttpRequest, door: Door, more: dict[str, Any]) -> HttpResponse:
    """Keep an answer and show what comes next."""
    return _answered(request, door)


@csrf_exempt
@require_POST
@_by_link
def rate_undo(request: HttpRequest, door: Door, more: dict[str, Any]) -> HttpResponse:
    """Take the last answer back."""
    return _changed(request, door, lambda: answer_undo(seat=door.seat, by=door.by))


@require_safe
@_by_link
def rate_picture(request: HttpRequest, door: Door, more: dict[str, Any]) -> HttpResponse:
    """What is to be judged."""
    return _picture(door.seat, **more)
