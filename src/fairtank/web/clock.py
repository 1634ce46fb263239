"""The keeper's own clock: days of a trial follow it, wherever the server stands and whatever zone that is set to."""

from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from zoneinfo import ZoneInfo

from django.http import HttpRequest

from fairtank.web.whole import whole_of

COOKIE = "clock"  # minutes ahead of UTC, as the browser knows them
_MOST_MIN = 14 * 60
_PLACE = Path("/etc/localtime")


def now_of(request: HttpRequest) -> datetime:
    """Date and time on the visitor's clock, without a zone; where the browser has not told it, on the clock of this machine."""
    told = request.COOKIES.get(COOKIE, "")
    now = datetime.now(UTC)
    if (ahead_min := whole_of(told)) is not None and -_MOST_MIN <= ahead_min <= _MOST_MIN:
        return (now + timedelta(minutes=ahead_min)).replace(tzinfo=None, microsecond=0)
    return now.astimezone(_own_zone()).replace(tzinfo=None, microsecond=0)


@lru_cache(maxsize=1)
def _own_zone() -> ZoneInfo:
    """The zone of this machine; the settings turn that of the process into UTC."""
    try:
        with _PLACE.open("rb") as file:
            return ZoneInfo.from_file(file)
    except (OSError, ValueError):
        return ZoneInfo("UTC")
