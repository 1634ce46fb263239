"""Finished trials of the shelf by what decided them, in the same few queries however many there are."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from fairtank.publish.spread_words import measure_title
from fairtank.records.models import Arm, Job, Measure, Trial
from fairtank.records.rows.kinds import KINDS
from fairtank.records.selectors.shelf import sentences_of, stands_words

_MOST_POOLS = 20
_RECORDS = ("photos", "readings", "series", "scores", "pairs")  # tables of which one row is enough to judge anything


@dataclass(frozen=True)
class Finished:
    """A finished trial: its sentence, empty where it was not judged here, and the names of its changed arms."""

    trial: Trial
    sentence: str
    changed: tuple[str, ...]


@dataclass(frozen=True)
class OfOneMeasure:
    """Finished trials that one measure decides. arms: names of changed arms to choose from, where a trial has several."""

    measure: str
    title: str
    trials: tuple[Finished, ...]
    arms: tuple[str, ...]


def finished_by_measure(trials: QuerySet[Trial], today: date | None = None) -> list[OfOneMeasure]:
    """Finished trials by their primary measure, the measure of most trials first.

    Parameters
    ----------
    trials : rows
        Those that the visitor may see.
    today : date, optional

    Returns
    -------
    list of OfOneMeasure

    References
    ----------
    common_practice (keys from sources.py).
    """
    over = finished(trials, today)
    keys = [trial.pk for trial in over]
    sentences = sentences_of(keys)
    primary: dict[int, Measure] = {}
    changed: dict[int, list[str]] = defaultdict(list)
    for measure in Measure.objects.filter(trial__in=keys, role="primary"):
        primary.setdefault(measure.trial_id, measure)
    for trial, key, name in Arm.objects.filter(trial__in=keys, role="changed").values_list("trial_id", "key", "name"):
        changed[trial].append(name or key)
    groups: dict[str, list[Finished]] = defaultdict(list)
    for trial in over:
        if trial.pk in primary:
            groups[primary[trial.pk].key].append(Finished(trial, sentences.get(trial.pk, ""), tuple(changed[trial.pk])))
    found = [OfOneMeasure(key, _title(primary[group[0].trial.pk]), tuple(group), _arms(group)) for key, group in groups.items()]
    return sorted(found, key=lambda one: (-len(one.trials), one.title))


def finished(trials: QuerySet[Trial], today: date | None = None) -> list[Trial]:
    """Trials that are over and of which something was recorded, in the order of their starts."""
    day, recorded = today or date.today(), Q()
    for field in _RECORDS:
        recorded |= Exists(KINDS[field].model.objects.filter(trial=OuterRef("pk")))
    return [trial for trial in trials.filter(recorded, planned=True).order_by("start", "pk")
            if stands_words(trial, day, is_drawn=True)[0] == "ended"]


def _title(measure: Measure) -> str:
    return measure.title or measure_title(measure.key)


def _arms(group: Iterable[Finished]) -> tuple[str, ...]:
    names = [one.changed for one in group]
    return tuple(sorted({name for told in names for name in told})) if any(len(told) > 1 for told in names) else ()


def pools_of(trials: QuerySet[Trial]) -> list[Job]:
    """What was taken together lately and may be seen: of each piece of work every trial must be among these; the latest first."""
    seen = set(trials.values_list("pk", flat=True))
    return [job for job in Job.objects.filter(kind="pool", state="done")[:_MOST_POOLS] if seen.issuperset(job.given.get("trials", [None]))]
