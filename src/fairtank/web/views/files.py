"""Files, served as they are: from the trial folder, from its results, and the few that the pages themselves need."""

from pathlib import Path

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from fairtank.errors import PhotoError
from fairtank.web.contents import RESULTS, Shown, files_in, still_inside
from fairtank.web.places import results_folder, trial_folder
from fairtank.web.reading import run_command
from fairtank.web.security import FILE_POLICY, PDF_POLICY, REPORT_POLICY
from fairtank.web.thumbnails import thumbnail

_PACKAGE = Path(__file__).resolve().parent.parent.parent
_FONTS = _PACKAGE / "publish" / "fonts"
# The fixed files of the pages: name -> (path, media type).
FIXED = {
    "fairtank.css": (_PACKAGE / "web" / "static" / "fairtank.css", "text/css; charset=utf-8"),
    "regular.ttf": (_FONTS / "AtkinsonHyperlegibleNext-Regular.ttf", "font/ttf"),
    "bold.ttf": (_FONTS / "AtkinsonHyperlegibleNext-Bold.ttf", "font/ttf"),
}


@require_safe
def folder_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """A file of the trial folder."""
    return _served(_found(trial_folder(), name, without=results_folder()))


@require_safe
def result_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """A file of the results; the report is the one page of ours that is a file."""
    folder, out = trial_folder(), results_folder()
    try:
        file = _found(out, name)
    except Http404 as error:
        if name not in RESULTS or folder is None or out is None:
            raise
        raise Http404(f"There is no {name} yet. To make it, run: {run_command(folder, out)}") from error
    if name == "report.html":
        return _answer(file, "text/html; charset=utf-8", REPORT_POLICY)
    return _served(file)


@require_safe
def thumbnail_file(request: HttpRequest, name: str) -> HttpResponse:
    """A small picture of a photo of the trial folder."""
    file = _found(trial_folder(), name, without=results_folder())
    if file.kind != "photo":
        raise Http404("That file is not a photo.")
    try:
        small = thumbnail(file)
    except PhotoError as error:
        raise Http404(str(error)) from error
    headers = {"Content-Security-Policy": FILE_POLICY, "Cache-Control": "private, max-age=60"}
    return HttpResponse(small, content_type="image/jpeg", headers=headers)


@require_safe
def static_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """The style sheet and the two fonts."""
    path, media_type = FIXED.get(name, (None, ""))
    if path is None or not path.is_file():
        raise Http404("There is no such file.")
    return FileResponse(path.open("rb"), content_type=media_type, headers={"Cache-Control": "private, max-age=3600"})


def nothing_here(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for an address at which there is nothing; it says why where a view gave a sentence."""
    reason = exception.args[0] if exception.args and isinstance(exception.args[0], str) else ""
    return render(request, "404.html", {"reason": reason}, status=404)


@require_safe
def no_icon(request: HttpRequest) -> HttpResponse:
    """Browsers ask for an icon on their own; there is none."""
    return HttpResponse(status=204)


def _found(root: Path | None, name: str, without: Path | None = None) -> Shown:
    """The file of that name among those found by walking the folder; an address never becomes a path."""
    if root is None:
        raise Http404("No trial folder is shown.")
    file = files_in(root, without).get(name)
    if file is None or not still_inside(file, root):
        raise Http404("There is no such file in this folder.")
    return file


def _served(file: Shown) -> FileResponse:
    if file.media_type == "application/pdf":
        return _answer(file, file.media_type, PDF_POLICY)
    return _answer(file, file.media_type, FILE_POLICY, download=file.kind == "other")


def _answer(file: Shown, media_type: str, policy: str, download: bool = False) -> FileResponse:
    return FileResponse(file.path.open("rb"), as_attachment=download, filename=file.path.name, content_type=media_type,
                        headers={"Content-Security-Policy": policy})
