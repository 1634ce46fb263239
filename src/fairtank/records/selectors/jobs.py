"""Work behind the pages, as a page lists it."""

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from fairtank.records.models import Job, Trial
from fairtank.records.models.jobs import OVER

MOST_SHOWN = 30


@dataclass(frozen=True)
class JobsShown:
    """What is under way, the oldest first, and what was over lately, the latest first."""

    under_way: tuple[Job, ...]
    lately: tuple[Job, ...]


def jobs_of(trials: QuerySet[Trial], *, with_house: bool) -> QuerySet[Job]:
    """All work on some trials, and that on no trial where one may see it.

    Parameters
    ----------
    trials : rows
        That the visitor may see.
    with_house : bool
        Whether work such as an import belongs to it.

    Returns
    -------
    rows of Job

    References
    ----------
    common_practice (keys from sources.py).
    """
    own = Q(trial__in=trials)
    return Job.objects.filter(own | Q(trial=None) if with_house else own).select_related("trial")


def jobs_shown(trials: QuerySet[Trial], *, with_house: bool) -> JobsShown:
    """What the page of jobs lists, in two queries.

    Parameters
    ----------
    trials, with_house
        As for `jobs_of`.

    Returns
    -------
    JobsShown

    References
    ----------
    common_practice (keys from sources.py).
    """
    jobs = jobs_of(trials, with_house=with_house)
    under_way = jobs.filter(state__in=("waiting", "running")).order_by("pk")[:MOST_SHOWN]
    return JobsShown(tuple(under_way), tuple(jobs.filter(state__in=OVER)[:MOST_SHOWN]))


def works_under_way(trial: Trial) -> list[Job]:
    """What is worked out for a trial just now, or waits for its turn; the oldest first."""
    return list(Job.objects.filter(trial=trial).exclude(state__in=OVER).order_by("pk"))
