"""Files, served as they are: from the trial folder, from its results, and the few that the pages themselves need."""

from pathlib import Path

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fairtank.errors import PhotoError
from fairtank.records.thumbnails import small_picture_of_file
from fairtank.web.contents import RESULTS, Shown, files_in, still_inside
from fairtank.web.places import results_folder, trial_folder
from fairtank.web.reading import run_command
from fairtank.web.security import FILE_POLICY, PDF_POLICY, REPORT_POLICY
from fairtank.web.visitors import needs, open_to_all


@require_safe
@needs("export")
def folder_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """A file of the trial folder."""
    return _served(_found(trial_folder(), name, without=results_folder()))


@require_safe
@needs("export")
def result_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """A file of the results; the report, long and on one page, is what of ours is a page and a file."""
    folder, out = trial_folder(), results_folder()
    try:
        file = _found(out, name)
    except Http404 as error:
        if name not in RESULTS or folder is None or out is None:
            raise
        raise Http404(_("There is no %(name)s yet. To make it, run: %(command)s") % {
            "name": name, "command": run_command(folder, out)}) from error
    if name in ("report.html", "one-page.html"):
        return _answer(file, "text/html; charset=utf-8", REPORT_POLICY)
    return _served(file)


@require_safe
@needs("export")
def thumbnail_file(request: HttpRequest, name: str) -> HttpResponse:
    """A small picture of a photo of the trial folder."""
    file = _found(trial_folder(), name, without=results_folder())
    if file.kind != "photo":
        raise Http404(_("That file is not a photo."))
    try:
        small = small_picture_of_file(file.path)
    except PhotoError as error:
        raise Http404(str(error)) from error
    headers = {"Content-Security-Policy": FILE_POLICY, "Cache-Control": "private, max-age=60"}
    return HttpResponse(small, content_type="image/jpeg", headers=headers)


@open_to_all
@require_safe
def no_icon(request: HttpRequest) -> HttpResponse:
    """Browsers ask for an icon on their own; there is none."""
    return HttpResponse(status=204)


def _found(root: Path | None, name: str, without: Path | None = None) -> Shown:
    """The file of that name among those found by walking the folder; an address never becomes a path."""
    if root is None:
        raise Http404(_("No trial folder is shown."))
    file = files_in(root, without).get(name)
    if file is None or not still_inside(file, root):
        raise Http404(_("There is no such file in this folder."))
    return file


def _served(file: Shown) -> FileResponse:
    if file.media_type == "application/pdf":
        return _answer(file, file.media_type, PDF_POLICY)
    return _answer(file, file.media_type, FILE_POLICY, download=file.kind == "other")


def _answer(file: Shown, media_type: str, policy: str, download: bool = False) -> FileResponse:
    return FileResponse(file.path.open("rb"), as_attachment=download, filename=file.path.name, content_type=media_type,
                        headers={"Content-Security-Policy": policy})
