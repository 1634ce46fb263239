"""What the answers of an audit say about the map, in sentences, once the photos were measured with them."""

from collections.abc import Sequence
from typing import Any

from fairtank.publish.audit_words import audit_sentences, shared_sentences
from fairtank.publish.numbers import number
from fairtank.records.audited import AUDITED, audit_results
from fairtank.records.models import Measurement, Result, Trial
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.records.services.teaching import folder_with_photos, measured_store
from fairtank.records.services.versions import versions_of
from fairtank.trial import Measured, PhotoQuality, TrialFolder
from fairtank.vision.audit import HALF_WIDTH, AuditResult

KIND = "audit"
_MANY_POINTS = 1000  # further ones that nobody will answer while a better map needs fewer


def audit_kept(trial: Trial) -> dict[str, Any] | None:
    """What the answers say, worked out now where that was not done since the last change; None where the photos must be measured first.

    Parameters
    ----------
    trial : Trial

    Returns
    -------
    dict or None
        `sentences`; `needed`, a sentence about further points; `more`, how many, 0 where none help.

    References
    ----------
    olofsson2014, krippendorff2011 (keys from sources.py).
    """
    kept = Result.objects.filter(trial=trial, kind=KIND, revision=trial.revision).first()
    if kept is not None:
        return dict(kept.content)
    revision, folder = trial.revision, folder_with_photos(trial)
    measured = _measured(trial, folder)
    if measured is None:
        return None
    told = _told(folder, measured)
    answer_keep(trial=trial, kind=KIND, revision=revision, content=told)
    return told


def _measured(trial: Trial, folder: TrialFolder) -> MeasuredTrial | None:
    """The covers of all photos from their rows, and the qualities of the photos with points from the store."""
    audited, store, versions = {point.photo for point in folder.audit}, measured_store(trial), versions_of(folder)
    qualities: list[PhotoQuality] = []
    for photo in folder.photos:
        if photo.path in audited:
            result = store.get(photo, folder.file_digests[photo.path], versions.measured[photo.path])
            if result is None:
                return None
            qualities.append(result.quality)
    photos = {photo.path: photo for photo in folder.photos}
    covers = {cover for _kind, cover in AUDITED.values()}
    rows = Measurement.objects.filter(trial=trial, zone="", measure__in=covers, photo__removed_at=None)
    taken = [Measured(row.photo.path, photos[row.photo.path].unit, photos[row.photo.path].taken_at, photos[row.photo.path].day, row.measure,
                      "", row.value, row.unit_of_measure, row.se, row.quality, row.version) for row in rows.select_related("photo")]
    return MeasuredTrial(tuple(taken), tuple(qualities))


def _told(folder: TrialFolder, measured: MeasuredTrial) -> dict[str, Any]:
    results = [result for measure, result in audit_results(folder, measured).items() if measure.endswith("_cover")]
    if not results:
        return {"sentences": ["None of the answers lies on a map that could be used."], "needed": "", "more": 0}
    labels = {arm.key: arm.label for arm in folder.plan.arms}
    sentences = [line for result in results for line in audit_sentences(result, labels)]
    needed, more = needed_told(results)
    return {"sentences": [*sentences, *shared_sentences(results[0])], "needed": needed, "more": more}


def needed_told(results: Sequence[AuditResult]) -> tuple[str, int]:
    """How many more points would make every error known to 2 percentage points: a sentence, and how many to draw."""
    arms = [arm.needed - arm.points for result in results for arm in result.arms]
    if not arms or any(result.few for result in results):
        return "Each arm needs some more points before anything can be told of it.", 60
    goal, count = number(100 * HALF_WIDTH, 0), max(len(result.asked) for result in results)
    more = max(arms) * count
    if more <= 0:
        return f"The errors of all arms are known to ±{goal} percentage points or better.", 0
    if more > _MANY_POINTS:
        return (f"To know each arm's error to ±{goal} percentage points, more than {_MANY_POINTS} further points would be needed. Paint "
                "more strokes first, so that map and eye differ less often; the answers stay."), 0
    return f"To know each arm's error to ±{goal} percentage points, about {more} more points are needed.", more
