"""When each day is shown."""

from itertools import pairwise

import pytest

from fairtank.errors import NotEnoughDataError
from fairtank.publish.film.timeline import SHOT_KINDS, timeline_from, timeline_json, timeline_of, usual_seconds_per_day

SIX_WEEKS = tuple(day for day in range(43) if day not in (12, 13, 14, 15, 30))


def film():
    return timeline_of(SIX_WEEKS, frames_per_second=30, open_s=(3.0,), close_s=(5.0,), has_reveal=True)


def test_shots_follow_each_other_without_a_hole():
    shots = film().shots
    assert shots[0].first_frame == 0
    assert all(after.first_frame == before.first_frame + before.frames for before, after in pairwise(shots))
    assert sum(shot.frames for shot in shots) == film().frames
    assert {shot.kind for shot in shots} == set(SHOT_KINDS)


def test_the_first_and_the_last_day_stand_for_two_seconds():
    holds = [shot for shot in film().shots if shot.kind == "hold"]
    assert [(shot.day, shot.frames) for shot in holds] == [(0, 60), (42, 60)]


def test_days_without_any_photo_are_gaps_with_their_first_and_last_day():
    gaps = [(shot.day, shot.until) for shot in film().shots if shot.kind == "gap"]
    assert gaps == [(12, 15), (30, 30)]


def test_every_day_with_a_photo_is_shown_once():
    assert film().days == SIX_WEEKS


def test_a_trial_of_six_weeks_takes_twenty_to_twenty_five_seconds():
    assert 20 <= timeline_of(tuple(range(43)), frames_per_second=30, open_s=(3.0,), close_s=(5.0,)).seconds <= 25


def test_a_day_is_reached_when_its_shot_begins_and_a_day_in_a_gap_when_the_gap_begins():
    told = film()
    by_day = {shot.day: shot for shot in told.shots if shot.kind in ("day", "gap")}
    assert told.seconds_of_day(20) == by_day[20].first_frame / 30
    assert told.seconds_of_day(14) == by_day[12].first_frame / 30
    assert told.seconds_of_day(-3) == told.seconds_of_day(0) == 3.0
    assert told.seconds_of_day(99) == told.seconds_of_day(42)
    times = [told.seconds_of_day(day) for day in range(43)]
    assert times == sorted(times)


def test_a_dissolve_takes_about_a_quarter_of_a_day_and_the_end_leads_nowhere():
    told = timeline_of((0, 1, 2), frames_per_second=20, seconds_per_day=1.0)
    assert [shot.dissolve for shot in told.shots] == [5, 5, 0]


def test_one_day_is_held_once():
    assert [(shot.kind, shot.day) for shot in timeline_of((7,), frames_per_second=30).shots] == [("hold", 7)]


def test_what_was_written_down_is_read_again():
    assert timeline_from(timeline_json(film())) == film()


def test_more_days_leave_less_time_for_each_within_bounds():
    times = [usual_seconds_per_day(range(days)) for days in (2, 21, 43, 90, 400)]
    assert times == sorted(times, reverse=True)
    assert times[0] == 0.6
    assert times[-1] == 0.15


def test_without_a_photo_there_is_no_film():
    with pytest.raises(NotEnoughDataError, match="nothing to show in a film"):
        timeline_of((), frames_per_second=30)
