"""The bench: all calculators by topic, and one calculator with its form, its answer and its picture."""

from django.core.exceptions import TooManyFieldsSent
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fairtank.bench.asking import calculator_named
from fairtank.bench.topics import topics
from fairtank.errors import InputError
from fairtank.publish.calc_words import printed_unit
from fairtank.publish.numbers import shortened
from fairtank.web.notes import plain_words
from fairtank.web.reading import command_start
from fairtank.web.security import FORM_POLICY
from fairtank.web.sheet import sheet_of


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """All calculators, each under its topic with its summary and unit."""
    listed = []
    for place, topic in enumerate(topics(), start=1):
        title, _, rest = topic.title.partition(": ")
        told = [(entry.key, entry.title, printed_unit(entry.unit), plain_words(entry.summary)) for entry in topic.entries]
        listed.append((f"topic-{place}", title, rest, told))
    return render(request, "bench.html", {"here": "bench", "topics": listed, "count": sum(len(told) for *_, told in listed)})


@require_safe
def calculator(request: HttpRequest, key: str) -> HttpResponse:
    """One calculator: what was typed stays in its fields, and what cannot be used is said beside them."""
    try:
        entry, query = calculator_named(key), request.GET.dict()
    except InputError as error:
        near = error.hint if error.hint.startswith("Near it") else ""
        raise Http404(f'{_("There is no calculator %(name)s.") % {"name": shortened(key, 60)}} {near}'.strip()) from error
    except TooManyFieldsSent as error:
        raise Http404(_("The address names more than five thousand fields.")) from error
    page = render(request, "calculator.html", {"here": "bench", "sheet": sheet_of(entry, query, command_start())})
    page.headers["Content-Security-Policy"] = FORM_POLICY
    return page
