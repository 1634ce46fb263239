"""Which photos wait for a frame: they are on the shelf, and not in the folder that is measured and judged until somebody draws one."""

from fairtank.records.models import Frame, Measure, PairChoice, Photo, Reading, Score, SeriesValue, Stroke, Trial

BY_HAND = "by_hand"


def photos_without_frame(trial: Trial) -> frozenset[int]:
    """Keys of the photos of which nobody said yet how they map to centimetres.

    A trial that is only scored by eye needs no frames, and none of its photos waits.

    Parameters
    ----------
    trial : Trial

    Returns
    -------
    frozenset of int

    References
    ----------
    common_practice (keys from sources.py).
    """
    frames = list(Frame.objects.filter(trial=trial).values_list("unit_id", "mode", "reference_photo_id"))
    photos = list(Photo.objects.filter(trial=trial).values_list("pk", "unit_id"))
    if not photos or (not frames and _is_scored_alone(trial)):
        return frozenset()
    modes = {unit: mode for unit, mode, _photo in reversed(frames)}
    framed = {photo for _unit, _mode, photo in frames}
    return frozenset(photo for photo, unit in photos if unit not in modes or (modes[unit] == BY_HAND and photo not in framed))


def _is_scored_alone(trial: Trial) -> bool:
    """Whether every measure of the plan is given by people's eyes or by a table, and nobody painted strokes."""
    by_eye = {*Score.objects.filter(trial=trial).values_list("measure", flat=True).distinct(),
              *PairChoice.objects.filter(trial=trial).values_list("measure", flat=True).distinct()}
    if not by_eye or Stroke.objects.filter(trial=trial).exists():
        return False
    given = by_eye | {*Reading.objects.filter(trial=trial).values_list("quantity", flat=True).distinct(),
                      *SeriesValue.objects.filter(trial=trial).values_list("measure", flat=True).distinct()}
    return set(Measure.objects.filter(trial=trial).values_list("key", flat=True)) <= given
