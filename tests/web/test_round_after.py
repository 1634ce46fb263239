"""After a round: its photos are measured where the glass is known in them, and the trial's page says what they wait for."""

from datetime import timedelta

from tests.web.round_trials import NOW, _asked, _taken_in, photo_bytes  # noqa: F401 - fixtures
from tests.web.test_round import ROUND, SimpleUploadedFile, send, shoot

CORNERS = [[2, 2], [62, 2], [62, 46], [2, 46]]


def frame(unit):
    """A frame of a tank, in a photo of an earlier day."""
    from fairtank.records.models import Frame, Photo, Trial

    trial = Trial.objects.get(slug="small")
    tank = trial.units.get(key=unit)
    photo = Photo.objects.create(trial=trial, unit=tank, path=f"photos/{unit}-9-1.jpg", taken_at=NOW - timedelta(days=3), day=9,
                                 sha256="0" * 64, size_bytes=9, width_px=64, height_px=48)
    return Frame.objects.create(trial=trial, unit=tank, reference_photo=photo, mode="fixed", view="front", corners=CORNERS, width_cm=60,
                                height_cm=44)


def kinds():
    from fairtank.records.models import Job

    return list(Job.objects.values_list("kind", "state"))


def test_a_round_without_any_frame_measures_nothing_and_the_frames_come_next(asked):
    shoot(asked, photo_bytes())
    send(asked, [], end=True)
    assert kinds() == []
    page = " ".join(asked.get("/trials/small/").content.decode().split())
    assert "1 photo waits for a frame" in page
    assert '<a class="button" href="/trials/small/frame/">Draw the frames</a>' in page


def test_a_round_with_a_photo_of_a_framed_tank_is_measured_once_it_is_over(asked):
    frame("T1")
    shoot(asked, photo_bytes())
    assert kinds() == []
    send(asked, [], end=True)
    assert kinds() == [("measure", "waiting")]
    assert "Measuring the photos" in asked.get("/trials/small/").content.decode()
    shoot(asked, photo_bytes(91), entry="abc-p-2")
    assert kinds() == [("measure", "waiting")]


def test_a_round_with_photos_of_other_tanks_than_the_framed_one_is_not_measured(asked):
    frame("T2")
    shoot(asked, photo_bytes())
    send(asked, [], end=True)
    assert kinds() == []


def test_a_round_sent_as_a_plain_form_is_measured_too(asked):
    frame("T1")
    asked.post(ROUND, {"round": "k" * 24, "day": "2026-03-13", "photo-0": SimpleUploadedFile("a.jpg", photo_bytes())})
    assert kinds() == [("measure", "waiting")]


def test_only_a_photo_whose_time_is_doubted_is_offered_the_time_of_the_round(asked):
    shoot(asked, photo_bytes())
    twin = shoot(asked, photo_bytes(), entry="abc-p-2")
    assert (twin.status_code, twin.json()["of_time"], twin.json()["of_file"]) == (422, False, True)
    late = shoot(asked, photo_bytes(92), entry="abc-p-3", at="2027-03-13T18:22:00", noted="2026-03-13T18:22:00")
    assert (late.status_code, late.json()["of_time"], late.json()["of_file"]) == (422, True, False)
