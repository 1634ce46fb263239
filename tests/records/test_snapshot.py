"""From values of photos to series: one per tank and measure, of the whole frame, with ready-made values as they are."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from tests.inference.trials import plan_of

from fairtank.errors import FolderError
from fairtank.inference.series.days import daily_medians
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.records.snapshot import series_of
from fairtank.trial import MeasureChoice, Measured, PairChoice, Photo, Reading, Score, Series, TrialFolder


def row(unit, day, value, *, measure="plant_cover", zone="", se=None, photo=""):
    taken_at = datetime(2026, 3, 1, 18) + timedelta(days=day)
    return Measured(photo or f"photos/{unit}-{day}.jpg", unit, taken_at, day, measure, zone, value, "%", se, "usable", "1-x")


def series(*rows, ready_made=()):
    folder = TrialFolder(Path("trial"), plan_of(2, 1), "sha256:0", series=tuple(ready_made))
    return series_of(folder, MeasuredTrial(measured=rows))


def test_values_become_one_series_per_tank_and_measure_in_the_plans_order():
    found = series(row("C1", 0, 9.0), row("R2", 0, 5.0), row("R1", 0, 1.0), row("R1", 0, 2.0, measure="algae_cover"))
    assert [(one.unit, one.measure, one.values) for one in found] == [
        ("R1", "plant_cover", (1.0,)), ("R1", "algae_cover", (2.0,)), ("R2", "plant_cover", (5.0,)), ("C1", "plant_cover", (9.0,)),
    ]  # fmt: skip


def test_days_ascend_whatever_the_order_of_the_photos_and_errors_stay_with_their_values():
    (one,) = series(row("R1", 9, 3.0), row("R1", 2, 1.0, se=0.4), row("R1", 5, 2.0))
    assert (one.days, one.values, one.ses) == ((2, 5, 9), (1.0, 2.0, 3.0), (0.4, None, None))
    assert not one.ready_made


def test_two_photos_of_one_day_stay_two_values_in_the_order_of_the_photos():
    (one,) = series(row("R1", 2, 4.0, photo="b.jpg"), row("R1", 1, 7.0), row("R1", 2, 3.0, photo="a.jpg"))
    assert (one.days, one.values) == ((1, 2, 2), (7.0, 4.0, 3.0))


def test_values_of_zones_stay_out():
    (one,) = series(row("R1", 0, 1.0), row("R1", 0, 60.0, zone="bed"))
    assert one.values == (1.0,)


def test_ready_made_values_are_taken_as_they_are_instead_of_those_of_photos_in_all_tanks():
    ready = Series("R1", "plant_cover", (0, 3), (12.5, 13.0), (0.5, None), ready_made=True)
    found = series(row("R1", 0, 1.0), row("R1", 0, 2.0, measure="algae_cover"), row("R2", 0, 5.0), ready_made=[ready])
    assert [one for one in found if (one.unit, one.measure) == ("R1", "plant_cover")] == [ready]
    assert {(one.unit, one.measure) for one in found} == {("R1", "plant_cover"), ("R1", "algae_cover")}


def test_without_values_there_is_no_series():
    assert series() == ()


def test_the_values_of_a_day_reach_the_analysis_as_their_median():
    (one,) = series(row("R1", 2, 4.0), row("R1", 2, 10.0), row("R1", 2, 5.0))
    assert daily_medians({"R1": one}) == {"R1": {2: 5.0}}


@pytest.mark.parametrize("days", [(0, 1), (1, 0)])
def test_the_order_of_photos_changes_no_series(days):
    assert series(*(row("R1", day, float(day)) for day in days)) == series(row("R1", 0, 0.0), row("R1", 1, 1.0))


PHOTO_TIME = datetime(2026, 3, 1, 18)


VIGOUR = (MeasureChoice("vigour", "primary"),)


def judged_folder(*, scores=(), pairs=(), readings=(), ready=(), measures=VIGOUR):
    photos = tuple(Photo(f"{unit}-{day}.jpg", unit, PHOTO_TIME + timedelta(days=day), day) for unit in ("R1", "R2", "C1") for day in (0, 4))
    return TrialFolder(Path("trial"), plan_of(2, 1, measures=measures), "sha256:0", photos=photos, scores=tuple(scores), pairs=tuple(pairs),
                       readings=tuple(readings), series=tuple(ready))


SCORES = (Score("R1-0.jpg", "vigour", "P", 3.0), Score("R1-0.jpg", "vigour", "Q", 4.0), Score("C1-4.jpg", "vigour", "P", 2.0),
          Score("C1-4.jpg", "vigour", "Q", 3.0), Score("C1-4.jpg", "other", "Q", 9.0))


def test_scores_become_series_of_the_day_of_the_photo_with_the_people_behind_them():
    first, second = series_of(judged_folder(scores=SCORES), MeasuredTrial())
    assert [(one.unit, one.measure, one.days, one.values, one.scored) for one in (first, second)] == \
        [("R1", "vigour", (0,), (3.5,), True), ("C1", "vigour", (4,), (2.5,), True)]
    assert (first.eyes.kind, first.eyes.raters, first.eyes.photos) == ("scores", 2, 2)
    assert not first.ready_made


def test_choices_become_one_strength_for_each_tank():
    pairs = [PairChoice("vigour", who, f"{one}-4.jpg", f"{other}-4.jpg", more) for who, more in (("P", "a"), ("Q", "b"))
             for one, other in (("R1", "C1"), ("R2", "C1"), ("R1", "R2"))]
    found = series_of(judged_folder(pairs=pairs), MeasuredTrial())
    assert [(one.unit, one.days, len(one.values)) for one in found] == [("R1", (4,), 1), ("R2", (4,), 1), ("C1", (4,), 1)]
    assert found[0].eyes.kind == "choices"


def test_a_water_test_becomes_a_series_where_the_plan_asks_for_its_quantity():
    readings = [Reading("R1", PHOTO_TIME, 0, quantity, 5.0, "mg/L") for quantity in ("vigour", "kh")]
    asked = (MeasureChoice("vigour", "primary", unit_of_measure="mg/L"),)
    (one,) = series_of(judged_folder(readings=readings, measures=asked), MeasuredTrial())
    assert (one.measure, one.values, one.below) == ("vigour", (5.0,), (False,))


def test_ready_made_values_win_over_scores():
    ready = Series("R1", "vigour", (0,), (1.0,), (None,), ready_made=True)
    assert series_of(judged_folder(scores=SCORES, ready=[ready]), MeasuredTrial()) == (ready,)


def test_scores_of_a_measure_that_photos_give_too_are_refused():
    measured = MeasuredTrial(measured=(row("R1", 0, 9.0, measure="vigour"),))
    with pytest.raises(FolderError) as refused:
        series_of(judged_folder(scores=SCORES), measured)
    assert str(refused.value) == ("scores.csv, column measure: vigour has values here, and photos give values of it too; accepted: one "
                                  "source for each measure: a key of its own here, such as vigour_by_eye, or values in series.csv.")


def test_scores_of_a_measure_that_the_plan_does_not_ask_for_are_left_alone():
    assert series_of(judged_folder(scores=SCORES, measures=(MeasureChoice("height", "primary"),)), MeasuredTrial()) == ()
