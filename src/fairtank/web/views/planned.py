"""Pages that need a plan: where there is none yet they say so, and lead to it; and who may see the arms of a blinded trial."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse

from fairtank.records.folder.draw_json import DRAW_FILE
from fairtank.records.models import Round, Trial
from fairtank.records.rows.framed import photos_without_frame
from fairtank.records.selectors.shelf import sentences_of, stands_words
from fairtank.records.selectors.trial_state import Counts, Papers, counts_of, papers_of
from fairtank.records.selectors.trial_way import next_of
from fairtank.web.house import address
from fairtank.web.visitors import trial_page, visitor


def arms_wanted(request: HttpRequest) -> bool:
    """Whether somebody who may know them asks which unit has what, although photos are scored blind."""
    return request.GET.get("arms") == "shown" and visitor(request).may("manage")


def next_step(trial: Trial, papers: Papers | None = None, counts: Counts | None = None) -> dict[str, Any]:
    """What comes next in a trial, as `next`, and the address of its page, as `next_address`; with where the trial stands."""
    known, counted, sentence = papers or papers_of(trial), counts or counts_of(trial), sentences_of([trial.pk]).get(trial.pk, "")
    phase, stands = stands_words(trial, date.today(), is_drawn=DRAW_FILE in known.texts, is_judged=bool(sentence))
    waiting = len(photos_without_frame(trial)) if counted.photos else 0
    day = (date.today() - trial.start).days if trial.start else 0
    is_done = phase == "running" and Round.objects.filter(trial=trial, day=day, ended_at__isnull=False).exists()
    step = next_of(known, counted, phase=phase, is_judged=bool(sentence), waiting=waiting, is_round_done=is_done)
    return {"stands": stands, "sentence": sentence, "next": step, "next_address": address(step.route, trial.slug)}


def no_plan(request: HttpRequest, trial: Trial, here: str, problems: list[str] | None = None) -> HttpResponse:
    """The page that says that the plan comes first, or why the plan cannot be used."""
    return trial_page(request, "plan/no_plan.html", trial, here, {"problems": problems or []}, status=200)
