"""Which photos' maps to doubt, in sentences; and the same numbers in the photos' quality table."""

import csv
import io
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from fairtank.records.exporters.measures import quality_text
from fairtank.records.services.doubtful_maps import doubtful_map_cautions
from fairtank.simulation import scenario
from fairtank.trial import Arm, Label, MeasureChoice, Photo, PhotoQuality, Plan, TrialFolder, Unit

UNITS = (Unit("T1", "R"), Unit("T2", "C"))
ARMS = (Arm("R", "reference"), Arm("C", "changed"))


def folder_with(*labels: str) -> TrialFolder:
    plan = Plan("A trial", date(2026, 3, 1), 9, "side_by_side", ARMS, UNITS, (MeasureChoice("plant_cover", "primary"),))
    photos = tuple(Photo(f"{unit.key}-{day}.jpg", unit.key, datetime(2026, 3, 1 + day, 9), day) for day in range(10) for unit in UNITS)
    return TrialFolder(Path(), plan, "", photos=photos, labels=tuple(Label(photo, f"labels/{photo}.png") for photo in labels))


def qualities(new: dict[str, float], close: dict[str, float], folder: TrialFolder) -> list[PhotoQuality]:
    return [
        PhotoQuality(photo.path, photo.unit, photo.day, "usable", (), None, None, None, None, 0.02, "2-a",
                     new_fraction=new.get(photo.path, 0.001), closeness=close.get(photo.path, 0.006), classifier="abc")
        for photo in folder.photos
    ]  # fmt: skip


def test_ordinary_photos_are_not_spoken_of():
    folder = folder_with("T1-0.jpg", "T2-0.jpg")
    assert doubtful_map_cautions(folder, qualities({}, {}, folder)) == ()


def test_photos_in_new_colours_and_with_close_calls_are_named_apart():
    folder = folder_with("T1-0.jpg", "T2-0.jpg")
    new, close = doubtful_map_cautions(folder, qualities({"T1-4.jpg": 0.2}, {"T2-7.jpg": 0.08, "T2-8.jpg": 0.09}, folder))
    assert new.startswith("No stroke showed the colours of much that is on T1-4.jpg. Paint strokes on")
    assert close.startswith("Plants and algae were much closer calls than usual on T2-7.jpg and T2-8.jpg. Count points")


@pytest.mark.parametrize("reason", ["painted", "not usable"])
def test_a_painted_photo_and_one_that_is_not_used_are_passed_over(reason):
    folder = folder_with("T1-4.jpg", "T2-0.jpg") if reason == "painted" else folder_with()
    found = qualities({"T1-4.jpg": 0.2}, {}, folder)
    if reason == "not usable":
        found = [replace(one, quality="not usable") if one.photo == "T1-4.jpg" else one for one in found]
    assert doubtful_map_cautions(folder, found) == ()


def test_strokes_that_favour_an_arm_are_told_with_the_measured_photos():
    folder = folder_with("T1-0.jpg", "T1-4.jpg", "T1-9.jpg")
    (said,) = doubtful_map_cautions(folder, qualities({}, {}, folder))
    assert said.startswith("Strokes are spread unevenly over the arms: 3 painted photos in one, 0 in another.")


def test_a_folder_without_maps_says_nothing():
    folder = folder_with()
    bare = [replace(one, new_fraction=None, closeness=None, classifier="") for one in qualities({}, {}, folder)]
    assert doubtful_map_cautions(folder, bare) == ()


def test_the_quality_table_tells_newness_closeness_and_what_told_the_classes_apart():
    folder = folder_with()
    rows = list(csv.DictReader(io.StringIO(quality_text(tuple(qualities({"T1-0.jpg": 0.25}, {}, folder))))))
    assert [rows[0][name] for name in ("new_fraction", "closeness", "classifier")] == ["0.25", "0.006", "abc"]


def test_the_demo_trial_paints_both_arms_alike():
    demo = scenario("midday")
    arms = [demo.plan.arm_of(unit).key for unit, _ in demo.labelled]
    assert max(arms.count(arm.key) for arm in demo.plan.arms) - min(arms.count(arm.key) for arm in demo.plan.arms) <= 1
