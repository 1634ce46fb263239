"""Tries that are counted: how many there were lately, and when the next one may be made."""

import hashlib
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from fairtank.records.models import Attempt

_KEPT = timedelta(days=1)


def digest_of(text: str) -> str:
    """SHA-256 of a text, as rows keep secrets and the names of whose tries are counted.

    >>> digest_of("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(text.encode()).hexdigest()


def attempt_wait_s(*, kind: str, key: str, most: int, within: timedelta, now: datetime | None = None) -> int:
    """Count a try, unless there were too many lately; gives the seconds to wait, 0 where it may be made.

    A try that is refused is not counted, so that waiting helps whoever waits.

    Parameters
    ----------
    kind : str
        What is tried, such as `login`.
    key : str
        Whose tries are counted: an account, an address, a link. Only its digest is kept.
    most : int
        So many tries may be made.
    within : timedelta
        Within this time.
    now : datetime, optional

    Returns
    -------
    int

    References
    ----------
    common_practice (keys from sources.py).
    """
    now, digest = now or timezone.now(), digest_of(key)
    with transaction.atomic():
        Attempt.objects.filter(at__lt=now - _KEPT).delete()
        # Counted first: of two tries at the same time each then sees the other.
        made = Attempt.objects.create(kind=kind, key_digest=digest, at=now)
        lately = list(Attempt.objects.filter(kind=kind, key_digest=digest, at__gt=now - within).order_by("at").values_list("at", flat=True))
        if len(lately) <= most:
            return 0
        made.delete()
    return max(1, int((lately[len(lately) - 1 - most] + within - now).total_seconds()) + 1)


def attempts_forget(*, kind: str, key: str) -> None:
    """Forget the tries of somebody who has shown to be the right one."""
    Attempt.objects.filter(kind=kind, key_digest=digest_of(key)).delete()
