"""Strokes: the next photo is chosen blind, what is sent is kept or refused with a sentence."""

import re

import pytest
from tests.records.photo_shelf import body_of, runs_of
from tests.web.measured_trial import _trial, page  # noqa: F401 - a fixture

BARS = ((0, 100, 100, 200, 110), (1, 300, 200, 400, 212), (2, 50, 300, 90, 320))


def _photo(trial, path="photos/T1-01.jpg"):
    from fairtank.records.models import Photo

    return Photo.objects.get(trial=trial, path=path)


def _send(asked, trial, body, to="store", path="photos/T1-01.jpg"):
    return asked.post(f"/trials/{trial.slug}/labels/{_photo(trial, path).pk}/{to}", body, content_type="application/json")


def test_what_was_painted_is_there_again_when_the_page_is_opened(asked, trial):
    runs = runs_of(640, 480, *BARS)
    assert _send(asked, trial, body_of(runs)).json() == {"said": "The strokes are kept."}
    text = page(asked, trial, f"labels/{_photo(trial).pk}/")
    assert f'"runs": {runs}' in text
    told = page(asked, trial, "labels/painted")
    assert "plant: 1 stroke, on 1 of the photos." in told
    assert "plant: 1 stroke, on 1 of the photos." in page(asked, trial, "labels/?counts=yes")
    assert _send(asked, trial, body_of([-1, 640 * 480])).json() == {"said": "This photo has no strokes now."}


@pytest.mark.parametrize("body", ["", "{}", "[]", '{"runs": 5}', '{"runs": ["a", 3]}', '{"runs": [0, 1e5]}', '{"runs": [true, 307200]}',
                                  '{"runs": [-1, 7]}', '{"runs": [9, 307200]}', "\x00", '{"runs": [[-1, 307200]]}', "[" * 5000])
def test_what_is_no_painting_is_refused_with_a_sentence_and_nothing_is_stored(asked, trial, body):
    from fairtank.records.models import Stroke

    answer = _send(asked, trial, body)
    assert answer.status_code == 422
    assert answer.json()["error"].startswith("The painting is")
    assert not Stroke.objects.exists()


def test_the_next_photo_is_one_of_the_arm_that_was_painted_less_and_the_page_tells_neither_tank_nor_day(asked, trial):
    _send(asked, trial, body_of(runs_of(640, 480, *BARS)))
    answer = asked.get(f"/trials/{trial.slug}/labels/next")
    assert answer["Location"].endswith(f"/labels/{_photo(trial, 'photos/T2-01.jpg').pk}/")
    text = asked.get(answer["Location"]).content.decode()
    main = text[text.index("<main"):]
    assert not re.search(r"\bT2\b|\bday \d|dark break\b(?!.at)", main.replace(trial.slug, ""))


def test_strokes_that_are_too_few_to_learn_from_are_told(asked, trial):
    answer = _send(asked, trial, body_of(runs_of(640, 480, BARS[0])), to="teach")
    assert answer.status_code == 422
    assert "stroke" in answer.json()["error"]


def test_a_photo_without_a_frame_cannot_be_taught(asked, trial):
    from fairtank.records.models import Frame
    from fairtank.records.services.framing import frame_remove
    from fairtank.records.services.trail import KEEPER

    for frame in Frame.objects.filter(trial=trial):
        frame_remove(trial=trial, frame=frame, by=KEEPER)
    answer = _send(asked, trial, body_of(runs_of(640, 480, *BARS)), to="teach")
    assert answer.json()["error"].startswith("T1 has no frame yet.")


def test_a_class_of_ones_own_is_added_and_one_that_cannot_be_is_refused(asked, trial):
    address = f"/trials/{trial.slug}/labels/class"
    assert asked.post(address, {"name": "moss", "counts_as": "plant", "colour": "#e69f00"}).status_code == 303
    assert "moss" in page(asked, trial, "labels/")
    for colour in ("#e69f00", "red", "#12345", "#"):
        answer = asked.post(address, {"name": "fern", "counts_as": "plant", "colour": colour})
        assert answer.status_code == 422
        assert 'value="fern"' in answer.content.decode()


def test_uneven_strokes_are_told_without_naming_an_arm(asked, trial):
    for path in ("photos/T1-01.jpg", "photos/T1-08.jpg"):
        _send(asked, trial, body_of(runs_of(640, 480, *BARS)), path=path)
    told = page(asked, trial, "labels/painted")
    assert "Strokes are spread unevenly over the arms: 2 painted photos in one, 0 in another." in told
    assert "no break" not in told
    assert "fairtank" not in told
