"""The lot: before it what would be drawn, then the act, then what came out; and a page that shows codes alone."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from fairtank.errors import DesignError, FairtankError, InputError
from fairtank.planning.drawing.lots import drawn_lots, inputs_of
from fairtank.planning.drawing.numbers import LARGEST_SEED
from fairtank.publish.arms import arm_looks
from fairtank.publish.draw_words import ADVICE, NUMBERS_WORDS, SHUFFLE_WORDS, blocked_words, possible_words, seed_words, worked_words
from fairtank.publish.seal_words import time_words
from fairtank.records.models import Trial
from fairtank.records.selectors.trial_state import Papers, counts_of, papers_of
from fairtank.records.services.drawing import DrawRequest
from fairtank.records.services.shelf_lot import PAPER_TYPES, SECRET, codes_of, coming_draw, lot_draw, lot_paper
from fairtank.web.going import told
from fairtank.web.said import in_pages, refusal_lines, worked_out
from fairtank.web.views.planned import arms_wanted, next_step, no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

BLOCKS = ("block", "shelf", "place", "position", "tank", "neighbours", "none")


@require_http_methods(["GET", "HEAD", "POST"])
@needs("look")
def draw(request: HttpRequest, slug: str) -> HttpResponse:
    """The page of the lot; sent as a form by the keeper, it draws."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "draw")
    if request.method != "POST":
        return _page(request, trial)
    if not visitor(request).may("manage"):
        return _page(request, trial, _("Only who manages the trial may draw."))
    try:
        if request.POST.get("sure") != "yes":
            raise DesignError(_("Tick the box that this is the draw that counts. Nothing was drawn."))
        made = lot_draw(trial=trial, by=visitor(request).by, request=_asked_for(request.POST))
    except FairtankError as error:
        return _page(request, trial, " ".join(refusal_lines(error)))
    said = {"drawn": _("It was drawn, and the draw stands on record."), "again": _("The lot was drawn again; both draws stay on record.")}
    return told(request, said.get(made.done, _("It was drawn like that already: nothing was changed.")), "draw", trial.slug)


def _asked_for(sent: Any) -> DrawRequest:
    """What a form asks of the draw; a seed that is none is refused."""
    text = sent.get("seed", "").strip().replace(" ", "")
    if text and not (text.isascii() and text.isdecimal() and len(text) < 25 and int(text) <= LARGEST_SEED):
        raise InputError(_("The seed"), f"“{text[:40]}”", _("a whole number of digits alone, or nothing"))
    block = sent.get("block", "")
    return DrawRequest(seed=int(text) if text else None, block=(block,) if block in BLOCKS else (), places=sent.get("places") == "yes",
                       witness=sent.get("witness", "")[:200], reason=sent.get("reason", "")[:1000])


def _page(request: HttpRequest, trial: Trial, refusal: str = "") -> HttpResponse:
    papers = papers_of(trial)
    if papers.plan is None:
        return no_plan(request, trial, "draw")
    counts = counts_of(trial)
    content: dict[str, Any] = {"plan": papers.plan, "refusal": refusal, "typed": request.POST if request.method == "POST" else {},
                               "advice": ADVICE, "blocks": BLOCKS, "needs_reason": bool(papers.draws or papers.seal or counts.has_data)}
    shown = {**_drawn(request, trial, papers), **next_step(trial, papers, counts)} if papers.draws else _coming(request, trial)
    return trial_page(request, "plan/drawn.html" if papers.draws else "plan/draw.html", trial, "draw", {**content, **shown},
                      status=422 if refusal else 200)


def _coming(request: HttpRequest, trial: Trial) -> dict[str, Any]:
    """What would be drawn, with the blocks that are asked for."""
    block = request.POST.get("block", "") or request.GET.get("block", "")
    coming = coming_draw(trial, DrawRequest(block=(block,) if block in BLOCKS else ()))
    if coming.draw is None:
        return {"cannot": in_pages(coming.refusal), "block_by": block}
    blocked = worked_out(blocked_words(coming.draw))
    return {"possible": possible_words(coming.draw).replace("There were", "There are", 1), "block_by": block, "window": coming.draw.window,
            "blocked": _to_come(f"It will be {blocked[:1].lower()}{blocked[1:]}")}


def _to_come(sentence: str) -> str:
    """What is told of a draw, before it is drawn."""
    for was, will in (("went to arms by lot", "goes to arms by lot"), ("was equally likely", "is equally likely")):
        sentence = sentence.replace(was, will)
    return sentence


def _drawn(request: HttpRequest, trial: Trial, papers: Papers) -> dict[str, Any]:
    """What came out; which unit has what only where nobody is blind, or where it is asked for."""
    plan, last = papers.plan, papers.draws[-1]
    assert plan is not None
    is_shown = not plan.blinded or arms_wanted(request)
    looks, codes = arm_looks(plan), dict(codes_of(trial, plan))
    units = [(unit, looks.get(unit.arm) if is_shown else None, codes.get(unit.key, "")) for unit in plan.units]
    drawn = drawn_lots(last.seed, inputs_of(last))
    return {"draw": last, "count": len(papers.draws), "units": units, "is_shown": is_shown, "possible": possible_words(last),
            "blocked": worked_out(blocked_words(last)), "seed_words": seed_words(last), "at": time_words(last.at),
            "worked": worked_words(drawn), "procedure": (NUMBERS_WORDS, SHUFFLE_WORDS),
            "earlier": [(one, time_words(one.at)) for one in papers.draws[:-1]],
            "swap": plan.kind == "swap"}


@require_safe
@needs("look")
def paper(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """A paper of the draw: those with the arms for who labels the tanks, the scorer's sheet for everybody."""
    trial = trial_for(request, slug)
    if name not in PAPER_TYPES or (name in SECRET and not visitor(request).may("manage")):
        raise Http404(_("There is no such paper."))
    try:
        content = lot_paper(trial, name)
    except FairtankError as error:
        raise Http404(" ".join(refusal_lines(error))) from error
    return HttpResponse(content, content_type=PAPER_TYPES[name], headers={"Content-Disposition": f'attachment; filename="{name}"'})


@require_safe
@needs("score")
def codes(request: HttpRequest, slug: str) -> HttpResponse:
    """The codes alone, for whoever scores: which stands where, and nothing of the arms."""
    trial = trial_for(request, slug)
    papers = papers_of(trial)
    if papers.plan is None:
        return no_plan(request, trial, "draw")
    own, order = dict(codes_of(trial, papers.plan)), list(papers.draws[-1].scoring) if papers.draws else []
    units = sorted(papers.plan.units, key=lambda unit: order.index(unit.key) if unit.key in order else len(order))
    return trial_page(request, "plan/codes.html", trial, "draw", {"codes": [(own.get(unit.key, ""), unit.position) for unit in units],
                                                                  "has_codes": bool(own)})
