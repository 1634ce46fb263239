"""A film of a folder with photos: the right photos in the colours of the trial, all its files or none, and nothing before its time."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import cv2
import numpy as np
import pytest
from PIL import Image
from tests.publish.judged_trials import trial
from tests.records.photo_trials import START, Shape, photo_trial

from fairtank.errors import DesignError, PhotoError
from fairtank.inference import judge
from fairtank.publish.film.timeline import timeline_from
from fairtank.publish.film.wishes import FilmWishes
from fairtank.records.services.film_photos import FilmPhotos, chosen_photos
from fairtank.records.services.filming import codes_of, film_make
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.records.services.trials import trial_judge
from fairtank.records.store import Store
from fairtank.trial import Photo, PhotoQuality

TINY = FilmWishes(short_side_px=120, frames_per_second=24, seconds_per_day=0.2)
SQUARE = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))


@pytest.fixture(scope="module")
def judged(tmp_path_factory):
    """Two tanks, two days, judged when it was over."""
    root = photo_trial(tmp_path_factory.mktemp("film") / "trial", Shape(days=(0, 7), mode="fixed", painted=(("T1", 7),)))
    return trial_judge(root=root, out=root / "out", workers=1, today=START + timedelta(days=60))


@pytest.fixture
def photos(judged):
    return FilmPhotos(judged.folder, judged.measured, Store(judged.folder.root / ".fairtank"))


@pytest.fixture(scope="module")
def made(judged, tmp_path_factory):
    out = tmp_path_factory.mktemp("made")
    return film_make(judged=judged, out=out, wishes=TINY), out


def test_a_film_its_poster_its_stills_and_its_times_are_written(made):
    files, out = made
    names = sorted(place.name for place in (out / "film").iterdir())
    assert names == ["before-after.jpg", "film-wide-120px.jpg", "film-wide-120px.json", "film-wide-120px.mp4", "film-wide-120px.webp",
                     "tank-1-T1.jpg", "tank-2-T2.jpg"]
    assert {files.film, files.timeline_file, files.poster_jpg, files.poster_webp, files.before_after,
            *(place for _, place in files.pairs)} == set((out / "film").iterdir())
    with Image.open(files.poster_jpg) as poster, Image.open(files.poster_webp) as light:
        assert poster.size == light.size == files.size_px == (212, 120)
    assert [unit for unit, _ in files.pairs] == ["T1", "T2"]


def test_the_times_beside_the_film_are_those_of_the_film(made):
    import json

    files, _ = made
    assert timeline_from(json.loads(files.timeline_file.read_text())) == files.timeline
    assert files.timeline.days == (0, 7)


def test_a_trial_that_was_not_read_gives_no_film(judged, tmp_path):
    plan, series = trial()
    by_then = tuple(replace(one, days=one.days[:20], values=one.values[:20]) for one in series)
    early = replace(judged, findings=judge(plan, by_then, today=20))
    with pytest.raises(DesignError, match=r"A film is made once the trial has been read: .* nobody should see yet\. No finding yet: the "
                                          r"trial is not over; values reach day 19 of 42\. It is read on day 42, 2026-04-1"):
        film_make(judged=early, out=tmp_path, wishes=TINY, today=plan.start + timedelta(days=20))
    assert not list(tmp_path.iterdir())


def test_a_photo_is_shown_as_it_was_measured(judged, photos):
    """The small picture comes from what measuring kept; the large one from the photo itself, with the same frame and colours."""
    small, large = photos.picture("T1", 7, 280, 200), photos.picture("T1", 7, 1400, 1000)
    kept = photos._kept(next(photo for photo in judged.folder.photos if (photo.unit, photo.day) == ("T1", 7)))
    assert np.array_equal(small, cv2.resize(kept, (280, 200), interpolation=cv2.INTER_AREA))
    assert kept.shape[1] < 1400
    one, two = (cv2.resize(picture, (28, 20), interpolation=cv2.INTER_AREA).astype(int) for picture in (large, kept))
    assert np.abs(one - two).mean() < 1
    assert np.abs(one - np.roll(two, 1, axis=1)).mean() > 5, "a place further would be seen"


def test_a_photo_that_has_gone_is_shown_from_what_was_kept_and_refused_without_it(judged, photos, monkeypatch):
    def gone(path):
        raise PhotoError(f"{path.name} cannot be read: there is no such file or folder.")

    monkeypatch.setattr("fairtank.records.services.film_photos.photo_bytes", gone)
    assert photos.picture("T1", 0, 1400, 1000).shape == (1000, 1400, 3)
    monkeypatch.setattr(FilmPhotos, "_kept", lambda *_: None)
    with pytest.raises(PhotoError, match="cannot be read"):
        photos.picture("T2", 0, 1400, 1000)


def test_a_place_of_another_shape_shows_the_whole_frame(photos):
    """70 cm x 50 cm in a square: full width, standing on the floor, paper above."""
    picture = photos.picture("T1", 0, 140, 140)
    assert (picture[:39] == picture[0, 0]).all()
    assert not (picture[42] == picture[0, 0]).all()


def quality(photo, told, day=3, corners=SQUARE):
    return PhotoQuality(photo, "T1", day, told, (), corners, None, None, None, None, "1-a")


def test_the_best_photo_of_a_day_is_chosen_and_of_equally_good_ones_the_last(judged):
    noon = datetime(2026, 3, 4, 12)
    photos = tuple(Photo(name, "T1", noon + timedelta(minutes=minute), 3) for minute, name in enumerate("abcde"))
    told = {"a": "usable", "b": "usable", "c": "doubtful", "d": "not usable", "e": "usable"}
    qualities = tuple(quality(name, grade, corners=None if name == "e" else SQUARE) for name, grade in told.items())
    folder = replace(judged.folder, photos=photos)
    chosen = chosen_photos(folder, MeasuredTrial(qualities=qualities))
    assert {key: photo.path for key, (photo, _) in chosen.items()} == {("T1", 3): "b"}
    assert not chosen_photos(folder, MeasuredTrial(qualities=(quality("a", "usable", day=99),))), "outside the trial"
    alone = chosen_photos(folder, MeasuredTrial(qualities=(quality("c", "doubtful"),)))
    assert list(alone) == [("T1", 3)], "a doubtful photo is better than none"


def test_tanks_have_the_codes_of_their_cards_while_arms_are_hidden(judged):
    codes = codes_of(judged.folder)
    assert set(codes) == {"T1", "T2"}
    assert len(set(codes.values())) == 2
    many = tuple(replace(judged.folder.plan.units[0], key=f"T{number}") for number in range(200))
    numbered = codes_of(replace(judged.folder, plan=replace(judged.folder.plan, units=many)))
    assert sorted(map(int, numbered.values())) == list(range(1, 201))
    assert list(numbered) != [unit.key for unit in many], "the numbers do not follow the plan"


def test_days_are_those_of_the_trial(photos):
    assert [(one.unit, one.days, one.width_cm, one.height_cm) for one in photos.units()] == [("T1", (0, 7), 70.0, 50.0),
                                                                                         ("T2", (0, 7), 70.0, 50.0)]
    assert date(2026, 3, 1) == START
