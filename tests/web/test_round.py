"""The round's page and what it sends: as a plain form, by its script, with photos; a constant number of queries."""

import json
import re
from urllib.parse import urlencode

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from tests.records.photo_trials import damaged_png
from tests.web.round_trials import NOW, _asked, _taken_in, fill, photo_bytes, queries  # noqa: F401 - fixtures

ROUND = "/trials/small/round/"
BEGUN = "2026-03-13T18:20:00+01:00"


def send(asked, entries, *, key="abc", day=12, end=False, slug="small", **more):
    body = {"round": {"key": key, "day": day, "begun": BEGUN, "late": more.pop("late", "")}, "entries": entries, "end": end, **more}
    return asked.post(f"/trials/{slug}/round/entries/", json.dumps(body), content_type="application/json")


def reading(entry, value, **more):
    return {"entry": entry, "kind": "reading", "unit": "T1", "quantity": "temperature", "unit_of_measure": "°C", "value": value,
            "at": "2026-03-13T18:21:00", "noted": "2026-03-13T18:21:00", **more}


def shoot(asked, content, *, entry="abc-p-1", **more):
    file = SimpleUploadedFile("a.jpg", content, content_type="text/html")
    return asked.post("/trials/small/round/photo/", {"photo": file, "key": "abc", "day": "12", "begun": BEGUN, "late": "", "unit": "T1",
                                                     "entry": entry, "at": "2026-03-13T18:22:00", "noted": "2026-03-13T18:22:00", **more})


def alone(asked, content, **headers):
    """As the page's script sends a photo: it is the whole body, and its facts stand in the address."""
    facts = {"key": "abc", "day": "12", "begun": BEGUN, "late": "", "unit": "T1", "entry": "abc-p-1", "at": "2026-03-13T18:22:00",
             "noted": "2026-03-13T18:22:00", "name": "b.jpg"}
    return asked.generic("POST", f"/trials/small/round/photo/?{urlencode(facts)}", content, "application/octet-stream", **headers)


def test_the_page_shows_each_tank_with_its_last_values_what_is_due_and_what_was_forgotten(asked):
    page = asked.get(ROUND).content.decode()
    for part in ("day 12 of 42", "no break", "last 24.6 °C on day 9", "Feed potassium, 2\u00a0mL", "was due on day 10",
                 'capture="environment"', 'inputmode="decimal"'):
        assert part in page


def test_a_blinded_plan_shows_no_arm(asked):
    page = asked.get("/trials/blind/round/").content.decode()
    assert 'class="arm"' not in page
    assert "no break" not in page


@pytest.mark.parametrize(("kind", "told", "untold"), [
    ('kind = "run_in"\nrun_in_days = 20', "all alike until day 20", "no break"),
    ('kind = "run_in"\nrun_in_days = 12', "no break", "all alike until"),
])
def test_an_arm_is_told_from_the_day_on_which_it_begins(asked, kind, told, untold):
    from fairtank.records.models import Document, Trial

    trial = Trial.objects.get(slug="small")
    row = Document.objects.get(trial=trial, path="trial.toml")
    row.content = row.text.replace('kind = "side_by_side"', kind).encode()
    row.save()
    Trial.objects.filter(pk=trial.pk).update(revision=trial.revision + 1)
    names = "".join(re.findall(r"<h2 id=\"unit-name.*?</h2>", asked.get(ROUND).content.decode()))
    assert told in names
    assert untold not in names


def test_queries_do_not_grow_with_rows_or_tanks(asked):
    few, more = queries(asked, ROUND), queries(asked, "/trials/blind/round/")
    fill("small")
    assert few == more == queries(asked, ROUND) <= 14


def test_a_plain_form_stores_a_whole_round_and_ends_it(asked):
    from fairtank.records.models import ChoreDone, Event, Photo, Reading, Round

    sent = {"round": "k" * 24, "day": "2026-03-13", "reading-0-0": "24,9", "reading-0-1": "6.9", "chore-0-0": "on", "note-1": "A snail.",
            "new-quantity-1-0": "nitrate", "new-value-1-0": "<0.5", "new-unit-1-0": "mg/L",
            "photo-0": SimpleUploadedFile("a.jpg", photo_bytes())}
    answer = asked.post(ROUND, sent, follow=True)
    assert "Stored: 3 readings, 1 photo, 1 chore, 1 note." in answer.content.decode()
    assert [(row.unit.key, row.value) for row in Reading.objects.filter(day=12)] == [("T1", 24.9), ("T1", 6.9), ("T2", 0.5)]
    assert (Photo.objects.get().path, ChoreDone.objects.get().chore) == ("photos/T1-12-1.jpg", "feed")
    assert Event.objects.get().note == "A snail."
    assert Round.objects.get().ended_at is not None
    asked.post(ROUND, {**sent, "photo-0": ""})
    assert Reading.objects.filter(day=12).count() == 3, "the same form again stores nothing twice"


def test_what_a_plain_form_gets_wrong_comes_back_and_the_rest_is_stored(asked):
    from fairtank.records.models import Reading

    sent = {"round": "k" * 24, "day": "2026-03-13", "reading-0-0": "7.7", "reading-0-1": "x", "reading-1-0": "24.8"}
    answer = asked.post(ROUND, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "7.7 °C? The last was 24.6, on day 9." in page
    assert 'name="sure-0-0"' in page
    assert "X is not a number" in page
    assert [row.value for row in Reading.objects.filter(day=12)] == [24.8]
    assert asked.post(ROUND, {**sent, "sure-0-0": "on", "reading-0-1": ""}).status_code == 302
    assert Reading.objects.filter(day=12).count() == 2


def test_an_earlier_day_asks_for_the_reason(asked):
    from fairtank.records.models import Reading, Round

    assert "For 2026-03-11, which is not today" in asked.get(f"{ROUND}?day=2026-03-11").content.decode()
    sent = {"round": "k" * 24, "day": "2026-03-11", "reading-0-0": "24.9"}
    answer = asked.post(ROUND, sent)
    assert "Say in a few words why it comes later" in answer.content.decode()
    assert 'value="24.9"' in answer.content.decode(), "what was typed stays"
    assert asked.post(ROUND, {**sent, "late": "on paper"}).status_code == 302
    assert (Reading.objects.filter(day=10).count(), Round.objects.get().late_reason) == (1, "on paper")


@pytest.mark.parametrize("day", ["2026-03-20", "1999-01-01", "no", "2026-13-40"])
def test_a_day_that_cannot_be_is_refused_in_words(asked, day):
    answer = asked.post(ROUND, {"round": "k" * 24, "day": day, "reading-0-0": "24.9", "late": "why"})
    assert answer.status_code in (302, 422)
    assert asked.get(ROUND, {"day": day}).status_code == 200


def test_entries_are_answered_one_by_one_and_stored_once(asked):
    from fairtank.records.models import ChoreDone, Event, Reading, Round

    entries = [reading("abc-1-0", "24,9"), reading("abc-2-0", "hot"), reading("abc-3-0", "7.7", unit="T2"),
               {"entry": "abc-4-0", "kind": "chore", "unit": "T1", "chore": "feed", "due_day": 12, "at": "2026-03-13T18:22:00"},
               {"entry": "abc-5-0", "kind": "note", "unit": "T2", "note": "A snail.", "event": "animals"},
               {"entry": "abc-6-0", "kind": "?"}, 7]
    for _ in range(2):
        answers = send(asked, entries).json()["answers"]
        assert [one["state"] for one in answers] == ["stored", "refused", "asked", "stored", "stored", "refused", "refused"]
    assert (Reading.objects.filter(day=12).count(), ChoreDone.objects.count(), Event.objects.get().kind) == (1, 1, "animals")
    told = send(asked, [reading("abc-3-0", "7.7", unit="T2", sure=True)], end=True).json()
    assert told["answers"][0]["state"] == "stored"
    assert told["counted"] == "2 readings, 1 chore, 1 note."
    assert Round.objects.get().ended_at is not None


def test_two_phones_are_both_kept_and_what_was_emptied_is_taken_back(asked):
    from fairtank.records.models import Reading

    send(asked, [reading("abc-1-0", "24.9")])
    told = send(asked, [reading("xyz-1-0", "24.7")], key="xyz").json()["answers"][0]
    assert told["beside"] == ["Another entry of this day says 24.9 °C (18:21). Both are kept."]
    assert send(asked, [{"entry": "abc-1-0", "kind": "reading", "gone": True}]).json()["answers"][0]["state"] == "gone"
    assert [row.value for row in Reading.objects.filter(day=12)] == [24.7]


def test_what_was_typed_yesterday_and_is_sent_today_needs_no_reason(asked):
    from fairtank.records.models import Reading

    entry = reading("abc-1-0", "24.9", at="2026-03-12T23:58:00", noted="2026-03-12T23:58:00")
    body = {"round": {"key": "abc", "day": 11, "begun": "2026-03-12T23:50:00+01:00", "late": ""}, "entries": [entry]}
    told = asked.post("/trials/small/round/entries/", json.dumps(body), content_type="application/json").json()
    assert told["answers"][0]["state"] == "stored"
    assert Reading.objects.get(entry="abc-1-0").day == 11


@pytest.mark.parametrize("body", ["", "[]", "nothing", '{"round": 3}', '{"round": {"key": "", "day": 12}}',
                                  '{"round": {"key": "a", "day": "x"}}',
                                  '{"round": {"key": "a", "day": 12}, "entries": {}}', '{"round": {"key": "a", "day": 99999999}}',
                                  '{"round": {"key": "a", "day": 12, "begun": "9999-12-31T23:59:59-14:00"}, "entries": 0}', "[" * 3000])
def test_what_is_no_round_is_refused_with_a_sentence(asked, body):
    answer = asked.post("/trials/small/round/entries/", body, content_type="application/json")
    assert answer.status_code == 422
    assert "accepted" in answer.json()["said"]


def test_a_photo_is_stored_once_and_shown_small(asked, read):
    from django.urls import reverse

    from fairtank.records.models import Photo

    first, again = shoot(asked, photo_bytes()).json(), alone(asked, photo_bytes()).json()
    assert first == again == {"state": "stored", "said": "", "number": Photo.objects.get().pk, "picture": first["picture"],
                              "page": reverse("photo", args=["small", Photo.objects.get().pk])}
    other = shoot(asked, photo_bytes(), entry="abc-p-2", unit="T2")
    assert (other.status_code, other.json()["state"]) == (422, "refused")
    assert "is in this trial already" in other.json()["said"]
    number, stamp = Photo.objects.get().pk, Photo.objects.get().stamp
    small = asked.get(first["picture"])
    assert (small.headers["Content-Type"], read(small)[:3]) == ("image/jpeg", b"\xff\xd8\xff")
    for words in (["blind", number, "320", stamp], ["small", number, "7", stamp], ["small", number, "320", "0" * 16]):
        assert asked.get(reverse("photo_picture", args=words)).status_code == 404


def test_a_photo_whose_inside_is_damaged_is_kept_by_the_script_and_its_picture_tells_so_and_a_plain_form_refuses_it(asked):
    from fairtank.records.models import Photo

    damaged = damaged_png(np.random.default_rng(7).integers(0, 256, (120, 160, 3), np.uint8))
    plain = asked.post(ROUND, {"round": "k" * 24, "day": "2026-03-13", "photo-0": SimpleUploadedFile("a.png", damaged)})
    assert (plain.status_code, Photo.everything.count()) == (422, 0)
    assert "a.png is damaged or cut off and cannot be decoded" in plain.content.decode()
    kept = alone(asked, damaged)
    assert (kept.status_code, kept.json()["state"], Photo.objects.get().size_bytes) == (200, "stored", len(damaged))
    answer = asked.get(kept.json()["picture"])
    assert (answer.status_code, "its file is missing or damaged" in answer.content.decode()) == (404, True)


@pytest.mark.parametrize(("content", "said"), [(b"", "The photo is not there"), (b"<html>", "b.jpg holds a web page"),
                                               (photo_bytes()[:300], "b.jpg")])
def test_what_is_sent_alone_and_is_no_whole_photo_is_refused(asked, content, said):
    from fairtank.records.models import Photo

    answer = alone(asked, content)
    assert (answer.status_code, Photo.everything.count()) == (422, 0)
    assert said in answer.json()["said"]


def test_a_photo_that_says_it_is_longer_than_any_is_refused_before_it_is_read(asked):
    answer = alone(asked, b"\xff\xd8\xff", CONTENT_LENGTH=str(10**9))
    assert (answer.status_code, "b.jpg has 1000 MB; accepted: a photo of at most" in answer.json()["said"]) == (422, True)


@pytest.mark.parametrize(("content", "more", "match"), [(b"<html>", {}, "a.jpg"), (b"", {}, "a.jpg"), (None, {}, "not there"),
                                                        (photo_bytes(3), {"unit": "T9"}, "T9 is not a tank"),
                                                        (photo_bytes(3), {"day": "x"}, "whole number")])
def test_what_is_no_photo_of_a_tank_is_refused_with_a_sentence(asked, content, more, match):
    from fairtank.records.models import Photo

    answer = shoot(asked, content, **more) if content is not None else asked.post("/trials/small/round/photo/", {"key": "abc", "day": "12"})
    assert answer.status_code == 422
    assert match in answer.json()["said"]
    assert not Photo.everything.exists()


def test_a_trial_without_a_plan_says_what_a_round_needs(asked):
    from fairtank.records.models import Trial

    Trial.objects.create(slug="bare", title="Bare")
    assert "no plan yet" in asked.get("/trials/bare/round/").content.decode()
    assert asked.get("/trials/none/round/").status_code == 404


def test_only_those_who_may_record_see_the_round(asked):
    for address in (ROUND, "/today/"):
        assert asked.get(address, REMOTE_ADDR="192.168.1.20").status_code == 403
    assert send(asked, []).status_code == 200
    assert NOW.hour == 18
