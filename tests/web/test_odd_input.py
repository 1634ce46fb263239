"""What nobody means to send: odd values in forms, addresses and files are refused or kept whole, and never end in a failure."""

import json
import sys
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "benchmarks"))


def blind_page(asked, root):
    """A seat at the blind table of a trial with photos; its page, and how many photos it asks for."""
    from tests.records.photo_shelf import folder_write, trial_take_in
    from tests.web.conftest import PLAN

    from fairtank.records.services.seats import SeatWanted, seat_link_make, seat_make
    from fairtank.records.services.trail import KEEPER

    trial = trial_take_in(folder_write(root, plan=PLAN + "[[measure]]\nkey = \"by_eye\"\nunit_of_measure = \"%\"\n"))
    seat = seat_make(trial=trial, by=KEEPER, wanted=SeatWanted("by_eye", "score", "Mira", 3), seed=5)
    return seat, f"/rate/{seat_link_make(seat=seat, by=KEEPER)}"


def test_a_photo_whose_file_was_damaged_does_not_hold_up_who_scores_blind(asked, tmp_path):
    from fairtank.records.models import Photo
    from fairtank.records.shelf_photos import photo_files

    seat, link = blind_page(asked, tmp_path / "trial")
    first, second = seat.tasks[0], seat.tasks[1]
    assert first[0] in asked.get(link).content.decode()
    digest = Photo.objects.get(pk=first[1]).sha256
    place = photo_files().path_of(digest)
    place.chmod(0o600)
    place.write_bytes(b"no photo")
    _small_forget(digest)
    text = asked.get(link).content.decode()
    assert first[0] not in text
    assert second[0] in text
    assert seat.tasks[0] == first, "once the file is put back it is asked for"


def _small_forget(digest):
    from django.conf import settings

    from fairtank.records.thumbnails import SmallPictures

    SmallPictures(Path(settings.DATA) / "derived").forget(digest)


def test_a_folder_is_offered_again_when_its_tables_changed_and_not_when_the_shelf_did(asked, tmp_path):
    from tests.web.round_site import folder_write

    from fairtank.records.selectors.shelf import is_on_shelf
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    root = folder_write(tmp_path / "mine", day=12)
    assert not is_on_shelf(root)
    trial = trial_import(root=root, by=KEEPER, origin=root.name)
    assert is_on_shelf(root)
    asked.post(f"/trials/{trial.slug}/readings/add/", {"unit": "T1", "quantity": "ph", "value": "6.9", "taken_at": f"{trial.start}T12:00"})
    assert is_on_shelf(root)
    (root / "events.csv").write_text("units,at,until,kind,note,effect\n,2026-03-05T19:00:00,,note,x,keep\n", encoding="utf-8")
    assert not is_on_shelf(root)


def test_a_shelf_on_which_a_class_of_strokes_was_added_is_clean(asked, tmp_path):
    from tests.records.photo_shelf import folder_write, trial_take_in

    from fairtank.records.rows.texts import texts_of
    from fairtank.records.services.checking import shelf_check

    trial = trial_take_in(folder_write(tmp_path / "trial"))
    assert asked.post(f"/trials/{trial.slug}/labels/class", {"name": "moss", "colour": "#20a040", "counts_as": "plant"}).status_code == 303
    assert b"moss" in texts_of(trial)["labels/classes.csv"]
    assert shelf_check().faults == ()


@pytest.fixture(name="running")
def _running(asked, tmp_path):
    """A trial that runs; an answer that fails is an answer."""
    from tests.web.round_site import folder_write

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    asked.raise_request_exception = False
    return trial_import(root=folder_write(tmp_path / "running"), by=KEEPER)


ODD_NUMBERS = ("--5", "²", "٣", "9" * 30, "9" * 5000, "-", "1e3")


def test_a_number_that_is_none_in_an_address_or_a_cookie_is_taken_for_nothing(asked, running):
    there = running.get_absolute_url()
    for odd in ODD_NUMBERS:
        for place in ("diary/?before=", "readings/?before=", "wall/compare?left_day="):
            assert asked.get(f"{there}{place}{odd}").status_code in (200, 404), (place, odd)
    asked.cookies["clock"] = "--5"
    assert asked.get("/today/").status_code == 200


def test_a_number_that_is_none_in_what_is_sent_is_refused(asked, running):
    there, unit = running.get_absolute_url(), running.units.first().pk
    for odd in ODD_NUMBERS:
        file = SimpleUploadedFile("a.jpg", b"x")
        assert asked.post(f"{there}round/photo/", {"photo": file, "day": odd, "key": "r1", "unit": "T1"}).status_code == 422, odd
    assert asked.post(f"{there}frame/{unit}/copy", {"to": list(ODD_NUMBERS)}).status_code == 303


def test_an_address_to_go_back_to_is_one_line(asked, running):
    answer = asked.post(f"{running.get_absolute_url()}work-out/even/", {"next": "/a\r\nSet-Cookie: b"})
    assert answer.status_code == 303
    assert answer.headers["Location"].startswith("/jobs/")


@pytest.mark.parametrize("part", ["entry", "unit", "quantity", "value", "method", "chore", "note", "kind", "unit_of_measure", "at"])
def test_broken_letters_and_numbers_without_end_in_what_a_script_sends_are_refused_or_cleaned(asked, running, part):
    for odd in ("\ud800", "\x00", 10**30, "x" * 5000, None):
        entries = [{"entry": "e1", "kind": kind, "unit": "T1", "quantity": "ph", "value": "6.9", "chore": "feed", "due_day": 12,
                    "note": "A leaf.",
                    part: odd, "gone": gone} for kind in ("reading", "chore", "note") for gone in (False, True)]
        body = json.dumps({"round": {"key": "r-1", "day": 12}, "entries": [*entries, {**entries[2], "due_day": 10**30}], "end": True})
        answer = asked.post(f"{running.get_absolute_url()}round/entries/", body, content_type="application/json")
        assert answer.status_code == 200, (part, odd)


def test_entries_that_are_no_list_are_refused_before_a_round_is_begun(asked, running):
    from fairtank.records.models import Change, Round

    before = Change.objects.count()
    for entries in ("x", {}, None, [{}] * 501):
        body = json.dumps({"round": {"key": "r-1", "day": 12}, "entries": entries})
        answer = asked.post(f"{running.get_absolute_url()}round/entries/", body, content_type="application/json")
        assert answer.status_code == 422, entries
    assert (Round.objects.count(), Change.objects.count()) == (0, before)


def test_a_sample_of_odd_values_in_forms_fails_nowhere_and_leaves_nothing_half(asked, running):
    import fuzz_pages
    from fuzz_targets import Target, name_of
    from page_forms import Page

    there, targets = running.get_absolute_url(), []
    pages = (there, f"{there}diary/", f"{there}readings/", f"{there}readings/import/", f"{there}round/", "/tanks/new/", "/materials/new/")
    for address in pages:
        forms = [form for form in Page(address, asked.get(address).content.decode()).forms if form.method == "post"]
        targets += [Target(name_of(form.action), "form", form.action, address, 0, form) for form in forms]
        targets.append(Target(name_of(address), "get", address, address))
    assert {"round", "trial_rename", "readings_add"} <= {target.family for target in targets}
    state = fuzz_pages.Trials([asked], 7)
    for target in targets:
        fuzz_pages.tried(state, target, [running.slug, "T1"], ["day", "page", "unit"], 4)
    assert sum(state.families.values()) >= 40
    assert state.counts["changed"] > 3
    assert state.faults == {}
