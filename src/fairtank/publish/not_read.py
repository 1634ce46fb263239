"""Why nothing is given out of a trial that was not read: what it still waits for, so that a keeper knows what to do."""

from collections.abc import Sequence
from datetime import date, timedelta

from fairtank.finding import Finding
from fairtank.inference.looks import goes_on
from fairtank.publish.numbers import shown
from fairtank.publish.page_judged import reading_days
from fairtank.publish.sentences import verdict_words
from fairtank.trial import Plan

_MISSING = ("By the plan its last day is past: bring in the values up to then, or record an event of the kind “stop”, for all tanks, on "
            "the day on which it was ended.")


def why_not_read(findings: Sequence[Finding], plan: Plan, today: date | None = None) -> str:
    """What a trial still waits for: the last look, a reading day that lies ahead, or values that nobody brought in.

    Parameters
    ----------
    findings : sequence of Finding
        Of a trial that was not read to its end.
    plan : Plan
        Of the same trial.
    today : date, optional
        Tells whether its last day has passed; unknown where it is not given.

    Returns
    -------
    str
        One to three sentences; empty for a trial that was read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    primary = [one for one in findings if one.role == "primary"] or list(findings)
    if any(goes_on(one) for one in primary):
        day, on = reading_days(plan)[-1]
        return f"It is read for the last time on day {day}, {on.isoformat()}."
    told = next((shown(verdict_words(one)) for one in primary if one.grade == "spoilt"), "")
    if told and today is not None and today > plan.start + timedelta(days=plan.days):
        return f"{told} {_MISSING}"
    return told
