"""Seats at the blind table: what is drawn, what an answer stores, what a link opens."""

from collections import Counter
from datetime import timedelta

import pytest
from tests.records.photo_trials import Shape, photo_trial

from fairtank.errors import DesignError, InputError
from fairtank.records.seat_tasks import Shot, pair_tasks, score_tasks

SHOTS = [Shot(100 * unit + day, f"T{unit}", day) for unit in range(1, 7) for day in range(0, 40, 2)]
UNIT = {shot.key: shot.unit for shot in SHOTS}
DAY = {shot.key: shot.day for shot in SHOTS}
EYES = '\n[[measure]]\nkey = "algae_by_eye"\ntitle = "algae by eye"\n\n[[measure]]\nkey = "more_algae"\ntitle = "more algae"\n'


def test_every_unit_is_scored_equally_often_and_one_photo_in_eight_comes_twice():
    tasks = score_tasks(SHOTS, 48, 7)
    shown = Counter(task[0] for task in tasks)
    assert len(shown) == 48
    assert len(tasks) == 54
    assert set(shown.values()) == {1, 2}
    assert set(Counter(UNIT[key] for key in shown).values()) == {8}


def test_units_and_days_are_spread_over_the_whole_order():
    order = [task[0] for task in score_tasks(SHOTS, 48, 7)]
    first = Counter(UNIT[key] for key in order[:18])
    assert set(first.values()) == {3}  # turns of one photo of each unit
    days = [sum(DAY[key] for key in part) / len(part) for part in (order[:27], order[27:])]
    assert abs(days[0] - days[1]) < 10


def test_a_repeat_comes_long_after_its_first_time():
    for seed in range(30):
        order = [task[0] for task in score_tasks(SHOTS, 48, seed)]
        gaps = [len(order) - 1 - order[::-1].index(key) - order.index(key) for key, times in Counter(order).items() if times == 2]
        assert len(gaps) == 6
        assert min(gaps) >= 10


def test_all_people_see_the_same_photos_each_in_an_order_of_their_own():
    one, other = score_tasks(SHOTS, 30, 1), score_tasks(SHOTS, 30, 2)
    assert set(one) == set(other)
    assert one != other
    assert one == score_tasks(SHOTS, 30, 1)
    more = [*SHOTS, *(Shot(100 * unit + 50, f"T{unit}", 50) for unit in range(1, 7))]
    later = score_tasks(more, 30, 3, before=frozenset(task[0] for task in one))
    assert set(later) == set(one)


def test_every_two_units_are_compared_equally_often_on_about_the_same_day():
    tasks = pair_tasks(SHOTS, 30, 5, 11)
    pairs = Counter(frozenset(map(UNIT.get, task)) for task in {tuple(sorted(task)) for task in tasks})
    assert len(pairs) == 15
    assert set(pairs.values()) == {2}
    assert all(abs(DAY[a] - DAY[b]) <= 7 for a, b in tasks)
    first = [task for place, task in enumerate(tasks) if task[::-1] not in tasks[:place]]
    left = Counter(UNIT[task[0]] for task in first)
    assert len(first) == 30
    assert max(left.values()) - min(left.values()) <= 3


def test_repeated_pairs_change_sides():
    tasks = pair_tasks(SHOTS, 30, 5, 11)
    twice = [task for task in tasks if task[::-1] in tasks]
    assert len(tasks) == 34
    assert len(twice) == 8
    assert len(set(tasks)) == 34


def test_many_units_are_compared_in_a_ring_that_holds_all_of_them_together():
    shots = [Shot(unit, f"U{unit}", 3) for unit in range(40)]
    tasks = pair_tasks(shots, 120, 5, 11)
    times = Counter(key for task in {tuple(sorted(task)) for task in tasks} for key in task)
    assert len(times) == 40
    assert set(times.values()) == {6}


def test_photos_more_than_a_week_apart_are_not_compared():
    assert pair_tasks([Shot(1, "T1", 0), Shot(2, "T2", 8)], 10, 1, 1) == ()


@pytest.fixture(name="root", scope="module")
def _root(tmp_path_factory):
    root = photo_trial(tmp_path_factory.mktemp("seats") / "t", Shape(days=(0, 7, 14, 21), painted=(), mode="fixed", shrink=5))
    plan = (root / "trial.toml").read_text(encoding="utf-8")
    (root / "trial.toml").write_text(plan + EYES, encoding="utf-8")
    return root


@pytest.fixture(name="trial")
def _trial(shelf, root):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=root, by=KEEPER)


def seat_for(trial, rater="Mira", measure="algae_by_eye", way="score", **more):
    from fairtank.records.services.seats import SeatWanted, seat_make
    from fairtank.records.services.trail import KEEPER

    return seat_make(trial=trial, by=KEEPER, wanted=SeatWanted(measure, way, rater, **{"count": 8, **more}), seed=3)


def give(seat, token, answer):
    from fairtank.records.services.scoring import answer_give
    from fairtank.records.services.trail import By

    return answer_give(seat=seat, token=token, answer=answer, by=By(seat.rater))


def test_an_answer_is_stored_once_put_right_and_taken_back(trial):
    from fairtank.records.models import Score
    from fairtank.records.services.scoring import answer_undo
    from fairtank.records.services.trail import KEEPER

    seat = seat_for(trial)
    first, second = seat.tasks[0], seat.tasks[1]
    for answer in ("3", "3", "4"):
        give(seat, first[0], answer)
    assert list(Score.objects.values_list("photo", "rater", "measure", "value")) == [(first[1], "Mira", "algae_by_eye", 4.0)]
    assert give(seat, second[0], "9").done == 2
    assert answer_undo(seat=seat, by=KEEPER).next.token == second[0]
    assert give(seat, second[0], "1").done == 2
    assert list(Score.objects.values_list("value", flat=True)) == [4.0, 1.0]
    assert Score.everything.count() == 2


@pytest.mark.parametrize("answer", ["", "11", "-1", "a", "٣", "3.5", "1e1"])
def test_an_answer_that_is_no_step_is_refused(trial, answer):
    seat = seat_for(trial)
    with pytest.raises(InputError, match="the answer is none that is known; accepted: a step from 0 to 10"):
        give(seat, seat.tasks[0][0], answer)


def test_answers_are_rows_of_the_folder_that_is_judged(trial):
    from fairtank.records.rows.door import text_of_rows

    seat, pairs = seat_for(trial), seat_for(trial, measure="more_algae", way="pairs", rater="Jon")
    revision = trial.revision
    give(seat, seat.tasks[0][0], "3")
    give(pairs, pairs.tasks[0][0], "same")
    assert text_of_rows(trial, "scores").splitlines()[1].endswith(",algae_by_eye,Mira,3")
    assert text_of_rows(trial, "pairs").splitlines()[1].startswith("more_algae,Jon,photos/")
    trial.refresh_from_db()
    assert trial.revision == revision + 2


def test_a_link_opens_one_seat_until_it_is_over_taken_back_or_made_anew(trial):
    from django.utils import timezone

    from fairtank.records.selectors.seats import seat_of_secret
    from fairtank.records.services.seats import seat_close, seat_link_end, seat_link_make, seat_open_again
    from fairtank.records.services.trail import KEEPER

    seat = seat_for(trial)
    secret = seat_link_make(seat=seat, by=KEEPER)
    assert len(secret) >= 43
    assert secret not in str(vars(seat))
    assert seat_of_secret(secret) == seat
    again = seat_link_make(seat=seat, by=KEEPER)
    assert seat_of_secret(secret) is None
    assert seat_of_secret(again) == seat
    assert seat_of_secret("") is None
    seat_close(seat=seat, by=KEEPER)
    assert seat_of_secret(again) is None
    with pytest.raises(DesignError, match="This seat was ended"):
        give(seat, seat.tasks[0][0], "3")
    seat_open_again(seat=seat, by=KEEPER)
    assert seat_of_secret(again) == seat
    type(seat).objects.filter(pk=seat.pk).update(expires_at=timezone.now() - timedelta(seconds=1))
    assert seat_of_secret(again) is None
    seat_link_end(seat=seat, by=KEEPER)
    assert seat_of_secret(again) is None


def test_a_photo_that_is_taken_away_is_not_waited_for(trial):
    from fairtank.records.models import Photo
    from fairtank.records.selectors.seats import standing_of
    from fairtank.records.selectors.unscored import seats_left
    from fairtank.records.services.photo_removal import photo_remove
    from fairtank.records.services.trail import KEEPER

    seat = seat_for(trial)
    gone = Photo.objects.exclude(path__endswith="-00.jpg").filter(pk__in=[task[1] for task in seat.tasks]).first()  # -00: of the frames
    photo_remove(trial=trial, photo=gone, by=KEEPER)
    while (task := standing_of(seat).next) is not None:
        give(seat, task.token, "2")
    seat.refresh_from_db()
    assert gone.pk not in {task[1] for task in seat.tasks}
    assert seats_left(trial) == ()


def test_scores_and_choices_are_not_mixed_and_a_name_sits_once(trial):
    seat_for(trial)
    with pytest.raises(DesignError, match="judged the other way already"):
        seat_for(trial, way="pairs", rater="Jon")
    with pytest.raises(InputError, match="one that has no seat for this measure yet"):
        seat_for(trial)


@pytest.mark.parametrize(("more", "said"), [
    ({"measure": "plant_cover"}, "the measure is plant_cover; accepted: a measure of the plan that no photo and no test gives"),
    ({"rater": "  "}, "the name is missing"), ({"count": 1}, "how many photos is 1; accepted: 2 to 600"), ({"top": 7}, "the scale is 7"),
    ({"question": "x" * 201}, "the question is 201 characters long; accepted: at most 200 characters"),
    ({"way": "best"}, "is best; accepted"),
])  # fmt: skip
def test_a_seat_that_cannot_be_used_is_refused(trial, more, said):
    with pytest.raises(InputError, match=said):
        seat_for(trial, **more)


def test_how_far_people_agree_is_told_when_all_have_finished(trial):
    from fairtank.records.planned import planned_of
    from fairtank.records.selectors.seats import agreed_of, measures_by_eye, standing_of

    plan = planned_of(trial).plan
    blinded = type(plan)(**{**vars(plan), "blinded": True})
    for rater in ("Mira", "Jon"):
        seat = seat_for(trial, rater=rater)
        while (task := standing_of(seat).next) is not None:
            assert rater == "Mira" or agreed_of(trial, blinded, measures_by_eye(trial, blinded)[0]) is None
            give(seat, task.token, str(task.photos[0] % 7))
    found = agreed_of(trial, blinded, measures_by_eye(trial, blinded)[0])
    assert found.eyes.alpha == 1.0
    assert found.eyes.raters == 2
    assert [own.same_share for own in found.eyes.alone] == [1.0, 1.0]
