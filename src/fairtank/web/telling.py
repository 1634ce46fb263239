"""Sentences told once, at the top of the next page: what a form did."""

from typing import Any

from django.http import HttpRequest
from django.utils.html import format_html
from django.utils.safestring import SafeString

_KEY = "told"
_MOST = 20


def tell(request: HttpRequest, sentence: str, *, to: str = "", words: str = "") -> None:
    """Keep a sentence for the next page of this visitor; to, words: a link behind it."""
    kept = request.session.get(_KEY, [])
    request.session[_KEY] = [*kept, [sentence[:2000], to, words]][-_MOST:]


def told(request: HttpRequest) -> dict[str, Any]:
    """What was kept for this page, as `messages_told`; it is forgotten as soon as it is shown."""
    session = getattr(request, "session", None)
    return {"messages_told": [] if session is None else Told(request)}


class Told:
    """Asks the session only where a page shows what was told."""

    def __init__(self, request: HttpRequest) -> None:
        self.request = request
        self._kept: list[Any] | None = None

    def _sentences(self) -> list[Any]:
        if self._kept is None:
            self._kept = self.request.session.pop(_KEY, [])
        return self._kept

    def __bool__(self) -> bool:
        return bool(self._sentences())

    def __iter__(self) -> Any:
        return iter(_line(*one) for one in self._sentences())


def _line(sentence: str, to: str, words: str) -> str | SafeString:
    return format_html('{} <a href="{}">{}</a>', sentence, to, words) if to else sentence
