"""How often something may be tried: pairing, logging in, opening a link. Counted in the database, so that all processes count together."""

from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import ngettext

from fairtank.records.services.attempts import attempt_wait_s, attempts_forget

TOO_MANY = 429


@dataclass(frozen=True)
class Limit:
    """What is tried, and how often it may be within which time."""

    kind: str
    most: int
    within: timedelta


_QUARTER = timedelta(minutes=15)
# The code itself is dead after 5 tries; this keeps one address from killing one code after the other.
PAIRING = Limit("pairing", 10, _QUARTER)
LOGIN_ACCOUNT, LOGIN_ADDRESS = Limit("login account", 10, _QUARTER), Limit("login address", 10, _QUARTER)
PASSWORD = Limit("password", 10, _QUARTER)
INVITATION = Limit("invitation", 10, _QUARTER)
# A rater's link, by address: a wrong one counts, the right one does not (see `forgotten`).
RATER_LINK = Limit("rater link", 10, _QUARTER)


def address_of(request: HttpRequest) -> str:
    """The address whose tries are counted.

    A hosted installation stands behind one proxy, which writes the address that it sees behind the list of those it was told; whatever
    the visitor put before it is not looked at.
    """
    if settings.HOSTED and (listed := request.META.get("HTTP_X_FORWARDED_FOR", "")):
        return str(listed.rsplit(",", 1)[-1].strip()[:100])
    return str(request.META.get("REMOTE_ADDR", ""))


def wait_s(limit: Limit, key: str) -> int:
    """Count a try; gives the seconds to wait, 0 where it may be made."""
    return attempt_wait_s(kind=limit.kind, key=key, most=limit.most, within=limit.within)


def forgotten(limit: Limit, key: str) -> None:
    """Count no more what was tried until now: it was the right one."""
    attempts_forget(kind=limit.kind, key=key)


def wait_words(seconds: int) -> str:
    """How long to wait, as a sentence."""
    minutes = -(-seconds // 60)
    return ngettext("That was tried too often. Wait a minute and try again.",
                    "That was tried too often. Wait %(minutes)d minutes and try again.", minutes) % {"minutes": minutes}  # fmt: skip


def told_to_wait(request: HttpRequest, seconds: int) -> HttpResponse:
    """The page that says how long to wait."""
    answer = render(request, "refused.html", {"reason": wait_words(seconds)}, status=TOO_MANY)
    answer.headers["Retry-After"] = str(seconds)
    return answer
