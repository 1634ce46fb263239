"""A page with every kind of chart, for trying them in a browser: its addresses and views."""

from pathlib import Path

from django.http import FileResponse, HttpResponse
from django.template.loader import get_template
from django.urls import include, path
from tests.publish.chart_examples import all_charts

import fairtank
from fairtank.web.security import SCRIPT_POLICY

PACKAGE = Path(fairtank.__file__).parent
FILES = {"fairtank.css": "web/static/fairtank.css", "chart.css": "web/static/chart.css", "chart.js": "web/static/js/chart.js",
         "fonts/AtkinsonHyperlegibleNext-Regular.ttf": "publish/fonts/AtkinsonHyperlegibleNext-Regular.ttf",
         "fonts/AtkinsonHyperlegibleNext-Bold.ttf": "publish/fonts/AtkinsonHyperlegibleNext-Bold.ttf"}
TYPES = {".css": "text/css", ".js": "text/javascript", ".ttf": "font/ttf"}
HEAD = """<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>All charts</title><link rel="stylesheet" href="/own/fairtank.css"><link rel="stylesheet" href="/own/chart.css">
<script type="module" src="/own/chart.js"></script></head><body><main><h1>All charts (invented)</h1>"""


def page(request):
    """The charts below each other, the small ones beside each other; `?only=` names the keys of those that are wanted."""
    wanted = request.GET.get("only", "").split()
    charts = [chart for chart in all_charts() if not wanted or chart.key in wanted]
    parts = [(chart, get_template("parts/chart.html").render({"chart": chart})) for chart in charts]
    large, small = ("".join(part for chart, part in parts if (chart.wide is chart.narrow) == is_small) for is_small in (False, True))
    body = f'{large}<div class="charts">{small}</div></main></body></html>'
    return HttpResponse(HEAD + body, headers={"Content-Security-Policy": SCRIPT_POLICY})


def own(request, name):
    """The files of the page."""
    place = PACKAGE / FILES[name]
    return FileResponse(place.open("rb"), content_type=TYPES[place.suffix])


def no_icon(request):
    """Browsers ask for an icon on their own; there is none."""
    return HttpResponse(status=204)


urlpatterns = [path("", page), path("favicon.ico", no_icon), path("own/<path:name>", own),
               path("", include("fairtank.web.routes.charts"))]
