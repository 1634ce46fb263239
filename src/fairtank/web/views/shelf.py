"""The shelf: every trial with where it stands; an empty one teaches how to begin; what was taken away can be brought back."""

from pathlib import Path

from django.conf import settings
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.records.jobs.packed import packed_take_in
from fairtank.records.jobs.queue import enqueue
from fairtank.records.selectors.shelf import in_trash, is_on_shelf, shelved, with_marks
from fairtank.records.services.shelf_trials import demo_take_in, trial_begin, trial_bring_back
from fairtank.web.going import see, told
from fairtank.web.said import refusal_lines
from fairtank.web.visitors import needs, removed_for, trials_for, visitor

ON_A_PAGE = 40


@require_safe
@needs("look")
def shelf(request: HttpRequest) -> HttpResponse:
    """All trials, the latest first; an empty shelf teaches how to begin."""
    return _shelf(request)


def _shelf(request: HttpRequest, refusal: str = "", refused_file: str = "") -> HttpResponse:
    page = Paginator(with_marks(trials_for(request)), ON_A_PAGE).get_page(request.GET.get("page"))
    listed = shelved(page.object_list)
    return render(request, "shelf/shelf.html", {
        "here": "shelf", "page": page, "listed": listed, "has_trash": in_trash(removed_for(request)).exists(), "refusal": refusal,
        "refused_file": refused_file, "has_own": any(not one.trial.is_example for one in listed), "folder": _folder_offered(),
        "finished": sum(one.phase == "ended" for one in listed), "typed": request.POST.get("title", ""),
    }, status=422 if refusal or refused_file else 200)


def _folder_offered() -> str:
    """The name of the folder that the pages were started with; empty once it is on the shelf as it lies there."""
    root = Path(settings.FAIRTANK_FOLDER).resolve() if settings.FAIRTANK_FOLDER else None
    return "" if root is None or is_on_shelf(root) else root.name


@require_POST
@needs("manage")
def begin(request: HttpRequest) -> HttpResponse:
    """A new trial; the questions of its plan come next."""
    try:
        trial = trial_begin(by=visitor(request).by, title=request.POST.get("title", ""), owner=visitor(request).by.user)
    except FairtankError as error:
        return _shelf(request, " ".join(refusal_lines(error)))
    said = _("The trial is on the shelf. Now its plan, one question after the other; every answer is kept.")
    return told(request, said, "plan", trial.slug)


@require_POST
@needs("manage")
def example(request: HttpRequest) -> HttpResponse:
    """A finished invented trial, to look around in."""
    trial = demo_take_in(by=visitor(request).by)
    said = _("This trial is invented. Look at every page of it; take it away when you have seen enough.")
    return told(request, said, "trial", trial.slug)


@require_POST
@needs("keep")
def take_in(request: HttpRequest) -> HttpResponse:
    """Take the folder that the pages were started with onto the shelf; the page of the work tells how far it is."""
    if not settings.FAIRTANK_FOLDER:
        raise Http404(_("These pages were started without a folder."))
    job = enqueue(kind="import", by=visitor(request).by, given={"path": str(Path(settings.FAIRTANK_FOLDER).resolve())})
    return see("job", job.pk)


@require_POST
@needs("keep")
def take_in_file(request: HttpRequest) -> HttpResponse:
    """Take a trial that came packed as a ZIP file onto the shelf; the page of the work tells how far it is."""
    file = request.FILES.get("file")
    if file is None:
        return _shelf(request, refused_file=_("No file was chosen. Choose a trial folder that was packed as a ZIP file."))
    try:
        job = packed_take_in(content=file.chunks(), name=file.name or "", by=visitor(request).by)
    except FairtankError as error:
        return _shelf(request, refused_file=" ".join(refusal_lines(error)))
    return see("job", job.pk)


@require_safe
@needs("manage")
def trash(request: HttpRequest) -> HttpResponse:
    """What was taken away in the last 30 days."""
    return render(request, "shelf/trash.html", {"here": "shelf", "trials": in_trash(removed_for(request))})


@require_POST
@needs("manage")
def bring_back(request: HttpRequest, slug: str) -> HttpResponse:
    """Put a trial back on the shelf."""
    trial = in_trash(removed_for(request)).filter(slug=slug).first()
    if trial is None:
        raise Http404(_("There is no such trial among those that were taken away."))
    trial_bring_back(trial=trial, by=visitor(request).by)
    return told(request, _("“%(title)s” is back on the shelf.") % {"title": trial.title}, "trial", trial.slug)
