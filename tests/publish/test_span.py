"""What lies outside the trial's days is counted and not drawn."""

from datetime import date, datetime

import pytest

from fairtank.publish.content import UnitPictures
from fairtank.publish.span import outside_words, pictures_inside, series_inside
from fairtank.trial import Photo, Plan, Series

PLAN = Plan("t", date(2026, 3, 1), 10, "side_by_side", (), (), ())


def photos(*days):
    return [Photo(f"{day}.jpg", "T1", datetime(2026, 3, 1), day) for day in days]


@pytest.mark.parametrize(("days", "words"), [
    ((0, 10), ""),
    ((-1, 5), "1 photo was taken before day 0 or after day 10: outside the trial, and not shown here."),
    ((-2, -1, 5, 11), "3 photos were taken before day 0 or after day 10: outside the trial, and not shown here."),
])
def test_photos_outside_are_counted_in_one_sentence(days, words):
    assert outside_words(PLAN, photos(*days)) == words


def test_series_keep_the_trials_days_with_their_values_and_errors():
    series = (Series("T1", "m", (-1, 0, 10, 11), (1.0, 2.0, 3.0, 4.0), (0.1, 0.2, 0.3, 0.4)), Series("T2", "m", (11,), (5.0,)),
              Series("T3", "m", (5,), (6.0,)))
    kept = series_inside(PLAN, series)
    assert [(one.unit, one.days, one.values, one.ses) for one in kept] == [
        ("T1", (0, 10), (2.0, 3.0), (0.2, 0.3)), ("T3", (5,), (6.0,), ())]


def test_a_first_or_last_photo_from_outside_gives_way_to_the_first_or_last_inside():
    small = ((-3, b"early"), (1, b"one"), (9, b"nine"), (12, b"late"))
    (kept,) = pictures_inside(PLAN, [UnitPictures("T1", b"EARLY", -3, b"LATE", 12, small)])
    assert kept == UnitPictures("T1", b"one", 1, b"nine", 9, ((1, b"one"), (9, b"nine")))
    (none,) = pictures_inside(PLAN, [UnitPictures("T1", b"LATE", 12, b"LATE", 12, ((12, b"late"),))])
    assert none == UnitPictures("T1")


def test_pictures_inside_stay_as_they_are():
    own = UnitPictures("T1", b"FIRST", 0, b"LAST", 10, ((0, b"a"), (10, b"b")))
    assert pictures_inside(PLAN, [own]) == (own,)
