"""The pages there are, found in the list of addresses itself, so that no second list of them needs to be kept."""

from collections.abc import Iterator
from typing import NamedTuple

from django.urls import URLPattern, URLResolver, get_resolver


class Place(NamedTuple):
    """A pattern of addresses: `route` with `<slug:slug>` where the word of a trial stands; whether there is one."""

    route: str
    is_of_trial: bool

    def address(self, slug: str) -> str:
        """The address for the trial of that word."""
        return "/" + self.route.replace("<slug:slug>", slug)


def places() -> list[Place]:
    """Every address that needs nothing but the word of a trial, or nothing at all."""
    return [Place(route, bool(asked)) for route, asked in _walked(get_resolver().url_patterns, "", frozenset())
            if not asked or (asked == {"slug"} and "<slug:slug>" in route)]


def _walked(patterns: list[URLPattern | URLResolver], before: str, asked: frozenset[str]) -> Iterator[tuple[str, frozenset[str]]]:
    for one in patterns:
        route, wanted = before + str(one.pattern), asked | set(one.pattern.converters)
        if isinstance(one, URLResolver):
            yield from _walked(one.url_patterns, route, wanted)
        else:
            yield route, wanted
