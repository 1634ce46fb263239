"""One chosen plant: its area inside its zone, and how fast it grows between trims."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from tests.vision.pictures import PHOTO, classifier, loaded, tank_picture, view

from fairtank.science.growth import relative_growth_rate
from fairtank.trial import Event, Zone
from fairtank.vision.measure import measure_photo
from fairtank.vision.measures.chosen_plant import is_trim, plant_growth_rate, robust_growth_rate
from fairtank.vision.sequence import Moment

START = datetime(2026, 3, 1, 18)
FERN = Zone("T1", "fern", "plant", ((10, 20), (30, 20), (30, 50), (10, 50)))


def trim(day: int, kind: str = "trim", note: str = "", hour: int = 2) -> Event:
    return Event((), START + timedelta(days=day, hours=hour), None, day, day, kind, note)


def moments(sizes: dict[float, float], events: tuple[Event, ...] = (), zone: str = "fern") -> tuple[Moment, ...]:
    """One moment for each day: its area of the plant, and the events up to the next one."""
    days, found = sorted(sizes), []
    for number, day in enumerate(days):
        at = START + timedelta(days=day)
        until = START + timedelta(days=days[number + 1]) if number + 1 < len(days) else datetime.max
        photo = replace(PHOTO, path=f"{day}.jpg", taken_at=at, day=int(day))
        here = tuple(event for event in events if at <= event.at < until)
        found.append(Moment(photo, "usable", "t", {("plant_area", zone): sizes[day], ("plant_area", ""): 500.0}, None, here))
    return tuple(found)


def grown(days, start: float = 10.0, rate: float = 0.08) -> dict[float, float]:
    return {day: start * float(np.exp(rate * day)) for day in days}


def test_the_area_of_a_chosen_plant_is_that_inside_its_zone_and_stays_a_part_of_the_whole():
    """The plants are drawn from x = 10 to 60 cm and y = 28 to 50 cm; the zone holds 20 cm of them, and all of the algae block but 0."""
    picture = tank_picture()

    def areas(zones):
        rows = measure_photo(PHOTO, loaded(picture), view(picture, zones=zones), classifier(), version="t").measured
        return {row.zone: row.value for row in rows if row.measure == "plant_area"}

    assert areas((FERN,))["fern"] == pytest.approx(20 * 22 - 10 * 4, rel=0.02)
    assert areas((FERN,))[""] == areas(())[""]


def test_steady_growth_comes_back_exactly_and_equals_the_calculator_between_two_days():
    found = plant_growth_rate(moments(grown(range(8))))
    assert [values["fern"] for values in found] == [pytest.approx(0.08)] * 8
    assert found[0]["fern"] == pytest.approx(relative_growth_rate(10.0, 10 * np.exp(0.08 * 7), 7))


@pytest.mark.published(entry="plant_growth_rate", source="arithmetic", where="a plant that doubles in d days grows by ln 2 / d per day")
def test_a_plant_that_doubles_in_a_week_grows_by_ln_2_over_7():
    found = plant_growth_rate(moments({day: 5 * 2 ** (day / 7) for day in (0, 3, 7, 10, 14)}))
    assert found[2]["fern"] == pytest.approx(np.log(2) / 7)


def test_one_odd_photo_hardly_moves_the_rate():
    sizes = grown(range(11))
    sizes[5] *= 3
    assert plant_growth_rate(moments(sizes))[0]["fern"] == pytest.approx(0.08, abs=0.005)


def test_noise_of_a_tenth_on_each_photo_leaves_the_rate_within_a_hundredth():
    rng = np.random.default_rng(7)
    off = []
    for _ in range(200):
        sizes = {day: size * float(np.exp(rng.normal(0, 0.1))) for day, size in grown(range(15)).items()}
        off.append(plant_growth_rate(moments(sizes))[0]["fern"] - 0.08)
    assert abs(np.mean(off)) < 0.002
    assert np.std(off) < 0.01


def test_a_trim_parts_the_series_and_each_interval_has_its_own_rate():
    sizes = {**grown(range(7), rate=0.08), **{day: 4 * float(np.exp(0.15 * (day - 7))) for day in range(7, 14)}}
    found = plant_growth_rate(moments(sizes, (trim(6),)))
    assert [round(values["fern"], 6) for values in found] == [0.08] * 7 + [0.15] * 7


def test_too_few_photos_or_days_between_trims_give_no_rate():
    assert plant_growth_rate(moments(grown((0, 5)))) == ({}, {})
    assert plant_growth_rate(moments(grown((0, 1, 2, 3)))) == ({}, {}, {}, {})
    assert plant_growth_rate(moments(grown((0, 1, 2, 4))))[0] != {}
    parted = plant_growth_rate(moments(grown((0, 2, 4, 5, 6)), (trim(4),)))
    assert [bool(values) for values in parted] == [True, True, True, False, False]


def test_a_photo_in_which_the_plant_is_hidden_is_passed_over():
    sizes = grown(range(8))
    sizes[3] = 0.0
    found = plant_growth_rate(moments(sizes))
    assert found[3] == {}
    assert found[4]["fern"] == pytest.approx(0.08)


def test_without_a_zone_for_a_plant_there_is_no_growth_rate():
    assert plant_growth_rate(moments(grown(range(8)), zone="")) == ({},) * 8
    assert plant_growth_rate(()) == ()


def test_several_chosen_plants_have_their_own_rates_and_their_mean():
    fern, moss = moments(grown(range(8))), moments(grown(range(8), rate=0.02), zone="moss")
    both = tuple(replace(one, values={**one.values, **other.values}) for one, other in zip(fern, moss, strict=True))
    assert plant_growth_rate(both)[3] == {"fern": pytest.approx(0.08), "moss": pytest.approx(0.02), "": pytest.approx(0.05)}


def test_two_photos_at_one_time_do_not_divide_by_zero():
    days = np.array([0.0, 0.0, 2.0, 4.0])
    assert robust_growth_rate(days, 10 * np.exp(0.1 * days)) == pytest.approx(0.1)


@pytest.mark.parametrize(("kind", "note"), [
    ("trim", ""), ("trimming", "stems to 12 cm"), ("other", "Pruned the red stems"), ("cut", ""), ("upkeep", "cut back the stems"),
    ("upkeep", "cut the carpet"), ("other", "replanted the tops"), ("note", "cutting all tall stems"),
])  # fmt: skip
def test_words_for_trimming_are_understood(kind, note):
    assert is_trim(trim(0, kind, note))


@pytest.mark.parametrize(("kind", "note"), [
    ("water change", "30 % in every tank"), ("power cut", "two hours"), ("lamp timer", "light cut by an hour"), ("other", "haircut"),
])  # fmt: skip
def test_other_events_are_no_trim(kind, note):
    assert not is_trim(trim(0, kind, note))
