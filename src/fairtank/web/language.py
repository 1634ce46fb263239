"""The language of the pages: what a browser asks for at the first visit, then what was chosen, which the browser keeps."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils.cache import patch_vary_headers

A_YEAR_S = 365 * 24 * 3600


class Language(LocaleMiddleware):
    """Django's own, which takes the choice from a cookie; here each answer says that it hangs on the cookie too."""

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        """The answer with the headers that say in which language it is, and on what that depends."""
        answer: HttpResponseBase = super().process_response(request, response)
        patch_vary_headers(answer, ("Cookie",))
        return answer


def is_language(code: str) -> bool:
    """Whether the pages can be had in it."""
    return code in dict(settings.LANGUAGES)


def keep_language(answer: HttpResponse, code: str) -> None:
    """Let the browser keep the choice for a year."""
    answer.set_cookie(settings.LANGUAGE_COOKIE_NAME, code, max_age=A_YEAR_S, samesite="Lax", secure=settings.SESSION_COOKIE_SECURE,
                      httponly=True)
