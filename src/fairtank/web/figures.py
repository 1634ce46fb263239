"""The charts of an answer as parts of a page. Writing one takes longer than all else on the page, so the last ones are held in memory."""

from collections import OrderedDict

from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from fairtank.records.models import Result
from fairtank.records.selectors.results import charts_of

_MOST_SIGNS = 8_000_000  # of all that is held
_HELD: OrderedDict[tuple[object, ...], dict[str, SafeString]] = OrderedDict()


def figures_of(result: Result, measure: str = "") -> dict[str, SafeString]:
    """Every chart of an answer, of a finding those of one measure: the key of the chart and its part of a page.

    A chart is held until its answer is made anew; who may see an answer is settled before this is asked.
    """
    key = (result.pk, result.made_at, result.digest, measure, get_language())
    found = _HELD.pop(key, None)
    if found is None:
        found = {chart.key: SafeString(render_to_string("parts/chart.html", {"chart": chart})) for chart in charts_of(result, measure)}
    _HELD[key] = found
    while len(_HELD) > 1 and sum(len(text) for held in list(_HELD.values()) for text in held.values()) > _MOST_SIGNS:
        _HELD.popitem(last=False)
    return found
