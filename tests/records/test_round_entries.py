"""What a round enters: checked as a folder's rows are, stored once however often it comes, changed, taken back and brought back."""

from datetime import date, datetime, timedelta
from io import BytesIO

import pytest
from tests.web.round_site import folder_write

from fairtank.errors import DesignError, InputError, PhotoError

NOW = datetime(2026, 3, 13, 18, 30)


@pytest.fixture(scope="module")
def made(_database, tmp_path_factory):
    """Running trials on one shelf, taken in once for all tests of this file: today is day 12 of them."""
    from django.conf import settings
    from django.db import transaction

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    root, kept = tmp_path_factory.mktemp("round"), {}

    def taken(name="one", **more):
        if name not in kept:
            kept[name] = trial_import(root=folder_write(root / name, today=NOW.date(), **more), by=KEEPER).pk
        return kept[name]

    with pytest.MonkeyPatch.context() as patch, transaction.atomic():
        patch.setattr(settings, "DATA", root / "data")
        (root / "data" / "photos").mkdir(parents=True)
        for name, more in (("one", {}), ("two", {"units": ("A1", "A2"), "blinded": True}), ("three", {"schedule": ""})):
            taken(name, **more)
        yield taken
        transaction.set_rollback(True)


@pytest.fixture
def make(made):
    """Hands out one of the trials; what a test stores is gone afterwards."""
    from django.db import transaction

    from fairtank.records.models import Trial

    with transaction.atomic():
        yield lambda name="one": Trial.objects.get(pk=made(name))
        transaction.set_rollback(True)


@pytest.fixture
def trial(make):
    return make()


def entering(trial, entry=None, **more):
    from fairtank.records.services.entries import Entering
    from fairtank.records.services.trail import By

    return Entering(trial, By("phone 1"), more.pop("now", NOW), entry, **more)


def read(trial, value="24.9", entry=None, *, unit="T1", quantity="temperature", measured="°C", at=NOW, sure=False, **more):
    from fairtank.records.services.readings import reading_add

    return reading_add(who=entering(trial, entry, **more), unit=unit, quantity=quantity, value=value, unit_of_measure=measured, taken_at=at,
                       sure=sure)


def photo_bytes(shade=90, taken_at=None):
    from PIL import Image

    image, target = Image.new("RGB", (64, 48), (shade, 120, 60)), BytesIO()
    exif = Image.Exif()
    if taken_at:
        exif.get_ifd(0x8769)[0x9003] = f"{taken_at:%Y:%m:%d %H:%M:%S}"
    image.save(target, "JPEG", exif=exif)
    return target.getvalue()


def shoot(trial, content, entry=None, *, unit="T1", at=NOW, **more):
    from fairtank.records.services.photos import photo_add

    return photo_add(who=entering(trial, entry), unit=unit, content=content, name="a.jpg", taken_at=at, **more)


def said_last(trial):
    return trial.trail.first().said


def test_a_reading_is_stored_with_its_day_its_round_and_a_line_in_the_trail(trial):
    before = trial.revision
    row = read(trial, "24,9", "k-1").row
    assert (row.value, row.day, row.unit.key, row.taken_at) == (24.9, 12, "T1", NOW)
    assert said_last(trial) == "Read temperature 24.9 °C in T1."
    assert trial.revision == before + 1


def test_the_same_key_twice_is_stored_once_and_answered_the_same(trial):
    from fairtank.records.models import Reading

    count = Reading.objects.count()
    first, again = read(trial, "24.9", "k-1"), read(trial, "24.9", "k-1", at=NOW + timedelta(minutes=3))
    assert (first.what, again.what, again.row.pk) == ("new", "same", first.row.pk)
    assert Reading.objects.count() == count + 1


def test_the_same_key_with_another_value_puts_it_right_and_keeps_what_was_there(trial):
    first, again = read(trial, "24.9", "k-1"), read(trial, "24.8", "k-1")
    assert (again.what, again.row.pk, again.row.value) == ("changed", first.row.pk, 24.8)
    assert trial.trail.first().before["value"] == 24.9


def test_two_phones_that_read_the_same_are_both_kept_and_told(trial):
    from fairtank.records.services.rounds import round_begin
    from fairtank.records.services.trail import KEEPER

    one, two = (round_begin(trial=trial, by=KEEPER, key=key, day=12, today=NOW.date()) for key in ("a", "b"))
    read(trial, "24.9", "a-1", round=one)
    stored = read(trial, "24.7", "b-1", round=two)
    assert [row.value for row in stored.beside] == [24.9]


def test_below_detection_is_typed_with_a_sign(trial):
    row = read(trial, "<0,5", quantity="nitrate", measured="mg/L").row
    assert (row.value, row.below_detection) == (0.5, True)


def test_a_unit_behind_the_number_is_turned_into_that_of_the_field(trial):
    assert read(trial, "77 °F").row.value == pytest.approx(25)


@pytest.mark.parametrize(("value", "more", "match"), [
    ("", {}, "A value is missing"),
    ("warm", {}, "Warm is not a number"),
    ("6.x", {}, "6.x cannot be taken as a value; accepted: a number in °C"),
    ("24.9", {"unit": "T9"}, "T9 is not a unit of this trial; accepted: T1, T2"),
    ("24.9", {"quantity": ""}, "What was read is missing"),
    ("15", {"quantity": "ph", "measured": ""}, "15 cannot be a value of ph; accepted: a number from 0 to 14"),
    ("24.9", {"quantity": "t" * 101}, "too long; accepted: at most 100 characters"),
    ("24.9", {"at": NOW + timedelta(days=3)}, "has not come yet"),
    ("24.9", {"at": NOW - timedelta(days=200), "now": NOW - timedelta(days=200)}, "far from the days of the trial"),
])
def test_bad_readings_are_refused_with_what_is_accepted(trial, value, more, match):
    from fairtank.records.models import Reading
    from fairtank.records.services.entries import EntryError

    count = Reading.everything.count()
    with pytest.raises(EntryError, match=match):
        read(trial, value, **more)
    assert Reading.everything.count() == count


def test_a_doubtful_value_is_asked_about_and_stored_where_somebody_is_sure(trial):
    from fairtank.records.services.entries import DoubtfulError

    with pytest.raises(DoubtfulError, match=r"7\.7 °C\? The last was 24\.6, on day 9\."):
        read(trial, "7.7", "k-1")
    assert read(trial, "7.7", "k-1", sure=True).what == "new"
    assert read(trial, "7.7", "k-1").what == "same", "nothing is asked twice"


def test_a_value_unlike_any_tank_is_asked_about_though_there_is_none_before(trial):
    from fairtank.records.services.entries import DoubtfulError

    with pytest.raises(DoubtfulError, match=r"110 dKH\?.*unusual"):
        read(trial, "110", quantity="kh", measured="dKH")


def test_another_day_than_today_needs_a_reason_which_is_kept(trial):
    from fairtank.records.services.entries import EntryError

    with pytest.raises(EntryError, match="Say in a few words why it comes later"):
        read(trial, at=NOW - timedelta(days=2))
    assert read(trial, at=NOW - timedelta(days=2), late_reason="on paper").row.day == 10
    assert said_last(trial) == "Read temperature 24.9 °C in T1. Entered later: on paper"


def test_a_unit_of_another_trial_is_not_one_of_this(make):
    from fairtank.records.services.entries import EntryError

    one, _ = make("one"), make("two")
    with pytest.raises(EntryError, match="A1 is not a unit of this trial"):
        read(one, unit="A1")


def test_a_round_of_another_trial_is_refused(make):
    from fairtank.records.services.rounds import round_begin
    from fairtank.records.services.trail import KEEPER

    one, two = make("one"), make("two")
    other = round_begin(trial=two, by=KEEPER, key="a", day=12, today=NOW.date())
    with pytest.raises(InputError, match="the round is one of another trial"):
        read(one, round=other)


def test_a_finished_trial_takes_nothing_in(trial):
    from django.utils import timezone

    trial.closed_at = timezone.now()
    trial.save()
    for write in (lambda: read(trial), lambda: shoot(trial, photo_bytes())):
        with pytest.raises(DesignError, match="was finished on"):
            write()


def test_a_reading_can_be_changed_taken_back_and_brought_back(trial):
    from fairtank.records.models import Reading
    from fairtank.records.services.entries import entry_bring_back, entry_change, entry_take_back
    from fairtank.records.services.trail import KEEPER

    row = read(trial, "24.9", "k-1").row
    row = entry_change(row=row, field="readings", by=KEEPER, cells={"value": "24.5"}, reason="misread")
    assert (row.value, trial.trail.first().before["value"]) == (24.5, 24.9)
    entry_take_back(row=row, field="readings", by=KEEPER)
    assert not Reading.objects.filter(pk=row.pk).exists()
    assert read(trial, "24.9", "k-1").row.removed_at is not None, "what was taken back stays away"
    row.refresh_from_db()
    assert entry_bring_back(row=row, field="readings", by=KEEPER).removed_at is None


def test_the_folder_with_what_was_entered_is_in_order(trial):
    from fairtank.records.folder import read_folder
    from fairtank.records.services.chores import chore_done_add
    from fairtank.records.services.events import event_add
    from fairtank.records.services.working import opened

    read(trial, "24,9")
    chore_done_add(who=entering(trial), unit="T1", chore="feed", due_day=12, done_at=NOW)
    event_add(who=entering(trial), units=["T1"], at=NOW, note="A snail,\r\n\x07on \"the\" glass \ud800")
    with opened(trial) as root:
        folder = read_folder(root)
    assert (folder.readings[-1].value, folder.readings[-1].day) == (24.9, 12)
    assert (folder.chores_done[0].amount, folder.chores_done[0].due_day) == (2.0, 12)
    assert folder.events[0].note == 'A snail,\n on "the" glass ?'


def test_a_photo_is_kept_without_its_place_and_by_its_own_clock(trial):
    row = shoot(trial, photo_bytes(taken_at=datetime(2026, 3, 11, 9, 5))).row
    assert (row.path, row.day, row.taken_at, row.width_px) == ("photos/T1-10-1.jpg", 10, datetime(2026, 3, 11, 9, 5), 64)
    other = shoot(trial, photo_bytes(91, taken_at=datetime(2019, 1, 1)), camera_clock=False).row
    assert other.taken_at == NOW


def test_the_same_photo_again_is_taken_as_done_with_its_key_and_refused_without(trial):
    first = shoot(trial, photo_bytes(), "k-1")
    assert (shoot(trial, photo_bytes(), "k-1").what, first.what) == ("same", "new")
    with pytest.raises(PhotoError, match=r"a\.jpg is in this trial already, as the photo of T1 on day 12"):
        shoot(trial, photo_bytes(), "k-2", unit="T2")
    with pytest.raises(PhotoError, match="came under the key of another photo"):
        shoot(trial, photo_bytes(7), "k-1")


def test_photos_of_one_tank_and_day_are_numbered_also_after_one_was_taken_back(trial):
    from fairtank.records.services.entries import entry_take_back
    from fairtank.records.services.trail import KEEPER

    entry_take_back(row=shoot(trial, photo_bytes()).row, field="photos", by=KEEPER)
    assert shoot(trial, photo_bytes()).row.path == "photos/T1-12-2.jpg", "bytes that were taken back may come again"


def test_a_photo_on_which_a_frame_rests_stays(trial):
    from fairtank.records.models import Frame
    from fairtank.records.services.entries import entry_take_back
    from fairtank.records.services.photos import photo_change
    from fairtank.records.services.trail import KEEPER

    row = shoot(trial, photo_bytes()).row
    moved = photo_change(row=row, by=KEEPER, unit="T2", taken_at=NOW)
    assert (moved.path, moved.unit.key) == ("photos/T2-12-1.jpg", "T2")
    Frame.objects.create(trial=trial, unit=moved.unit, reference_photo=moved, mode="fixed", view="front", width_cm=60, height_cm=36,
                         corners=[[0, 0], [60, 0], [60, 40], [0, 40]])
    with pytest.raises(DesignError, match="a frame was drawn on it"):
        entry_take_back(row=moved, field="photos", by=KEEPER)


@pytest.mark.parametrize(("content", "match"), [(b"", "is empty"), (b"GIF89a" + b"0" * 64, "accepted"),
                                                (photo_bytes()[:300], "cut off|read")])
def test_what_is_no_whole_photo_is_refused(trial, content, match):
    with pytest.raises(PhotoError, match=match):
        shoot(trial, content)


def test_a_deviation_needs_its_reason_and_real_tanks(trial):
    from fairtank.records.services.entries import EntryError
    from fairtank.records.services.events import event_add

    with pytest.raises(EntryError, match="A reason is missing"):
        event_add(who=entering(trial), units=["T1"], at=NOW, kind="failure", effect="exclude_window")
    with pytest.raises(EntryError, match="Nothing is written yet"):
        event_add(who=entering(trial), units=[], at=NOW, note="  ")
    with pytest.raises(EntryError, match="T9 is not a tank of this trial"):
        event_add(who=entering(trial), units=["T9"], at=NOW, note="gone")
    with pytest.raises(EntryError, match="lies before the event begins"):
        event_add(who=entering(trial), units=["T1"], at=NOW, until=NOW - timedelta(days=1), note="lamp out", effect="exclude_window")
    row = event_add(who=entering(trial), units=["T1"], at=NOW, until=NOW + timedelta(days=1), note="lamp out", effect="exclude_window").row
    assert (row.units, row.effect, row.day) == (["T1"], "exclude_window", 12)


def test_a_round_is_begun_and_ended_once(trial):
    from django.utils import timezone

    from fairtank.records.models import Round
    from fairtank.records.services.entries import EntryError
    from fairtank.records.services.rounds import minutes_of, round_begin, round_end
    from fairtank.records.services.trail import KEEPER

    begun = timezone.now() - timedelta(minutes=6)
    one = round_begin(trial=trial, by=KEEPER, key="a", day=12, today=NOW.date(), begun_at=begun)
    assert round_begin(trial=trial, by=KEEPER, key="a", day=12, today=NOW.date()).pk == one.pk
    assert minutes_of(one) == 0
    ended = round_end(trial=trial, by=KEEPER, key="a")
    assert minutes_of(ended) == pytest.approx(6, abs=0.1)
    assert round_end(trial=trial, by=KEEPER, key="a", ended_at=timezone.now() + timedelta(hours=1)).ended_at == ended.ended_at
    with pytest.raises(EntryError, match="of day 10, and today is day 12"):
        round_begin(trial=trial, by=KEEPER, key="b", day=10, today=NOW.date())
    assert round_begin(trial=trial, by=KEEPER, key="b", day=10, today=NOW.date(), late_reason="on paper").late_reason == "on paper"
    for day, match in ((13, "has not come yet"), (-90, "far from the days")):
        with pytest.raises(EntryError, match=match):
            round_begin(trial=trial, by=KEEPER, key="c", day=day, today=NOW.date(), late_reason="x")
    with pytest.raises(InputError, match="the round is not there"):
        round_end(trial=trial, by=KEEPER, key="z")
    assert Round.objects.filter(trial=trial).count() == 2


def test_a_reading_of_a_measure_of_the_plan_fits_the_others_of_it(make):
    from fairtank.records.models import Document
    from fairtank.records.services.entries import EntryError

    trial = make()
    plan = Document.objects.get(trial=trial, path="trial.toml")
    plan.content = bytes(plan.content) + b'[[measure]]\nkey = "nitrate"\nunit_of_measure = "mg/L"\n'
    plan.save()
    assert read(trial, "5", quantity="nitrate", measured="mg/L").what == "new"
    with pytest.raises(EntryError, match="cannot be turned into"):
        read(trial, "5", quantity="nitrate", measured="dKH")
    with pytest.raises(EntryError, match="other rows of nitrate have"):
        read(trial, "5", quantity="nitrate", measured="")


def test_what_is_due_is_what_the_days_ask_for_and_was_not_done(trial):
    from fairtank.records.selectors.due import due_of
    from fairtank.records.services.chores import chore_done_add

    due = due_of([trial], NOW.date())[0]
    assert [state.task.chore.key for state in due.left] == ["photos", "tests", "feed"]
    assert [(state.task.chore.key, state.task.day) for state in due.overdue] == [("glass", 10)]
    read(trial, "24.9")
    read(trial, "24.8", unit="T2")
    shoot(trial, photo_bytes())
    for unit in ("T1", "T2"):
        chore_done_add(who=entering(trial), unit=unit, chore="glass", due_day=10, done_at=NOW)
    due = due_of([trial], NOW.date())[0]
    assert [(state.task.chore.key, state.left) for state in due.left] == [("photos", ("T2",)), ("feed", ("T1", "T2"))]
    assert due.overdue == ()


def test_what_is_due_is_what_the_whole_schedule_says(trial):
    """The short way over the tasks around a day, and all tasks, give the same list on every day."""
    from fairtank.planning.schedule.days import day_list
    from fairtank.planning.schedule.tasks import Doings
    from fairtank.records.planned import planned_of

    planned = planned_of(trial)
    for day in range(-3, 45):
        short, whole = (day_list(tasks, Doings(), day) for tasks in (planned.tasks_around(day), planned.tasks(Doings())))
        assert (short.today, short.overdue) == (whole.today, whole.overdue)
        assert {state.task.chore.key for state in short.ahead} == {state.task.chore.key for state in whole.ahead}


def test_the_last_value_is_that_of_each_tank_and_quantity_before_the_day(trial):
    from fairtank.records.selectors.rounds import last_values

    read(trial, "25.5")
    lasts = last_values(trial, 12, ("T1", "T2"), ("temperature", "ph"))
    assert {key: (round(last.value, 1), last.day) for key, last in lasts.items()} == {
        ("T1", "temperature"): (24.6, 9), ("T1", "ph"): (6.8, 9), ("T2", "temperature"): (24.7, 9), ("T2", "ph"): (6.9, 9)}
    assert last_values(trial, 13, ("T1", "T2"), ("temperature", "ph"))["T1", "temperature"].value == 25.5


def test_a_last_value_is_found_behind_any_number_of_later_ones_of_others(trial):
    from fairtank.records.models import Reading, Unit
    from fairtank.records.selectors.rounds import last_values

    own = {"trial": trial, "unit": Unit.objects.get(trial=trial, key="T1"), "quantity": "temperature", "day": 11}
    Reading.objects.bulk_create(Reading(**own, value=20 + number / 1000, taken_at=NOW - timedelta(days=1, seconds=number))
                                for number in range(900))
    lasts = last_values(trial, 12, ("T1", "T2"), ("temperature", "ph"))
    assert {key: (round(last.value, 1), last.day) for key, last in lasts.items()} == {
        ("T1", "temperature"): (20.0, 11), ("T1", "ph"): (6.8, 9), ("T2", "temperature"): (24.7, 9), ("T2", "ph"): (6.9, 9)}


def test_the_tanks_come_in_the_order_of_planting_and_tell_no_arm_where_the_plan_is_blinded(make):
    from fairtank.records.selectors.rounds import round_sheet

    assert [unit.arm for unit in round_sheet(make("one"), NOW.date()).units] == ["no break", "dark break"]
    assert [unit.arm for unit in round_sheet(make("two"), NOW.date()).units] == ["", ""]
    assert round_sheet(make("three"), date(2026, 3, 13)).planned.is_proposed
