"""Where a form leads once it was taken: to a page that is asked for anew, so that loading it again sends nothing twice."""

from typing import Any

from django.http import HttpRequest, HttpResponseRedirect
from django.urls import reverse

from fairtank.web.said import in_pages
from fairtank.web.telling import tell


class See(HttpResponseRedirect):
    """See another page (303), whatever the form was sent by."""

    status_code = 303


def see(route: str, *args: Any) -> See:
    """The page of a route."""
    return See(reverse(route, args=args))


def told(request: HttpRequest, sentence: str, route: str, *args: Any) -> See:
    """The page of a route, with what came of it told there once."""
    tell(request, in_pages(sentence))
    return see(route, *args)
