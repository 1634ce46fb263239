"""Answers of an audit where a photo stops counting, or a thing that never changes is named."""

from dataclasses import replace

from tests.records.photo_trials import CLASSES, Shape, photo_path, photo_trial

from fairtank.records.audited import agreement_of, audit_results
from fairtank.records.folder import read_folder
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.trial import AuditPoint, LabelClass, Measured, PhotoQuality

PHOTO = photo_path("T1", 7)


def folder_with(tmp_path, *answers):
    folder = read_folder(photo_trial(tmp_path / "trial", Shape(days=(0, 7), painted=(), mode="fixed")))
    points = tuple(AuditPoint(PHOTO, 300.0, 300.0, answer, f"rater {number}") for number, answer in enumerate(answers))
    return replace(folder, label_classes=(*CLASSES, LabelClass("filter", (9, 9, 9), "static")), audit=points)


def test_a_static_thing_at_a_point_is_neither_plant_nor_algae(tmp_path):
    assert agreement_of(folder_with(tmp_path, "filter", "background")).same == 1.0


def test_answers_at_a_photo_that_no_longer_counts_are_set_aside(tmp_path):
    folder = folder_with(tmp_path, "plant", "plant")
    photo = next(photo for photo in folder.photos if photo.path == PHOTO)
    other = next(photo for photo in folder.photos if photo.path == photo_path("T1", 0))
    folder = replace(folder, audit=(*folder.audit, AuditPoint(other.path, 300.0, 300.0, "plant", "rater 0")))
    qualities = tuple(
        PhotoQuality(one.path, one.unit, one.day, quality, (), None, None, None, None, None, "v", map_at_audit=letters)
        for one, quality, letters in ((photo, "not usable", "pp"), (other, "usable", "p"))
    )
    value = Measured(other.path, other.unit, other.taken_at, other.day, "plant_cover", "", 30.0, "%", None, "usable", "v")
    result = audit_results(folder, MeasuredTrial(measured=(value,), qualities=qualities))["plant_cover"]
    assert (result.points, result.set_aside) == (1, 2)
