"""The strip wall, two photos side by side, one photo and its pictures."""

import json
import re
from datetime import datetime, timedelta
from io import BytesIO

import pytest
from tests.web.measured_trial import _trial, page, queries  # noqa: F401 - a fixture


def _data(text):
    return json.loads(re.search(r'<script id="wall-data" type="application/json">(.*?)</script>', text, re.S)[1])


def _photo(trial, path="photos/T1-01.jpg"):
    from fairtank.records.models import Photo

    return Photo.everything.get(trial=trial, path=path)


def test_the_wall_holds_every_photo_with_its_day_and_what_is_wrong_with_it(asked, trial):
    data = _data(page(asked, trial, "wall/"))
    assert [unit["name"] for unit in data["units"]] == ["T1", "T2"]
    assert [[shot[0] for shot in row] for row in data["rows"]] == [[1, 8], [1, 8]]
    assert [[shot[3] for shot in row] for row in data["rows"]] == [[1, 1], [1, 3]]
    bad = data["rows"][1][1][1]
    assert data["reasons"][data["why"][str(bad)]].startswith("The photo is blurred")
    assert (data["first"], data["last"]) == (0, 8)


def test_the_wall_marks_the_change_the_water_change_and_days_that_are_left_out(asked, trial):
    data = _data(page(asked, trial, "wall/"))
    assert [mark[:3] for mark in data["marks"]] == [[0, "change", "change"], [4, "water", "water"], [8, "event", "note"]]
    assert data["left"] == [[[1], 8, 9, "Lamp off"]]


def test_without_script_the_wall_is_a_table_of_two_weeks(asked, trial):
    text = page(asked, trial, "wall/")
    table = text[text.index("<noscript>"):text.index("</noscript>")]
    assert table.count("<img") == 4
    assert "no photo" in table
    assert "The photo is blurred" in table


def test_arms_stay_hidden_where_the_plan_is_blinded_until_one_asks(asked, trial):
    from fairtank.records.models import Document

    plan = Document.objects.get(trial=trial, path="trial.toml")
    plan.content = plan.text.replace("drawn = true", "drawn = true\nblinded = true").encode()
    plan.save()
    text = page(asked, trial, "wall/")
    assert "The plan is blinded" in text
    assert {unit["letter"] for unit in _data(text)["units"]} == {""}
    assert [unit["letter"] for unit in _data(page(asked, trial, "wall/?arms=shown"))["units"]] == ["R", "C"]


def test_the_wall_takes_as_many_queries_however_many_photos_there_are(asked, trial):
    from fairtank.records.models import Photo

    address = f"/trials/{trial.slug}/wall/"
    few, one = queries(asked, address), _photo(trial)
    many = {"trial": trial, "unit": one.unit, "sha256": one.sha256, "size_bytes": 1, "width_px": 640, "height_px": 480}
    Photo.objects.bulk_create(Photo(path=f"photos/m{number}.jpg", taken_at=datetime(2026, 3, 1) + timedelta(number), day=number, **many)
                              for number in range(120))
    assert queries(asked, address) == few <= 15


def test_a_trial_without_photos_is_told_what_the_wall_is_for(asked, shelf):
    from fairtank.records.models import Trial

    trial = Trial.objects.create(title="Empty", slug="empty")
    assert "There are no photos of this trial yet" in page(asked, trial, "wall/")


@pytest.mark.parametrize(("size", "longest"), [("320", 320), ("1600", 640)])
def test_small_pictures_are_jpegs_that_a_browser_keeps_for_itself(asked, trial, size, longest):
    from PIL import Image

    photo = _photo(trial)
    answer = asked.get(f"/trials/{trial.slug}/photo/{photo.pk}/{size}/{photo.sha256[:16]}")
    content = b"".join(answer.streaming_content)
    assert max(Image.open(BytesIO(content)).size) == longest
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'; sandbox")


def test_the_whole_photo_leaves_without_its_place(asked, trial):
    from PIL import Image

    photo = _photo(trial, "photos/T2-01.jpg")
    answer = asked.get(f"/trials/{trial.slug}/photo/{photo.pk}/full/{photo.sha256[:16]}")
    picture = Image.open(BytesIO(answer.content))
    assert picture.size == (640, 480)
    assert 0x8825 not in picture.getexif()


@pytest.mark.parametrize("rest", ["320/0000000000000000", "999/{stamp}", "framed/0000000000000000", "map/1-abc", "map/..%2F..%2Fx"])
def test_addresses_that_lead_to_no_picture_are_refused(asked, trial, rest):
    photo = _photo(trial)
    page(asked, trial, f"photo/{photo.pk}/{rest.format(stamp=photo.sha256[:16])}", status=404)


def test_pictures_of_another_trial_are_not_given(asked, trial):
    from fairtank.records.models import Trial

    other, photo = Trial.objects.create(title="Other", slug="other"), _photo(trial)
    page(asked, other, f"photo/{photo.pk}/320/{photo.sha256[:16]}", status=404)


def test_two_photos_are_framed_alike_with_their_values_beneath(asked, trial):
    from PIL import Image

    text = page(asked, trial, f"wall/compare?left={_photo(trial).pk}")
    assert "T1 and T2 on day 1" in text
    assert "12.35 ± 0.42 %" in text
    assert "14.35 ± 0.42 %" in text
    addresses = re.findall(r'<img src="([^"]+/framed/[0-9a-f]+)"', text)
    assert len(addresses) == 2
    assert Image.open(BytesIO(asked.get(addresses[0]).content)).size == (1000, 733)


def test_a_photo_whose_frame_was_not_found_is_shown_as_it_was_taken(asked, trial):
    from fairtank.records.models import Frame

    Frame.objects.filter(trial=trial).update(mode="registered")
    text = page(asked, trial, "wall/compare?left_unit=T1&left_day=8&right_unit=T2&right_day=8")
    assert "shown as they were taken" in text
    assert "The photo cannot be used" not in text
    assert "This photo cannot be used." in text


def test_a_photo_tells_its_quality_with_the_remedy_and_can_be_taken_away_and_brought_back(asked, trial):
    photo = _photo(trial, "photos/T2-08.jpg")
    assert "Rest the phone on something." in page(asked, trial, f"photo/{photo.pk}/")
    answer = asked.post(f"/trials/{trial.slug}/photo/{photo.pk}/remove", follow=True)
    assert "was taken away" in answer.content.decode()
    assert "Taken away in the last 30 days" in page(asked, trial, "wall/")
    assert [len(row) for row in _data(page(asked, trial, "wall/"))["rows"]] == [2, 1]
    asked.post(f"/trials/{trial.slug}/photo/{photo.pk}/bring-back")
    assert [len(row) for row in _data(page(asked, trial, "wall/"))["rows"]] == [2, 2]


def test_what_was_counted_as_what_lies_over_the_photo(asked, trial):
    import numpy as np
    from PIL import Image

    from fairtank.records.jobs.class_maps import map_place

    photo = _photo(trial)
    assert "Draw what was counted as what" in page(asked, trial, f"photo/{photo.pk}/")
    place = map_place(trial, photo.sha256, "1-abc")
    place.parent.mkdir(parents=True)
    Image.fromarray(np.ones((44, 60), np.uint8)).save(place)
    assert "counted as plant" in page(asked, trial, f"photo/{photo.pk}/")
    shown = Image.open(BytesIO(asked.get(f"/trials/{trial.slug}/photo/{photo.pk}/map/1-abc").content))
    assert shown.size == (640, 480)
    assert shown.getpixel((320, 240)) == (0, 158, 115, 110)
    assert shown.getpixel((5, 5))[3] == 0


@pytest.mark.parametrize("query", ["", "?left=x", "?left=99999", "?left=1&right=%00", "?left_unit=T9&left_day=1", "?until=zz",
                                   "?until=-999999"])
def test_odd_addresses_are_answered_with_a_page(asked, trial, query):
    assert asked.get(f"/trials/{trial.slug}/wall/compare{query}").status_code in (200, 404)
    assert asked.get(f"/trials/{trial.slug}/wall/{query}").status_code == 200
