"""The drawing program of the charts: under its version, to be kept for ever, and under a fixed name that leads there."""

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fairtank.errors import JobError
from fairtank.web.chart_bundle import bundle_version, charts_folder, made_bundle

_FOR_EVER = "public, max-age=31536000, immutable"


@require_safe
def newest_bundle(request: HttpRequest) -> HttpResponseBase:
    """Leads to the bundle of the installed version."""
    answer = redirect("chart_bundle", version=bundle_version())
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@require_safe
def bundle(request: HttpRequest, version: str) -> HttpResponseBase:
    """The bundle; where it is not made yet, the browser waits the few seconds that it takes."""
    if version != bundle_version():
        raise Http404(_("There is no such file."))
    try:
        place = made_bundle(charts_folder())
    except JobError as error:
        return HttpResponse(str(error), status=503, content_type="text/plain; charset=utf-8")
    packed = place.with_name(f"{place.name}.gz")
    is_packed = packed.is_file() and "gzip" in request.headers.get("Accept-Encoding", "")
    answer = FileResponse((packed if is_packed else place).open("rb"), content_type="text/javascript; charset=utf-8",
                          headers={"Cache-Control": _FOR_EVER, "Vary": "Accept-Encoding"})
    if is_packed:
        answer.headers["Content-Encoding"] = "gzip"
    return answer
