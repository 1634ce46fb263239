"""Finished trials of one shelf: taken together, and handed to a new trial as what they tell of like tanks."""

import html
import json
import re
from datetime import date, timedelta

import pytest
from tests.records.kits import make_kit, make_kits
from tests.web.judged_trials import text_of, worked_out
from tests.web.people import account, hosted, logged_in


def page_of(asked, address, status=200):
    answer = asked.get(address)
    assert answer.status_code == status
    return html.unescape(text_of(answer))


def taken_in(*roots):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return [trial_import(root=root, by=KEEPER) for root in roots]


@pytest.fixture
def four(shelf, tmp_path):
    """Three finished trials of one question and one of another."""
    return taken_in(*make_kits(tmp_path / "trials", 3), make_kit(tmp_path / "height", title="Height", key="canopy_height", scale="log",
                                                                 margin=None))


@pytest.fixture
def new(shelf, tmp_path):
    """A trial whose day 0 lies ahead."""
    return taken_in(make_kit(tmp_path / "new", title="The new one", start=date.today() + timedelta(days=9), values=False, count=2))[0]


def together(asked, slugs, **more):
    """Ask for it in the page, and do the work; the address of what came of it."""
    from fairtank.records.jobs.worker import work_once

    answer = asked.post("/pool/ask/", {"trial": slugs, "measure": "algae_cover", **more})
    assert answer.status_code == 303
    assert work_once()
    return answer.headers["Location"]


def test_finished_trials_are_offered_by_the_measure_that_decides_and_the_shelf_leads_there(asked, four, new):
    assert 'href="/pool/"' in page_of(asked, "/")
    page = page_of(asked, "/pool/")
    assert re.findall(r'name="trial" value="([^"]*)" checked', page) == [trial.slug for trial in four[:3]]
    assert "Height</a> is the only finished trial" in page
    assert "The new one" not in page


def test_a_trial_whose_days_passed_without_a_record_is_not_offered(asked, shelf, tmp_path):
    taken_in(make_kit(tmp_path / "empty", title="Nothing came of it", values=False), *make_kits(tmp_path / "trials", 2))
    page = page_of(asked, "/pool/")
    assert page.count('name="trial"') == 2
    assert "Nothing came of it" not in page


def test_the_sentence_stands_first_then_the_picture_with_its_table_and_how_they_differ(asked, four, tmp_path):
    from fairtank.records.services.pooling import pooled_json, trials_pool

    address = together(asked, [trial.slug for trial in four])
    page = page_of(asked, address)
    parts = ('class="verdict"', 'data-chart="trials-together"', "How they differ", "Left out, and why", "Its primary measure is another.")
    places = [page.index(part) for part in parts]
    assert places == sorted(places)
    assert "3 trials taken together." in re.search(r'<p class="verdict">([^<]*)', page)[1]
    told = json.loads(asked.get(f"{address}pooled.json").content)
    expected = json.loads(pooled_json(trials_pool(root=tmp_path / "trials")))
    assert told["sentence"] == expected["sentence"]
    assert told["pooled"] == expected["pooled"]
    assert address in page_of(asked, "/pool/")


@pytest.mark.parametrize("count", [0, 1])
def test_one_trial_is_not_several(asked, four, count):
    answer = asked.post("/pool/ask/", {"trial": [trial.slug for trial in four[:count]], "measure": "algae_cover"})
    assert answer.status_code == 422
    assert "2 to 100 finished trials" in text_of(answer)


def test_a_trial_that_people_still_score_blind_is_left_out_and_one_that_changed_is_told(asked, four):
    from fairtank.records.models import Seat
    from fairtank.records.services.trail import KEEPER, noted

    Seat.objects.create(trial=four[0], measure="algae_score", way="score", rater="Ines", tasks=[1, 2], seed=1)
    address = together(asked, [trial.slug for trial in four[:3]])
    assert "People are still scoring it" in page_of(asked, address)
    noted(by=KEEPER, verb="change", said="One more reading.", trial=four[1])
    assert "One of the trials was changed since" in page_of(asked, address)


def test_it_is_shown_only_to_who_may_see_every_one_of_its_trials(asked, four):
    from fairtank.records.models import Member

    address = together(asked, [trial.slug for trial in four[:3]])
    with hosted():
        user = account("reader", begins_trials=False)
        for trial in four[:2]:
            Member.objects.create(trial=trial, user=user, role="reader")
        assert logged_in("reader").get(address).status_code == 404
        Member.objects.create(trial=four[2], user=user, role="reader")
        assert logged_in("reader").get(address).status_code == 200


def test_what_finished_trials_tell_of_like_tanks_is_taken_from_the_page_of_the_new_one(asked, four, new):
    from fairtank.records.models import Change, SpreadEntry
    from fairtank.records.selectors.trial_state import folder_of_rows

    there = f"/trials/{new.slug}/show/"
    for trial in four[:2]:
        worked_out(trial, "judge")
    page = page_of(asked, there)
    assert re.findall(r'name="trial" value="([^"]*)" checked', page) == [trial.slug for trial in four[:2]]
    answer = asked.post(f"{there}earlier/", {"trial": [trial.slug for trial in four[:2]]})
    assert (answer.status_code, answer.headers["Location"]) == (303, there)
    assert list(SpreadEntry.objects.filter(trial=new).values_list("of_trial", flat=True)) == ["Trial 1", "Trial 2"]
    assert {entry.measure for entry in folder_of_rows(new).spread} == {"algae_cover"}
    page = page_of(asked, there)
    assert "Added: Trial 1: Algae cover (mean); Trial 2: Algae cover (mean)." in page
    assert "2 trials, 8 degrees of freedom. Not enough yet" in page
    changes = Change.objects.filter(trial=new).count()
    asked.post(f"{there}earlier/", {"trial": [trial.slug for trial in four[:2]]})
    assert Change.objects.filter(trial=new).count() == changes, "what is there already changes nothing"
    assert asked.post(f"{there}earlier/", {}).status_code == 422


def test_a_finished_trial_hands_it_on_from_its_own_page(asked, four, new):
    from fairtank.records.models import SpreadEntry

    worked_out(four[0], "judge")
    there = f"/trials/{four[0].slug}/publish/"
    page = page_of(asked, there)
    assert "degrees of freedom" in page.lower()
    assert f'href="/pool/?trial={four[0].slug}"' in page
    answer = asked.post(f"{there}spread/", {"into": new.slug})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/trials/{new.slug}/show/")
    assert SpreadEntry.objects.get(trial=new).of_trial == "Trial 1"
    for into in ("", four[1].slug):  # none, and one that began
        assert asked.post(f"{there}spread/", {"into": into}).status_code == 422


def test_the_report_of_trials_taken_together_is_read_in_the_page_and_kept_as_a_pdf(asked, four):
    address = together(asked, [trial.slug for trial in four[:3]])
    assert "Read the report" in page_of(asked, address)
    page = asked.get(f"{address}report.html")
    assert page.status_code == 200
    assert "What the next trial should keep" in b"".join(page.streaming_content).decode()
    paper = asked.get(f"{address}report.pdf?keep=1")
    assert paper.headers["Content-Disposition"].startswith("attachment")
    assert b"".join(paper.streaming_content).startswith(b"%PDF")
