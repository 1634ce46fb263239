"""What is said when the plan asks for a measure that the folder's zones or the photos' colours cannot carry."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from fairtank.records.services.comparable import comparable_cautions
from fairtank.trial import Arm, Label, LabelClass, MeasureChoice, Photo, PhotoQuality, Plan, Series, TrialFolder, Unit, Zone


def folder(*measures: str, zones: tuple[str, ...] = (), series: tuple[Series, ...] = ()) -> TrialFolder:
    plan = Plan(
        "t", date(2026, 3, 1), 10, "side_by_side", (Arm("R", "reference"), Arm("C", "changed")), (Unit("T1", "R"), Unit("T2", "C")),
        tuple(MeasureChoice(key) for key in measures),
    )  # fmt: skip
    square = ((0.0, 0.0), (5.0, 0.0), (5.0, 5.0), (0.0, 5.0))
    return TrialFolder(Path("t"), plan, "sha256:0", zones=tuple(Zone("T1", kind, kind, square) for kind in zones), series=series)


def photo(basis: str, quality: str = "usable") -> PhotoQuality:
    return PhotoQuality("p.jpg", "T1", 0, quality, (), None, None, None, None, None, "t", colour_basis=basis)


@pytest.mark.parametrize(("key", "kind"), [("carpet_cover", "floor"), ("plant_growth_rate", "plant"), ("water_tint", "backdrop")])
def test_a_measure_without_its_zone_is_said_not_to_be_measured(key, kind):
    assert comparable_cautions(folder(key), (photo("card"),)) == (f"{key} could not be measured: zones.csv holds no zone of kind {kind}.",)
    assert comparable_cautions(folder(key, zones=(kind,)), (photo("card"),)) == ()


def test_haze_needs_two_kinds_of_zones():
    said = "haze could not be measured: zones.csv holds no zone of kind backdrop and none of kind static."
    assert comparable_cautions(folder("haze"), ()) == (said,)
    assert comparable_cautions(folder("haze", zones=("backdrop", "static")), ()) == ()


def test_values_from_a_table_need_no_zone():
    ready = Series("T1", "carpet_cover", (0,), (5.0,), ready_made=True)
    assert comparable_cautions(folder("carpet_cover", series=(ready,)), ()) == ()


def test_colours_without_a_card_or_a_patch_are_said_not_to_compare():
    said = comparable_cautions(folder("plant_redness"), (photo("none"), photo("none")))
    assert said == (
        "Colour not comparable: neither a photo card nor a painted patch could be read in the photos. "
        "Plant redness is not corrected for exposure and white balance in them.",
    )
    some = comparable_cautions(folder("water_tint", zones=("backdrop",)), (photo("none"), photo("card"), photo("none", "not usable")))
    assert "in 1 of 2 photos. Water tint has no value from them." in some[0]


def test_nothing_is_said_of_colour_when_no_measure_needs_it_or_every_photo_has_a_card():
    assert comparable_cautions(folder("plant_cover"), (photo("none"),)) == ()
    assert comparable_cautions(folder("plant_redness"), (photo("card"), photo("patch"))) == ()


def test_a_zone_that_only_some_tanks_have_is_missed_in_the_others_by_name():
    partly = replace(folder("carpet_cover", zones=("floor",)), photos=tuple(
        Photo(f"{unit}.jpg", unit, datetime(2026, 3, 1, 18), 0) for unit in ("T2", "T1")))  # fmt: skip
    assert comparable_cautions(partly, ()) == ("carpet_cover could not be measured in T2: zones.csv holds no zone of kind floor there.",)


def test_static_things_may_be_painted_for_haze():
    drawn = folder("haze", zones=("backdrop",))
    painted = replace(drawn, labels=(Label("a.jpg", "labels/a.png"),), label_classes=(LabelClass("pump", (9, 9, 9), "static"),))
    assert comparable_cautions(drawn, ()) == ("haze could not be measured: zones.csv holds no zone of kind static.",)
    assert comparable_cautions(painted, ()) == ()
