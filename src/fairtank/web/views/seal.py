"""The seal: what is sealed, the code, the act, what was changed since; and what verifying finds."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.inference.question import title_unit_scale
from fairtank.publish.plan_words import plan_sentences
from fairtank.publish.seal_words import change_words, code_sentence, data_words, time_words
from fairtank.publish.verify_words import files_words, headline, stamped_words, table_words, verified_words
from fairtank.records.models import Trial
from fairtank.records.selectors.trial_state import counts_of, papers_of
from fairtank.records.services.sealing import SealedTrial
from fairtank.records.services.shelf_seal import LONGEST_KEY, plan_seal, seal_verified
from fairtank.web.going import told
from fairtank.web.said import refusal_lines, worked_out
from fairtank.web.views.planned import next_step, no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor


@require_http_methods(["GET", "HEAD", "POST"])
@needs("look")
def seal(request: HttpRequest, slug: str) -> HttpResponse:
    """The page of the seal; sent as a form by the keeper, it seals, seals again, or stamps the data."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "seal")
    if request.method != "POST":
        return _page(request, trial)
    if not visitor(request).may("manage"):
        return _page(request, trial, [_("Only who manages the trial may seal it.")])
    try:
        done = plan_seal(trial=trial, by=visitor(request).by, reason=request.POST.get("reason", ""), key=_key(request),
                         with_data=request.POST.get("what") == "data")
    except FairtankError as error:
        return _page(request, trial, refusal_lines(error))
    return told(request, " ".join(done_words(done)), "seal", trial.slug)


def _key(request: HttpRequest) -> bytes | None:
    """A key file that was chosen; it is used once and kept nowhere."""
    file = request.FILES.get("key")
    if file is None:
        return None
    if file.size is None or file.size > LONGEST_KEY:
        raise InputError(_("The key"), _("a large file"), _("a key file, which is small"))
    content: bytes = file.read()
    return content


def done_words(done: SealedTrial) -> list[str]:
    """What sealing did, in sentences."""
    one = done.sealing
    if done.done == "unchanged" and done.stamp is None:
        return [_("It is sealed already, and nothing was changed since: nothing was written.")]
    said = []
    if done.done != "unchanged":
        said.append(f"The plan is sealed, {time_words(one.at)}; {data_words(one)}.")
    if done.stamp is not None:
        said += stamped_words(done.stamp, is_new=done.has_stamped)
        said += [*map(table_words, done.tables), *files_words(done.files), *done.uncovered]
    return said


def _page(request: HttpRequest, trial: Trial, refusals: list[str] | None = None) -> HttpResponse:
    papers, counts = papers_of(trial), counts_of(trial)
    plan, found = papers.plan, papers.seal
    if plan is None:
        return no_plan(request, trial, "seal")
    titles = {one.key: title_unit_scale(one)[0] for one in plan.measures}
    entries = [] if found is None else [(one, time_words(one.at), data_words(one)) for one in found.entries]
    content: dict[str, Any] = {
        "plan": plan, "sentences": plan_sentences(plan, ""), "measures": list(titles.values()), "seal": found, "entries": entries,
        "code_sentence": worked_out(code_sentence(found.last.code)) if found else "", "counts": counts,
        "changes": [change_words(one, titles, has_data=counts.has_data) for one in papers.changes_since_seal],
        "is_drawn": plan.drawn, "refusals": refusals or [], "reason": request.POST.get("reason", ""),
        "stamps": len(found.document.get("stamps") or []) if found else 0,
    }
    if found is not None:
        content |= next_step(trial, papers, counts)
    return trial_page(request, "plan/seal.html", trial, "seal", content, status=422 if refusals else 200)


@require_safe
@needs("look")
def verify(request: HttpRequest, slug: str) -> HttpResponse:
    """What was changed after it was sealed or stamped."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "seal")
    try:
        found = seal_verified(trial, request.GET.get("key", "")[:100]).verified
    except FairtankError as error:
        return _page(request, trial, refusal_lines(error))
    first, *rest = verified_words(found)
    return trial_page(request, "plan/verify.html", trial, "seal", {
        "opening": worked_out(headline(found) if found.is_sealed else first), "sentences": [worked_out(line) for line in rest],
        "is_in_order": found.is_in_order, "key": request.GET.get("key", "")})
