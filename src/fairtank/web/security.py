"""The headers that every answer carries: what a page may load, and who may show it."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

_NOTHING_ELSE = "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
# Our own pages: style, font, pictures and scripts of our own files, parts fetched again from here, photos shown before they are sent, and
# forms that are sent to these pages. Nothing inside a page is run or styled; charts need no more, since they are drawn with `ast`.
PAGE_POLICY = (f"default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self'; font-src 'self'; "
               f"img-src 'self' data: blob:; {_NOTHING_ELSE}").replace("form-action 'none'", "form-action 'self'")
# The same by the names of what pages have: scripts, a form.
SCRIPT_POLICY = FORM_POLICY = PAGE_POLICY
# The report is one self-contained file: its style, font and pictures are inside it. Scripts stay forbidden.
REPORT_POLICY = f"default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data: 'self'; {_NOTHING_ELSE}"
# A file out of somebody's folder: nothing it may contain is run or fetched.
FILE_POLICY = f"default-src 'none'; sandbox; {_NOTHING_ELSE}"
# The browser's own PDF viewer needs its style and does not start in a sandbox.
PDF_POLICY = f"default-src 'none'; style-src 'unsafe-inline'; object-src 'self'; {_NOTHING_ELSE}"


class SecurityHeaders:
    """Adds the page policy, unless the view chose another one, and switches off what no page here needs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", PAGE_POLICY)
        response.headers.setdefault("X-Frame-Options", "DENY")
        response.headers.setdefault("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("Cache-Control", "no-store")
        return response
