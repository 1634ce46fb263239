"""The plan as a text: typed, uploaded or changed by hand, with every problem listed; and to take along."""

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from fairtank.errors import FairtankError, FolderError
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.models import Document, Trial
from fairtank.records.services.shelf_planning import plan_text_store
from fairtank.web.going import told
from fairtank.web.said import refusal_lines
from fairtank.web.visitors import moved, needs, trial_for, trial_page, visitor


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def text(request: HttpRequest, slug: str) -> HttpResponse:
    """The text, in a field; what cannot be read is listed beside it, and what was typed stays."""
    trial = trial_for(request, slug)
    if request.method != "POST":
        return _page(request, trial, _text_of(trial))
    typed = _sent(request)
    if typed is None:
        return _page(request, trial, request.POST.get("text", ""), [_("The file that was chosen is no text in UTF-8.")])
    try:
        plan_text_store(trial=trial, by=visitor(request).by, text=typed, reason=request.POST.get("reason", ""))
    except FolderError as error:
        return _page(request, trial, typed, [str(one) for one in error.problems])
    except FairtankError as error:
        return _page(request, trial, typed, refusal_lines(error))
    moved(request, slug, trial)
    return told(request, _("The plan was taken."), "plan", trial.slug)


def _page(request: HttpRequest, trial: Trial, typed: str, refusals: list[str] | None = None) -> HttpResponse:
    return trial_page(request, "plan/text.html", trial, "plan", {
        "typed": typed, "refusals": refusals or [], "reason": request.POST.get("reason", "")}, status=422 if refusals else 200)


def _text_of(trial: Trial) -> str:
    found = Document.objects.filter(trial=trial, path=PLAN_FILE).first()
    return found.text if found else ""


def _sent(request: HttpRequest) -> str | None:
    """What was typed, or the file that was chosen in its place; None where that is no text."""
    file = request.FILES.get("file")
    if file is None:
        return request.POST.get("text", "")
    try:
        return file.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        return None


@require_safe
@needs("export")
def download(request: HttpRequest, slug: str) -> HttpResponse:
    """The text as a file."""
    trial = trial_for(request, slug)
    return HttpResponse(_text_of(trial), content_type="text/plain; charset=utf-8",
                        headers={"Content-Disposition": 'attachment; filename="trial.toml"'})
