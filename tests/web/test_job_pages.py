"""Pages of the work behind the pages: the list, one piece with its progress, and the part that is asked for each second."""

from datetime import timedelta

import pytest
from django.utils import timezone


@pytest.fixture
def trial(shelf):
    from fairtank.records.models import Trial

    return Trial.objects.create(slug="glass", title="One cover glass <more>", start=timezone.now().date(), days=7)


@pytest.fixture
def job(trial):
    """A piece of work as a page finds it."""
    from fairtank.records.models import Job

    def job(state="running", kind="measure", **more):
        return Job.objects.create(kind=kind, trial=trial, subject=trial.title, state=state, **more)

    return job


def _text(answer, status=200):
    assert answer.status_code == status
    return " ".join(answer.content.decode().split())


def test_work_that_runs_tells_how_far_it_is_and_how_long_it_may_take(asked, job):
    found = job(done=1200, total=3000, left_s=170)
    told = _text(asked.get(f"/jobs/{found.pk}/part/"))
    assert "Measuring the photos: 1200 of 3000 photos, about 3 minutes left" in told
    assert 'max="3000" value="1200"' in told
    assert "Stop it" in told


def test_work_that_has_counted_all_and_goes_on_says_so(asked, job):
    told = _text(asked.get(f"/jobs/{job(kind='judge', done=8, total=8).pk}/part/"))
    assert "Working out the finding: all 8 photos are done, and the rest is under way." in told
    assert "value=" not in told.partition("<progress")[2].partition(">")[0]


def test_the_part_of_a_page_asks_again_each_second_as_long_as_the_work_goes_on(asked, job):
    running, over = job(), job("done")
    told = _text(asked.get(f"/jobs/{running.pk}/"))
    assert f'hx-get="/jobs/{running.pk}/part/" hx-trigger="every 1s"' in told
    assert "hx-get" not in _text(asked.get(f"/jobs/{over.pk}/"))


def test_work_that_is_done_ends_the_asking_and_the_page_loads_its_answer(asked, job):
    found = job("done")
    answer = asked.get(f"/jobs/{found.pk}/part/")
    assert (answer.status_code, answer.headers["HX-Refresh"], answer.headers["HX-Trigger"]) == (286, "true", "job-over")
    stays = asked.get(f"/jobs/{found.pk}/part/?then=stay")
    assert stays.status_code == 286
    assert "HX-Refresh" not in stays.headers
    assert "Load the page anew to see it" in _text(stays, 286)


@pytest.mark.parametrize(("state", "words"), [
    ("failed", "Measuring the photos: this could not be done.</p><div><p>The disk is full. Make room on it.</p></div>"),
    ("cancelled", "Measuring the photos: stopped. What was stored by then is kept."),
])
def test_work_that_ended_otherwise_says_so_and_the_page_stays(asked, job, state, words):
    found = job(state, reason="The disk is full. Make room on it." if state == "failed" else "")
    answer = asked.get(f"/jobs/{found.pk}/part/")
    assert "HX-Refresh" not in answer.headers
    told = _text(answer, 286)
    assert words in told
    assert "<progress" not in told


def test_a_reason_is_shown_as_text(asked, job):
    assert "<b>&lt;script&gt;" not in _text(asked.get(f"/jobs/{job('failed', reason='<script>alert(1)</script>').pk}/"))
    assert "&lt;script&gt;alert(1)" in _text(asked.get(f"/jobs/{job('failed', reason='<script>alert(1)</script>').pk}/"))


def test_work_that_has_waited_long_says_what_one_can_do(asked, job):
    from fairtank.records.models import Job

    found = job("waiting")
    assert "end fairtank and start it again" not in _text(asked.get(f"/jobs/{found.pk}/part/"))
    Job.objects.filter(pk=found.pk).update(made_at=timezone.now() - timedelta(seconds=30))
    told = _text(asked.get(f"/jobs/{found.pk}/part/"))
    assert "Measuring the photos: waits for its turn." in told
    assert "end fairtank and start it again" in told


def test_stopping_leads_back_to_the_page_that_asked(asked, job):
    waits, runs = job("waiting"), job()
    answer = asked.post(f"/jobs/{waits.pk}/stop/", {"next": "/trials/glass/"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/trials/glass/")
    assert "it stops after the step at hand" in _text(asked.post(f"/jobs/{runs.pk}/stop/", headers={"HX-Request": "true"}))
    for row in (waits, runs):
        row.refresh_from_db()
    assert (waits.state, runs.state, runs.wanted_stop) == ("cancelled", "running", True)


def test_an_answer_is_asked_for_once_and_leads_back(asked, trial):
    from fairtank.records.models import Job

    for _ in range(2):
        answer = asked.post("/trials/glass/work-out/judge/", {"next": "/trials/glass/"})
        assert (answer.status_code, answer.headers["Location"]) == (303, "/trials/glass/")
    assert [(row.kind, row.state, row.by) for row in Job.objects.all()] == [("judge", "waiting", "keeper")]


@pytest.mark.parametrize("elsewhere", ["https://evil.test/", "//evil.test/", "javascript:alert(1)", "\\\\evil.test", ""])
def test_no_answer_leads_to_another_place(asked, trial, elsewhere):
    answer = asked.post("/trials/glass/work-out/even/", {"next": elsewhere})
    assert answer.headers["Location"].startswith("/jobs/")


@pytest.mark.parametrize(("method", "address", "status"), [
    ("post", "/trials/glass/work-out/import/", 404), ("post", "/trials/glass/work-out/dust/", 404),
    ("post", "/trials/none/work-out/judge/", 404), ("get", "/trials/glass/work-out/judge/", 405), ("get", "/jobs/1/stop/", 405),
    ("post", "/jobs/1/part/", 405), ("get", "/jobs/999/", 404), ("get", "/jobs/999/part/", 404), ("post", "/jobs/999/stop/", 404),
])
def test_what_cannot_be_asked_is_refused(asked, trial, method, address, status):
    assert getattr(asked, method)(address).status_code == status


def test_nobody_sees_work_on_trials_that_they_do_not_see(asked, job):
    from fairtank.records.models import Trial

    found = job()
    Trial.everything.update(removed_at=timezone.now())
    assert asked.get(f"/jobs/{found.pk}/part/").status_code == 404
    assert "Measuring" not in _text(asked.get("/jobs/"))
    assert asked.get(f"/jobs/{found.pk}/", REMOTE_ADDR="192.0.2.7").status_code == 403
    assert asked.post(f"/jobs/{found.pk}/stop/", REMOTE_ADDR="192.0.2.7").status_code == 403


def test_the_list_tells_what_is_under_way_and_what_is_over(asked, job):
    assert "Nothing is under way." in _text(asked.get("/jobs/"))
    job(done=1, total=4)
    job("done", kind="judge", ended_at=timezone.now() - timedelta(minutes=5))
    told = _text(asked.get("/jobs/"))
    assert "Measuring the photos: 1 of 4 photos" in told
    assert 'Working out the finding</a><p>Done 5 minutes ago: <a href="/trials/glass/">One cover glass &lt;more&gt;</a>' in told


def test_the_list_takes_as_many_queries_for_thirty_as_for_one(asked, job):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for more in (1, 15):
        for _ in range(more):
            job()
            job("done", ended_at=timezone.now())
        with CaptureQueriesContext(connection) as queries:
            _text(asked.get("/jobs/"))
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 5


def _state(trial, rights=("record",), **more):
    from django.template.loader import render_to_string

    from fairtank.records.selectors.results import answer_of

    told = {"answer": answer_of(trial, "even"), "trial": trial, "kind": "even", "visitor": {"rights": rights}, **more}
    return " ".join(render_to_string("jobs/answer_state.html", told).split())


def test_how_an_answer_stands_to_the_record_is_told_with_what_one_can_do(trial, job):
    from fairtank.records.models import Job, Result
    from fairtank.records.services.trail import KEEPER, noted

    assert "This was not worked out yet." in _state(trial)
    assert ">Work it out</button>" in _state(trial)
    assert "button" not in _state(trial, rights=("look",))
    Result.objects.create(trial=trial, kind="even", revision=trial.revision, content={}, software="fairtank")
    assert "Worked out just now from the record as it stands." in _state(trial)
    assert "button" not in _state(trial)
    noted(by=KEEPER, verb="add", said="A reading.", trial=trial)
    assert "from the record as it stood then. 1 change came since." in _state(trial)
    assert ">Work it out again</button>" in _state(trial)
    waits = job("waiting", kind="even")
    assert "waits for its turn" in _state(trial)
    assert "Work it out again" not in _state(trial)
    Job.objects.filter(pk=waits.pk).update(state="failed", reason="No.", ended_at=timezone.now())
    assert "this could not be done" in _state(trial)
    assert ">Work it out again</button>" in _state(trial)
