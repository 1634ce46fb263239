"""Audit points asked in the pages: drawn evenly, answered one by one, taken back, and told from the trial's rows."""

from collections import Counter

import pytest
from tests.records.photo_shelf import CORNERS, folder_write, trial_take_in


@pytest.fixture
def trial(shelf, tmp_path):
    return trial_take_in(folder_write(tmp_path / "trial"))


def _draw(trial, count=20, seed=3):
    from fairtank.records.services.audit_answers import points_draw
    from fairtank.records.services.trail import KEEPER

    return points_draw(trial=trial, count=count, by=KEEPER, seed=seed)


def test_points_lie_inside_the_frame_as_many_in_each_arm_and_only_in_usable_photos(trial):
    from fairtank.records.services.audit_answers import points_of

    assert _draw(trial) == 20
    points = points_of(trial)
    assert Counter(point.photo[7:9] for point in points) == {"T1": 10, "T2": 10}
    assert "photos/T2-08.jpg" not in {point.photo for point in points}  # it is blurred
    (left, top), (right, bottom) = CORNERS[0], CORNERS[2]
    assert all(left <= point.x <= right and top <= point.y <= bottom for point in points)
    assert sorted(point.number for point in points) == list(range(1, 21))


def test_a_second_draw_goes_on_where_the_first_ended(trial):
    from fairtank.records.services.audit_answers import points_of

    _draw(trial)
    first = points_of(trial)
    _draw(trial, 10)
    assert points_of(trial)[:20] == first
    assert len(set(points_of(trial))) == 30


def test_a_list_of_points_that_was_changed_is_refused(trial):
    from fairtank.errors import InputError
    from fairtank.records.models import Document
    from fairtank.records.services.audit_answers import POINTS_FILE, points_of

    _draw(trial)
    kept = Document.objects.get(path=POINTS_FILE)
    kept.content = kept.text.replace("photos/T1-01.jpg", "photos/T2-01.jpg", 1).encode()
    kept.save()
    with pytest.raises(InputError, match="changed since the points were drawn"):
        points_of(trial)


def test_answers_are_kept_as_they_are_given_and_the_last_can_be_taken_back(trial, tmp_path):
    from fairtank.records.folder import read_folder
    from fairtank.records.models import AuditPoint
    from fairtank.records.services.audit_answers import answer_give, answer_undo, asked_of
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.trail import KEEPER, By

    _draw(trial)
    for answer in ("plant", "unsure", "algae"):
        answer_give(trial=trial, number=asked_of(trial, KEEPER).next.number, answer=answer, by=KEEPER)
    assert answer_undo(trial=trial, by=KEEPER) == 3
    assert (asked_of(trial, KEEPER).answered, asked_of(trial, KEEPER).next.number) == (2, 3)
    assert asked_of(trial, By("someone else")).answered == 0
    assert answer_undo(trial=trial, by=By("someone else")) is None
    answer_give(trial=trial, number=1, answer="background", by=KEEPER)
    folder = read_folder(trial_export(trial=trial, root=tmp_path / "out"))
    assert [point.answer for point in folder.audit] == ["background", "unsure"]
    assert AuditPoint.everything.count() == 3


@pytest.mark.parametrize(("number", "answer", "said"), [(99, "plant", "the number of a point"), (1, "fish", "plant, algae, background")])
def test_answers_to_no_point_and_answers_that_are_none_are_refused(trial, number, answer, said):
    from fairtank.errors import InputError
    from fairtank.records.services.audit_answers import answer_give
    from fairtank.records.services.trail import KEEPER

    _draw(trial)
    with pytest.raises(InputError, match=said):
        answer_give(trial=trial, number=number, answer=answer, by=KEEPER)


@pytest.mark.parametrize("count", [0, 1, 5001])
def test_only_so_many_points_can_be_drawn(trial, count):
    from fairtank.errors import InputError

    with pytest.raises(InputError, match="2 to 5000"):
        _draw(trial, count)


def test_without_a_usable_photo_nothing_is_drawn(trial):
    from fairtank.errors import NotEnoughDataError
    from fairtank.records.models import Photo

    Photo.objects.update(quality="not usable")
    with pytest.raises(NotEnoughDataError, match="no usable photo on a judged day"):
        _draw(trial)


def test_the_picture_of_a_point_tells_nothing_of_its_photo(trial):
    from fairtank.records.services.audit_answers import point_of, point_picture

    _draw(trial)
    shown = point_picture(trial, point_of(trial, 1))
    assert shown[:2] == b"\xff\xd8"
    assert b"Exif" not in shown
    assert point_picture(trial, point_of(trial, 1)) == shown


def test_before_the_photos_were_measured_with_the_answers_nothing_is_told(trial):
    from fairtank.records.services.audit_answers import answer_give
    from fairtank.records.services.audit_result import audit_kept
    from fairtank.records.services.trail import KEEPER

    _draw(trial)
    answer_give(trial=trial, number=1, answer="plant", by=KEEPER)
    assert audit_kept(trial) is None


def test_what_the_answers_say_is_told_from_the_rows_and_kept_until_the_trial_changes(trial):
    from fairtank.records.models import Photo, Result
    from fairtank.records.services.audit_answers import answer_give, points_of
    from fairtank.records.services.audit_result import audit_kept
    from fairtank.records.services.teaching import folder_with_photos, measured_store
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.versions import versions_of
    from fairtank.trial import PhotoQuality
    from fairtank.vision.measure import PhotoResult

    _draw(trial, 160)
    for point in points_of(trial):
        answer_give(trial=trial, number=point.number, answer="plant" if point.number % 4 else "unsure", by=KEEPER)
    folder, store = folder_with_photos(trial), measured_store(trial)
    versions = versions_of(folder)
    for photo in folder.photos:
        there = sum(point.photo == photo.path for point in folder.audit)
        row = Photo.objects.get(trial=trial, path=photo.path)
        quality = PhotoQuality(photo.path, photo.unit, photo.day, row.quality, (), None, None, None, None, None,
                               versions.measured[photo.path], map_at_audit="p" * there)
        store.put(row.sha256, versions.measured[photo.path], PhotoResult((), quality, b"", None))
    told = audit_kept(trial)
    assert told["sentences"][0].startswith("Plants: At 120 random points your eye and the map agreed on plants in 100")
    assert "40 further points" in " ".join(told["sentences"])
    assert Result.objects.get(trial=trial, kind="audit").revision == trial.revision
    answer_give(trial=trial, number=1, answer="algae", by=KEEPER)
    assert audit_kept(trial) is None
