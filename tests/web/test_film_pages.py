"""The film: made behind the pages, played in the page in parts, given to nobody before the trial was read."""

import html

import pytest
from tests.web.judged_trials import UNITS, sent, shelved, text_of, worked_out

CONTENT = {"film": "film-wide-1080p.mp4", "poster": "film-wide-1080p.jpg", "poster_webp": "film-wide-1080p.webp",
           "before_after": "before-after.jpg", "pairs": [["T1", "tank-1-T1.jpg"]], "times": "film-wide-1080p.json", "seconds": 24.4,
           "size_px": [1920, 1080], "size_bytes": 1000, "given": {"arms": "at the end", "seconds_per_day": 0.4}, "read_on": "2026-03-01"}
FILM = bytes(range(250)) * 4


@pytest.fixture
def over(shelf, tmp_path):
    """A trial that was read."""
    trial = shelved(tmp_path / "glasses")
    worked_out(trial, "judge")
    return trial


@pytest.fixture
def filmed(over):
    """The same with a film, as if made."""
    from fairtank.records.services.answers import answer_keep
    from fairtank.records.services.working import out_of

    place = out_of(over) / "film"
    place.mkdir(parents=True, exist_ok=True)
    for name in ("film-wide-1080p.mp4", "film-wide-1080p.jpg", "film-wide-1080p.webp", "before-after.jpg", "tank-1-T1.jpg", "other.mp4"):
        (place / name).write_bytes(FILM)
    answer_keep(trial=over, kind="film", revision=over.revision, content=CONTENT)
    return over


def page_of(asked, trial, *, status=200):
    answer = asked.get(f"/trials/{trial.slug}/film/")
    assert answer.status_code == status
    return html.unescape(text_of(answer))


def test_what_is_chosen_is_handed_to_the_work_and_the_page_tells_how_far_it_is(asked, over):
    from fairtank.records.models import Job

    assert "ends with the finding" in page_of(asked, over)
    answer = asked.post(f"/trials/{over.slug}/film/make/", {"shape": "tall", "size": "4k", "form": "webm", "arms": "never",
                                                             "seconds_per_day": "0,5", "curve": "yes", "tank": ["T1", "T2"]})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/trials/{over.slug}/film/")
    job = Job.objects.get(kind="film")
    assert job.given == {"shape": "tall", "size": "4k", "form": "webm", "arms": "never", "seconds_per_day": 0.5, "units": ["T1", "T2"],
                         "curve": True, "captions": False, "date": False, "cards": False, "seal_line": False}
    page = page_of(asked, over)
    assert f'id="job-{job.pk}"' in page
    assert "film/make/" not in page, "it is not asked for twice while it waits"


@pytest.mark.parametrize(("sent_in", "said"), [
    ({"seconds_per_day": "many"}, "Seconds for each day is many; accepted: 0.1 to 5"),
    ({"seconds_per_day": "9"}, "Seconds for each day is 9.0; accepted: 0.1 to 5"),
    ({"tank": [f"T{number}" for number in range(1, 8)]}, "The number of tanks in the film is 7; accepted: 1 to 6. Tick which ones"),
    ({"shape": "round"}, "The shape of the film is round; accepted: wide, tall or square"),
])  # fmt: skip
def test_what_cannot_be_met_is_refused_in_a_sentence(asked, over, sent_in, said):
    from fairtank.records.models import Job

    form = {"shape": "wide", "size": "1080p", "form": "mp4", "arms": "shown", **sent_in}
    answer = asked.post(f"/trials/{over.slug}/film/make/", form)
    assert answer.status_code == 422
    assert said in html.unescape(text_of(answer))
    assert not Job.objects.filter(kind="film").exists()


def test_a_refused_number_loses_none_of_the_other_choices(asked, over):
    form = {"shape": "tall", "size": "4k", "form": "webm", "arms": "at the end", "date": "yes", "seconds_per_day": "slow"}
    page = text_of(asked.post(f"/trials/{over.slug}/film/make/", form))
    assert all(f'value="{form[name]}" selected' in page for name in ("shape", "size", "form", "arms"))
    assert 'name="date" value="yes" checked' in page
    assert 'name="captions" value="yes" checked' not in page
    assert 'value="slow"' in page


def test_before_the_trial_was_read_nothing_is_made_or_given(asked, shelf, tmp_path):
    from fairtank.records.models import Job

    trial = shelved(tmp_path / "glasses", day=10, until=9)
    assert "First the finding has to be worked out" in page_of(asked, trial)
    worked_out(trial, "judge")
    assert "A film is made once the trial has been read" in (page := page_of(asked, trial))
    assert "values reach day 9 of 21" in page, "what it waits for"
    assert "its last day is past" not in page
    form = {"shape": "wide", "size": "1080p", "form": "mp4", "arms": "shown"}
    assert asked.post(f"/trials/{trial.slug}/film/make/", form).status_code == 403
    assert not Job.objects.filter(kind="film").exists()
    assert asked.get(f"/trials/{trial.slug}/film/film-wide-1080p.mp4").status_code == 403


def test_a_trial_past_its_end_whose_values_stop_early_says_what_helps(asked, shelf, tmp_path):
    trial = shelved(tmp_path / "glasses", day=60, until=9)
    worked_out(trial, "judge")
    page = page_of(asked, trial)
    assert "values reach day 9 of 21" in page
    assert "By the plan its last day is past: bring in the values up to then" in page


def test_work_that_was_asked_for_too_early_ends_with_the_reason(asked, shelf, tmp_path):
    job = worked_out(shelved(tmp_path / "glasses", day=10, until=9), "film")
    assert job.state == "failed"
    assert "The page “Finding” tells what it waits for." in job.reason


def test_a_trial_without_photos_is_told_what_is_missing(over):
    job = worked_out(over, "film")
    assert job.state == "failed"
    assert "Photograph the tanks, set their frames and measure the photos first." in job.reason


def test_the_film_stands_in_the_page_with_its_poster_and_its_files(asked, filmed):
    page = page_of(asked, filmed)
    there = f"/trials/{filmed.slug}/film/"
    assert f'poster="{there}film-wide-1080p.jpg"' in page
    assert f'<source src="{there}film-wide-1080p.mp4" type="video/mp4">' in page
    assert "24 seconds, 1920 x 1080 px" in page
    assert f'href="{there}tank-1-T1.jpg?keep=1"' in page
    assert 'value="at the end" selected' in page, "the form begins with what was chosen last"
    assert "media-src 'self'" in asked.get(there).headers["Content-Security-Policy"]


def test_captions_play_along_when_they_were_written_for_this_very_film(asked, filmed):
    from fairtank.records.services.answers import answer_keep

    def told(film):
        texts = {"captions.vtt": "WEBVTT\n", "description.txt": ""}
        answer_keep(trial=filmed, kind="words", revision=filmed.revision, content={"texts": texts, "film": film})
        return "<track " in page_of(asked, filmed)

    assert "<track " not in page_of(asked, filmed)
    assert told("film-wide-1080p.mp4")
    assert not told("film-tall-1080p.mp4")
    assert told("film-wide-1080p.mp4")
    answer_keep(trial=filmed, kind="film", revision=filmed.revision, content=CONTENT)
    assert "<track " not in page_of(asked, filmed), "a film that was made anew may have other times"


def test_only_files_of_the_film_are_given_out(asked, filmed):
    there = f"/trials/{filmed.slug}/film/"
    whole = asked.get(f"{there}film-wide-1080p.mp4")
    assert (whole.status_code, whole.headers["Content-Type"], sent(whole)) == (200, "video/mp4", FILM)
    kept = asked.get(f"{there}film-wide-1080p.mp4?keep=1")
    assert sent(kept) == FILM
    assert kept.headers["Content-Disposition"] == f'attachment; filename="{filmed.slug}-film-wide-1080p.mp4"'
    for name in ("other.mp4", "..%2Freport.html", "film-wide-1080p.json"):
        assert asked.get(there + name).status_code == 404


def test_a_player_may_ask_for_a_part(asked, filmed):
    for asked_for, first, last in (("0-99", 0, 99), ("900-", 900, 999), ("-10", 990, 999), ("500-5000", 500, 999)):
        answer = asked.get(f"/trials/{filmed.slug}/film/film-wide-1080p.mp4", headers={"Range": f"bytes={asked_for}"})
        assert (answer.status_code, answer.headers["Content-Range"]) == (206, f"bytes {first}-{last}/1000")
        assert answer.headers["Content-Length"] == str(last - first + 1)
        assert sent(answer) == FILM[first:last + 1]


def test_a_part_that_is_not_there_is_refused_and_one_that_is_not_understood_gives_the_whole(asked, filmed):
    place = f"/trials/{filmed.slug}/film/film-wide-1080p.mp4"
    for behind in ("bytes=1000-", "bytes=-0"):
        answer = asked.get(place, headers={"Range": behind})
        assert (answer.status_code, answer.headers["Content-Range"], answer.content) == (416, "bytes */1000", b"")
    for other in ("bytes=5-2", "bytes=0-1,5-9", "bytes=-", "lines=1-2", "bytes=a-b"):
        answer = asked.get(place, headers={"Range": other})
        assert (answer.status_code, sent(answer)) == (200, FILM), other


def test_the_work_keeps_what_the_page_shows(over, tmp_path, monkeypatch):
    from fairtank.publish.film.content import FilmFiles
    from fairtank.publish.film.timeline import timeline_of
    from fairtank.publish.film.wishes import FilmWishes
    from fairtank.records.jobs import film
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.selectors.results import answer_of
    from fairtank.records.services.trail import KEEPER

    (tmp_path / "film.mp4").write_bytes(FILM)
    told, place = {}, tmp_path / "film.mp4"

    def made(*, judged, out, wishes, progress):
        progress(3, 9)
        told["wishes"] = wishes
        return FilmFiles(place, place, timeline_of((0, 3), frames_per_second=30), place, place, place, (("T1", place),), (1080, 1920))

    monkeypatch.setattr(film, "film_make", made)
    enqueue(kind="film", trial=over, by=KEEPER, given={"shape": "tall", "units": ["T1"], "unknown": 1})
    assert work_once()
    assert told["wishes"] == FilmWishes(shape="tall", units=("T1",))
    content = answer_of(over, "film").result.content
    assert content["film"] == "film.mp4"
    assert (content["size_px"], content["size_bytes"], content["pairs"]) == ([1080, 1920], 1000, [["T1", "film.mp4"]])
    assert set(content) == set(CONTENT)
    assert len(UNITS) == 6
