"""The page of the finding: the sentence first, the same to the byte as the command prints, and nothing before it may be read."""

import html
import json
import re
from datetime import date, timedelta

import pytest
from tests.web.judged_trials import LATE, UNITS, shelved, text_of, worked_out

LOOKS = "[looks]\ndays = [12, 21]\nbudget = [0.01, 0.04]\n"
# Of a finding that may not be seen neither its page nor any file tells anything.
FILES = ("finding/findings.json", "publish/report.html", "publish/report.pdf", "publish/measures.csv")


@pytest.fixture
def over(shelf, tmp_path):
    """A trial that is over and judged."""
    trial = shelved(tmp_path / "glasses")
    assert worked_out(trial, "judge").state == "done"
    return trial


def page_of(asked, trial, more=""):
    answer = asked.get(f"/trials/{trial.slug}/finding/{more}")
    assert answer.status_code == 200
    return text_of(answer)


def words_of(page):
    return html.unescape(re.sub(r"<[^>]+>", " ", page))


def test_the_file_is_to_the_byte_what_the_command_prints_for_the_exported_folder(asked, over, tmp_path):
    from fairtank.publish.findings_file import findings_text
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.trials import trial_judge

    judged = trial_judge(root=trial_export(trial=over, root=tmp_path / "exported"))
    answer = asked.get(f"/trials/{over.slug}/finding/findings.json")
    assert answer.content.decode() == findings_text(judged.findings, judged.folder.digest)
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["Content-Security-Policy"]


def test_the_sentence_of_the_primary_measure_stands_first_then_the_picture_then_the_table(asked, over):
    page = page_of(asked, over)
    findings = json.loads(asked.get(f"/trials/{over.slug}/finding/findings.json").content)["findings"]
    main = page[page.index("<main"):]
    assert re.search(r'<p class="verdict">([^<]*)</p>', html.unescape(main))[1] == findings[0]["sentence"]
    places = [main.index(part) for part in ('class="verdict"', 'data-chart="tanks-algae-cover"', 'data-chart="curves-algae-cover"',
                                            'id="table-1"', 'id="computed"', 'id="settle"', 'id="cautions"', 'id="secondary"', 'id="harm"')]
    assert places == sorted(places)
    assert html.unescape(main).count(findings[1]["sentence"]) == 1
    assert main.index('id="secondary"') < main.index('data-chart="tanks-plant-cover"') < main.index('id="harm"')


def test_the_table_has_one_row_for_each_unit(asked, over):
    page = page_of(asked, over)
    table = page[page.index('id="table-1"'):page.index('id="all"')]
    assert re.findall(r'<th scope="row"[^>]*>([^<]*)</th>', table) == [*UNITS[::2], *UNITS[1::2]]


def test_an_answer_that_is_old_says_so_and_is_still_shown(asked, over):
    from fairtank.records.services.trail import KEEPER, noted

    assert "changes came since" not in page_of(asked, over)
    for number in range(2):
        noted(by=KEEPER, verb="change", said=f"Entry {number}.", trial=over)
    page = page_of(asked, over)
    assert "2 changes came since" in page
    assert page.index("2 changes came since") < page.index('class="verdict"')
    assert "Work it out again" in page


def test_the_page_takes_the_same_few_queries_for_a_larger_trial(asked, over, tmp_path):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    larger = shelved(tmp_path / "larger", readings=3)
    worked_out(larger, "judge")
    counts = []
    for trial in (over, larger):
        with CaptureQueriesContext(connection) as queries:
            page_of(asked, trial)
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 6


def test_without_values_the_page_teaches_and_offers_nothing_to_work_out(asked, shelf, tmp_path):
    page = words_of(page_of(asked, shelved(tmp_path / "empty", values=False)))
    assert "Nothing to judge yet" in page
    assert "photos of every tank, or values of the measure" in page
    assert "Work it out" not in page
    assert "Until then" not in page  # its day has passed


def test_values_that_were_not_judged_can_be(asked, shelf, tmp_path):
    page = page_of(asked, shelved(tmp_path / "new"))
    assert "Not judged yet" in page
    assert "Work it out" in page
    assert "96" in page  # six tanks, eight days, two measures


def test_a_trial_that_runs_tells_when_it_is_read_and_nothing_else(asked, shelf, tmp_path):
    trial = shelved(tmp_path / "running", day=15, until=15)
    before = words_of(page_of(asked, trial))
    worked_out(trial, "judge")
    page = page_of(asked, trial)
    reading = date.today() + timedelta(days=6)
    for told in (before, words_of(page)):
        assert f"Day 21, {reading.isoformat()}" in told
        assert "several chances to find something by luck" in told
    assert "values reach day 15 of 21" in page
    assert "72" in page  # what is recorded
    assert "<figure" not in page
    assert str(LATE) not in page


@pytest.mark.parametrize("kind", ["judge", "report"])
def test_what_may_not_be_read_yet_cannot_be_had_by_any_address_nor_by_asking_for_the_report(asked, shelf, tmp_path, kind):
    from fairtank.records.models import Result
    from fairtank.records.services.working import out_of

    trial = shelved(tmp_path / "running", day=15, until=15)
    (job := worked_out(trial, kind))
    assert (job.state, "when the trial was read" in job.reason) == (("done", False) if kind == "judge" else ("failed", True))
    assert not (out_of(trial) / "report.html").exists()
    (out_of(trial) / "report.html").write_text("left from before", encoding="utf-8")
    for name in FILES:
        answer = asked.get(f"/trials/{trial.slug}/{name}?arms=shown")
        assert (name, answer.status_code) == (name, 403)
        assert "It is not the time to read it" in text_of(answer)
    kept = Result.objects.get(trial=trial, kind="judge").content
    assert (kept["charts"], kept["primary"]) == ({}, [])


def test_between_planned_looks_nothing_is_told_that_came_after_the_last_one(asked, shelf, tmp_path):
    from fairtank.records.models import Result

    trial = shelved(tmp_path / "looked", day=18, until=18, looks=LOOKS)
    worked_out(trial, "judge")
    page = page_of(asked, trial)
    kept = json.dumps(Result.objects.get(trial=trial, kind="judge").content)
    told = words_of(page)
    assert "planned look 1 of 2, on day 12" in told
    assert "nothing that came after day 12 is in this page" in told
    assert 'data-chart="curves-algae-cover"' in page
    assert 'data-chart="curves-plant-cover"' not in page  # it is read at the end
    for text in (page, kept, text_of(asked.get(f"/trials/{trial.slug}/finding/findings.json"))):
        assert str(LATE) not in text
        assert "77.8" not in text
    for name in FILES[1:3]:
        assert asked.get(f"/trials/{trial.slug}/{name}").status_code == 403
    assert str(LATE) in words_of(page_of(asked, _over_with_looks(tmp_path)))  # what is looked for can be found


def _over_with_looks(tmp_path):
    trial = shelved(tmp_path / "over", looks=LOOKS)
    worked_out(trial, "judge")
    return trial


@pytest.fixture
def scored_blind(shelf, tmp_path):
    """A blinded trial that is over, with a seat of which one of two photos is scored."""
    from datetime import datetime

    from fairtank.records.models import Photo, Score, Seat, Unit

    trial = shelved(tmp_path / "blind", blinded=True)
    worked_out(trial, "judge")
    unit = Unit.objects.filter(trial=trial).first()
    photos = [Photo.objects.create(trial=trial, unit=unit, path=f"photos/{day}.jpg", taken_at=datetime(2026, 1, day, 12), day=day,
                                   sha256=f"{day:064}", size_bytes=1, width_px=4, height_px=3) for day in (1, 2)]
    Seat.objects.create(trial=trial, measure="algae_score", way="score", rater="Ines", tasks=[photo.pk for photo in photos], seed=1)
    Score.objects.create(trial=trial, photo=photos[0], measure="algae_score", rater="Ines", value=2)
    return trial, photos


def test_a_blinded_trial_shows_no_arms_while_people_score(asked, scored_blind):
    from fairtank.records.models import Score

    trial, photos = scored_blind
    page = words_of(page_of(asked, trial))
    assert "People are still scoring" in page
    assert "Ines, algae_score: 1 of 2 are scored." in " ".join(page.split())
    assert "two glasses" not in page
    for name in FILES:
        assert asked.get(f"/trials/{trial.slug}/{name}").status_code == 403
    assert "two glasses" in page_of(asked, trial, "?arms=shown")
    assert asked.get(f"/trials/{trial.slug}/finding/findings.json?arms=shown").status_code == 200
    Score.objects.create(trial=trial, photo=photos[1], measure="algae_score", rater="Ines", value=3)
    assert "two glasses" in page_of(asked, trial)


def test_a_trial_without_a_plan_leads_to_planning(asked, shelf):
    from fairtank.records.services.shelf_trials import trial_begin
    from fairtank.records.services.trail import KEEPER

    trial = trial_begin(by=KEEPER, title="New")
    for page in ("finding", "watch", "publish"):
        assert "The plan comes first" in text_of(asked.get(f"/trials/{trial.slug}/{page}/"))
