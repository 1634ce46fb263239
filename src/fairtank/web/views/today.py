"""Today: what all running trials ask for, what is overdue, and where to begin."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fairtank.planning.schedule.days import State
from fairtank.records.selectors.due import DueTrial, today_of
from fairtank.web.clock import now_of
from fairtank.web.rounds import ago_words, chore_words, day_words
from fairtank.web.visitors import needs, trials_for


@require_safe
@needs("record")
def today(request: HttpRequest) -> HttpResponse:
    """All due rounds of all running trials."""
    on = now_of(request).date()
    found = today_of(list(trials_for(request).filter(planned=True, closed_at=None)), on)
    content = {"here": "today", "on": on, "due": [_told(one) for one in found.due], "idle": [_told(one) for one in found.idle],
               "ahead": [(trial, ago_words((on - trial.start).days)) for trial in found.ahead[:20] if trial.start]}
    return render(request, "today/today.html", content)


def _told(one: DueTrial) -> dict[str, object]:
    """One trial in words."""
    following = one.next
    return {
        "trial": one.trial, "day": day_words(one.day, one.planned.plan.days, one.trial.start or one.planned.plan.start),
        "left": [_line(state, one) for state in one.left],
        "overdue": [(_line(state, one), ago_words(one.day - state.task.day)) for state in one.overdue],
        "plan_days": [state.task.chore for state in one.plan_days], "is_proposed": one.planned.is_proposed,
        "round": one.rounds[0] if one.rounds else None,
        "next": "" if following is None else _("Next: %(what)s, %(when)s.") % {"what": chore_words(following.task),
                                                                             "when": ago_words(one.day - following.task.day)},
    }  # fmt: skip


def _line(state: State, one: DueTrial) -> str:
    """A chore, and the tanks in which it is left where it is not all of them."""
    words = chore_words(state.task)
    if len(state.left) == len(one.planned.plan.units):
        return words
    return _("%(what)s in %(units)s") % {"what": words, "units": ", ".join(state.left)}
