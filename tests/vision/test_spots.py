"""Spots on the front glass: found where they were drawn, counted when the next photo shows them again, on rendered tanks too."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from tests.vision.pictures import BLUE, BROWN, PHOTO, classifier, loaded, view

from fairtank.simulation import render_photo, scenario
from fairtank.simulation.truth import SPOT_CM
from fairtank.trial import Event, Zone
from fairtank.vision.classes.classifier import classified
from fairtank.vision.glass import CELLS_PER_CM, open_water, spot_note
from fairtank.vision.load import decoded_photo
from fairtank.vision.measures.spots import algae_spots, confirmed, is_glass_cleaning
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.scene import Scene
from fairtank.vision.sequence import Moment
from fairtank.vision.spots import SpotNote, spot_candidates
from fairtank.vision.view import relative, view_of

CORNERS_2000 = ((300.0, 240.0), (1700.0, 240.0), (1700.0, 1240.0), (300.0, 1240.0))  # 70 x 50 cm: 20 px per cm
DOT_RGB = (70, 120, 50)


def pane(dots=(), *, radius_cm: float = 0.12, colour=DOT_RGB) -> np.ndarray:
    """A photo of 2000 x 1500 px: a lit pane with fine noise, and round dots at places in cm from its top-left."""
    import cv2

    rng = np.random.default_rng(3)
    picture = np.full((1500, 2000, 3), 120, np.uint8)
    picture[240:1240, 300:1700] = BLUE
    picture = np.clip(picture + rng.normal(0, 2, picture.shape), 0, 255).astype(np.uint8)
    for x_cm, y_cm in dots:
        at = (round((300 + 20 * x_cm - 0.5) * 16), round((240 + 20 * y_cm - 0.5) * 16))
        cv2.circle(picture, at, round(20 * radius_cm * 16), colour, -1, cv2.LINE_AA, 4)
    return picture


def found_in(picture: np.ndarray, zones: tuple[Zone, ...] = ()):
    seen = view(picture, zones=zones, corners=CORNERS_2000)
    return spot_candidates(picture, relative(CORNERS_2000, 2000), seen)


DOTS = ((10.0, 8.0), (30.2, 21.25), (55.2, 30.1), (66.0, 5.0), (42.0, 44.0))


def test_every_dot_is_found_where_it_was_drawn():
    found = found_in(pane(DOTS))
    assert len(found.places) == len(DOTS)
    for place in DOTS:
        assert np.hypot(*(found.places - np.array(place)).T).min() < 0.03


def test_the_radius_is_that_of_the_drawn_dot():
    """A circle is drawn half a px, here 0.025 cm, wider than its radius."""
    for radius_cm in (0.12, 0.2):
        assert found_in(pane(DOTS, radius_cm=radius_cm)).radius_cm == pytest.approx(radius_cm + 0.0125, abs=0.025)


def test_noise_alone_gives_no_dot():
    assert len(found_in(pane()).places) == 0


@pytest.mark.parametrize("colour", [(90, 90, 90), (240, 240, 240), (130, 110, 56), (150, 60, 50)], ids=["grey", "white", "brown", "red"])
def test_only_green_dots_count(colour):
    assert len(found_in(pane(DOTS, colour=colour)).places) == 0


def test_leaves_and_streaks_are_no_dots():
    picture = pane()
    picture[500:504, 600:700] = DOT_RGB
    picture[700:800, 900:1000] = DOT_RGB
    assert len(found_in(picture).places) == 0


def test_dots_before_static_things_and_before_the_ground_are_left_out():
    static = Zone("T1", "filter", "static", ((8, 6), (12, 6), (12, 10), (8, 10)))
    floor = Zone("T1", "bed", "floor", ((0, 40), (70, 40), (70, 48), (0, 48)))
    found = found_in(pane((*DOTS, (20.0, 49.0))), zones=(static, floor))
    assert sorted(map(tuple, found.places.round().astype(int).tolist())) == [(30, 21), (55, 30), (66, 5)]


def test_dots_do_not_depend_on_exposure_and_place_of_the_frame():
    darker = (pane(DOTS) * 0.85).astype(np.uint8)
    assert len(found_in(darker).places) == len(DOTS)
    rolled = np.roll(pane(DOTS), (13, -21), axis=(0, 1))
    corners = np.array(CORNERS_2000) + np.array([-21, 13])
    moved = spot_candidates(rolled, relative(corners, 2000), view(pane(DOTS), corners=CORNERS_2000))
    assert np.sort(moved.places, axis=0) == pytest.approx(np.sort(found_in(pane(DOTS)).places, axis=0), abs=0.02)


def test_from_above_and_in_coarse_photos_nothing_is_claimed():
    picture = pane(DOTS)
    seen = view(picture, corners=CORNERS_2000)
    assert spot_candidates(picture, relative(CORNERS_2000, 2000), replace(seen, view="top")) is None
    assert spot_candidates(picture[::2, ::2], relative(CORNERS_2000, 2000), seen) is None


def test_an_empty_place_to_look_at_gives_no_dots():
    everything_but_a_line = Zone("T1", "most", "ignore", ((0, 0), (70, 0), (70, 49), (0, 49)))
    assert len(found_in(pane(DOTS), zones=(everything_but_a_line,)).places) == 0


def scene_of(picture: np.ndarray, zones: tuple[Zone, ...] = ()) -> Scene:
    seen = view(picture, zones=zones, corners=CORNERS_2000)
    prepared = prepared_photo(loaded(picture), seen)
    learnt = classifier()
    return Scene(prepared.picture, classified(prepared.picture, learnt), seen, learnt.known, "none", prepared.candidates)


def test_open_water_is_the_pane_without_plants_and_static_things():
    picture = pane(DOTS)
    picture[640:1240, 300:1000] = (40, 150, 50)
    static = Zone("T1", "filter", "static", ((60, 0), (70, 0), (70, 20), (60, 20)))
    note = spot_note(scene_of(picture, zones=(static,)))
    assert note.open_cm2 == pytest.approx(3500 - 35 * 30 - 200, rel=0.02)
    assert note.open_cm2 == note.open_water.sum() / CELLS_PER_CM**2
    assert {(round(float(x)), round(float(y))) for x, y in note.places} == {(10, 8), (55, 30), (42, 44)}


def test_a_dot_itself_does_not_close_the_water_behind_it():
    small, patch = pane(DOTS), pane()
    patch[500:560, 600:660] = BROWN
    closed = [int((~open_water(scene_of(picture))).sum()) for picture in (pane(), small, patch)]
    assert closed[0] == closed[1] < closed[2]


def note(places, open_water=None) -> SpotNote:
    cells = np.ones((40, 60), bool) if open_water is None else open_water
    at = np.array(places, np.float32).reshape(-1, 2)
    return SpotNote(at, np.full(len(at), 0.1, np.float32), cells, cells.sum() / CELLS_PER_CM**2)


START = datetime(2026, 3, 1, 18)


def moments(*notes, quality=(), events=()) -> tuple[Moment, ...]:
    """One moment a day."""
    found = []
    for number, one in enumerate(notes):
        photo = replace(PHOTO, path=f"{number}.jpg", taken_at=START + timedelta(days=number), day=number)
        here = tuple(event for event in events if event.day_from == number)
        found.append(Moment(photo, dict(quality).get(number, "usable"), "t", {}, one, here))
    return tuple(found)


def cleaning(day: int, kind: str = "upkeep", text: str = "front glass cleaned") -> Event:
    return Event((), START + timedelta(days=day), None, day, day, kind, text)


def test_a_dot_counts_when_the_next_photo_shows_it_again_nearby():
    first, second = note([(5, 5), (10, 10), (20, 15)]), note([(5.1, 5.05), (10.2, 10), (20.5, 15)])
    assert confirmed(first, second).tolist() == [True, False, False]
    assert algae_spots(moments(first, second)) == ({"": pytest.approx(100 * 1 / 600)}, {})


def test_a_dot_counts_only_where_the_glass_is_open_in_both_photos():
    hidden = np.ones((40, 60), bool)
    hidden[:, :30] = False  # the left half of 30 x 20 cm
    first, second = note([(5, 5), (20, 15)]), note([(5, 5), (20, 15)], hidden)
    assert algae_spots(moments(first, second))[0][""] == pytest.approx(100 * 1 / 300)
    assert confirmed(note([(5, 5), (20, 15)], hidden), note([(5, 5), (20, 15)])).tolist() == [False, True]


def test_too_little_open_water_gives_no_value_and_no_dots_give_zero():
    little = np.zeros((40, 60), bool)
    little[:10, :10] = True
    assert algae_spots(moments(note([(1, 1)], little), note([(1, 1)], little)))[0] == {}
    assert algae_spots(moments(note([]), note([])))[0] == {"": 0.0}


def test_the_last_photo_and_the_last_before_a_cleaning_give_no_value():
    same = note([(5, 5)])
    found = algae_spots(moments(same, same, same, same, events=(cleaning(1),)))
    assert [bool(values) for values in found] == [True, False, True, False]


def test_a_doubtful_photo_is_passed_over():
    same, blurred = note([(5, 5)]), note([])
    found = algae_spots(moments(same, blurred, same, quality=((1, "doubtful"),)))
    assert [values.get("") for values in found] == [pytest.approx(100 / 600), None, None]
    assert algae_spots(moments(same, blurred, same, quality=((1, "doubtful"),), events=(cleaning(1),)))[0] == {}


def test_photos_of_another_frame_and_without_dots_looked_for_are_not_compared():
    other = note([(5, 5)], np.ones((20, 20), bool))
    assert algae_spots(moments(note([(5, 5)]), other, None)) == ({}, {}, {})


@pytest.mark.parametrize(("kind", "text"), [
    ("upkeep", "wiped the front pane"), ("glass cleaning", ""), ("cleaning", ""), ("maintenance", "scraped algae off"),
    ("other", "Scrubbing the glass and the filter pipe"), ("water_change", "30 %, glass polished"),
])  # fmt: skip
def test_words_for_cleaning_the_glass_are_understood(kind, text):
    assert is_glass_cleaning(cleaning(0, kind, text))


@pytest.mark.parametrize(("kind", "text"), [
    ("water change", "30 % in every tank, after the photos."), ("filter", "sponge cleaned"), ("cleaning", "filter hoses"),
    ("other", "swiped a card"), ("note", "cleaner fish moved in the shop"),
])  # fmt: skip
def test_other_events_are_no_glass_cleaning(kind, text):
    assert not is_glass_cleaning(cleaning(0, kind, text))


@pytest.mark.as_it_was("a bound on one pair of rendered photos; benchmarks/bench_measures.py measures twelve, 2026-11-26")
def test_four_in_five_spots_of_a_rendered_tank_are_found_in_two_photos_that_follow_one_another():
    base = scenario("midday")
    trial = replace(base, growth=replace(base.growth, algae_start_pct=5.0))
    frame, zones = trial.frames[3], tuple(zone for zone in trial.zones if zone.unit == "T4")
    notes, truths = [], []
    for day in (14, 15):
        rendered = render_photo(trial, "T4", day, trial.photo_size)
        photo, truth = decoded_photo(rendered.jpeg_bytes(), "t.jpg"), rendered.truth
        seen = view_of(replace(frame, mode="fixed", corners=truth.corners), zones, photo)
        found = spot_candidates(photo.pixels, relative(truth.corners, 2048), seen)
        notes.append(SpotNote(found.places, found.radius_cm, np.ones((72, 90), bool), 1620.0))
        truths.append(truth.spots)
    there = truths[0][truths[0][:, 2] >= SPOT_CM][:, :2]
    dots = notes[0].places[confirmed(*notes)].astype(float)
    assert len(there) > 20
    assert (np.hypot(*(there[:, None] - dots[None]).transpose(2, 0, 1)).min(axis=1) <= 0.12).mean() >= 0.8
