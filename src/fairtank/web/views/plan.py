"""The plan: one question on a page, every answer kept; at the end the plan in words."""

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.planning.wizard.steps_measure import PICTURED
from fairtank.planning.wizard.templates import template_names, template_of
from fairtank.publish.plan_words import plan_sentences
from fairtank.records.models import Trial
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.shelf_planning import (
    Asked,
    answer_store,
    part_take,
    picture_of,
    plan_store,
    questions_of,
    template_take,
    trial_from_answers,
)
from fairtank.web.going import See, told
from fairtank.web.house import address
from fairtank.web.said import in_pages, refusal_lines
from fairtank.web.telling import tell
from fairtank.web.views.plan_parts import answer_typed, answered_of, margin_line, question_of
from fairtank.web.visitors import moved, needs, trial_for, trial_page, visitor


@require_safe
@needs("look")
def plan(request: HttpRequest, slug: str) -> HttpResponse:
    """The plan in words; before there is one, its questions."""
    trial = trial_for(request, slug)
    return _planned(request, trial) if trial.planned else _asked(request, trial)


def _planned(request: HttpRequest, trial: Trial) -> HttpResponse:
    papers, asked = papers_of(trial), questions_of(trial)
    found = papers.plan
    if found is None:
        return _asked(request, trial)
    return trial_page(request, "plan/plan.html", trial, "plan", {
        "plan": found, "sentences": plan_sentences(found, margin_line(asked, found)), "closed": in_pages(asked.closed),
        "has_answers": bool(asked.planning.kept.answers), "answered": answered_of(asked), "sealed": papers.seal is not None,
        "needs_setup": papers.setup is None, "is_drawn": found.drawn or bool(papers.draws)})


@require_safe
@needs("manage")
def questions(request: HttpRequest, slug: str) -> HttpResponse:
    """The questions; ?at= names one that was answered."""
    return _asked(request, trial_for(request, slug), at=request.GET.get("at", ""))


def _asked(request: HttpRequest, trial: Trial, *, at: str = "", refusal: str = "", typed: str | None = None) -> HttpResponse:
    asked = questions_of(trial)
    step = asked.standing.step if not at else asked.step(at)
    stale = asked.standing.refusal if step is asked.standing.step and typed is None else ""
    question = None if step is None or asked.closed else question_of(asked, step, typed)
    return trial_page(request, "plan/question.html", trial, "plan", {
        "question": question, "refusal": in_pages(refusal), "stale": in_pages(stale), "answered": answered_of(asked),
        "closed": in_pages(asked.closed), "before": _before(asked, step.key if step else ""),
        "margin_line": margin_line(asked) if question and question.step.key != "margin" else "", "is_next": step is asked.standing.step,
        "templates": [(name, template_of(name).title) for name in template_names()], "template": asked.planning.kept.template,
        "is_first": bool(question) and not asked.standing.asked,
    }, status=422 if refusal else 200)


def _before(asked: Asked, key: str) -> str:
    """The question before one, for the way back."""
    keys = [step.key for step in asked.standing.asked]
    place = keys.index(key) if key in keys else len(keys)
    return keys[place - 1] if place else ""


@require_POST
@needs("manage")
def answer(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep an answer, and go on."""
    trial = trial_for(request, slug)
    key, asked = request.POST.get("key", ""), questions_of(trial)
    step = asked.step(key)
    typed = answer_typed(step, request.POST.getlist("answer")) if step else ""
    try:
        refusal = answer_store(asked=asked, key=key, text=typed, by=visitor(request).by)
    except FairtankError as error:
        refusal = " ".join(refusal_lines(error))
    if refusal:
        return _asked(request, trial, at=key, refusal=refusal, typed=typed)
    return See(address("plan_questions", trial.slug))


@require_POST
@needs("manage")
def proposals(request: HttpRequest, slug: str) -> HttpResponse:
    """Take what is proposed for what is left of this part."""
    trial = trial_for(request, slug)
    try:
        said = part_take(asked=questions_of(trial), by=visitor(request).by)
    except FairtankError as error:
        return _asked(request, trial, refusal=" ".join(refusal_lines(error)))
    return told(request, said, "plan_questions", trial.slug) if said else See(address("plan_questions", trial.slug))


@require_POST
@needs("manage")
def template(request: HttpRequest, slug: str) -> HttpResponse:
    """Begin from a template: it proposes answers."""
    trial = trial_for(request, slug)
    try:
        template_take(asked=questions_of(trial), name=request.POST.get("template", ""), by=visitor(request).by)
    except FairtankError as error:
        return _asked(request, trial, refusal=" ".join(refusal_lines(error)))
    return told(request, _("Every question has a proposal now, this one too. Keep what fits, change what is different with you."),
                "plan_questions", trial.slug)


@require_POST
@needs("manage")
def make(request: HttpRequest, slug: str) -> HttpResponse:
    """Make the plan from the answers."""
    trial = trial_for(request, slug)
    try:
        made = plan_store(trial=trial, by=visitor(request).by)
    except FairtankError as error:
        return _asked(request, trial, refusal=" ".join(refusal_lines(error)))
    moved(request, slug, trial)
    for line in [_("The plan is made."), *made.can_show]:
        tell(request, in_pages(line))
    return See(address("plan", trial.slug))


@require_POST
@needs("manage")
def again(request: HttpRequest, slug: str) -> HttpResponse:
    """A new trial that begins with the same answers."""
    new = trial_from_answers(trial=trial_for(request, slug), by=visitor(request).by)
    said = _("A new trial with the same answers. Change those that shall differ, then make its plan.")
    return told(request, said, "plan_questions", new.slug)


@require_safe
@needs("look")
def covers(request: HttpRequest, measure: str) -> HttpResponseBase:
    """What covers look like, rendered: the picture beside the question of level and margin."""
    key = measure.replace("-", "_")
    if key not in PICTURED:
        raise Http404(_("There is no such picture."))
    return FileResponse(picture_of(key).open("rb"), content_type="image/jpeg", headers={"Cache-Control": "private, max-age=86400"})
