"""The page of the drift watch: headline first, what to do, a chart and a row for each factor, and how sure it is."""

import html
import json
import re

import pytest
from tests.web.judged_trials import shelved, text_of, worked_out


@pytest.fixture
def watched(shelf, tmp_path):
    """A trial in which one arm grows warmer from day 13 on."""
    trial = shelved(tmp_path / "warmer", readings=1)
    assert worked_out(trial, "watch").state == "done"
    return trial


def page_of(asked, trial, more=""):
    answer = asked.get(f"/trials/{trial.slug}/watch/{more}")
    assert answer.status_code == 200
    return html.unescape(text_of(answer))


def test_the_headline_stands_first_then_what_to_do_and_what_it_means_beside_its_chart(asked, watched):
    page = page_of(asked, watched)
    assert re.search(r'<p class="verdict">([^<]*)</p>', page)[1].startswith("Look after water temperature")
    places = [page.index(part) for part in ('class="verdict"', "What to do:", "What it means:", 'data-chart="drift-0"',
                                            "All factors as a table", "How sure this is")]
    assert places == sorted(places)
    assert "at most 5 would get an alarm" in page
    assert "arm C drifts away" in page
    assert ".csv" not in page[:page.index("<figure")]  # pages know no files


def test_the_file_is_to_the_byte_what_the_command_prints(asked, watched, tmp_path):
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.watching import trial_watch, watch_json

    answer = asked.get(f"/trials/{watched.slug}/watch/drift.json")
    assert answer.content.decode() == watch_json(trial_watch(root=trial_export(trial=watched, root=tmp_path / "exported")))
    assert json.loads(answer.content)["false_alarm_share"] == 0.05


def test_every_factor_has_a_row(asked, watched):
    page = page_of(asked, watched)
    factors = json.loads(asked.get(f"/trials/{watched.slug}/watch/drift.json").content)["factors"]
    table = page[page.index("All factors as a table"):page.index("How sure this is")]
    assert len(re.findall(r'<th scope="row"', table)) == len(factors)


def test_an_answer_that_is_old_says_so(asked, watched):
    from fairtank.records.services.trail import KEEPER, noted

    noted(by=KEEPER, verb="change", said="One more reading.", trial=watched)
    assert "1 change came since" in page_of(asked, watched)


def test_an_empty_diary_teaches_and_a_full_one_can_be_worked_out(asked, shelf, tmp_path):
    empty = page_of(asked, shelved(tmp_path / "empty"))
    assert "What is not written down cannot be watched." in empty
    assert "Work it out" not in empty
    full = shelved(tmp_path / "full", readings=1)
    assert "Work it out" in page_of(asked, full)
    assert asked.get(f"/trials/{full.slug}/watch/drift.json").status_code == 403


def test_more_readings_take_no_more_queries(asked, watched, tmp_path):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    larger = shelved(tmp_path / "larger", readings=4)
    worked_out(larger, "watch")
    counts = []
    for trial in (watched, larger):
        with CaptureQueriesContext(connection) as queries:
            page_of(asked, trial)
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 6


def test_while_people_score_blind_the_arms_are_not_told(asked, shelf, tmp_path):
    from fairtank.records.models import Seat

    trial = shelved(tmp_path / "blind", readings=1, blinded=True)
    worked_out(trial, "watch")
    Seat.objects.create(trial=trial, measure="algae_score", way="score", rater="Ines", tasks=[1, 2], seed=1)
    assert "arm C" not in page_of(asked, trial)
    assert asked.get(f"/trials/{trial.slug}/watch/drift.json").status_code == 403
    assert "arm C drifts away" in page_of(asked, trial, "?arms=shown")
