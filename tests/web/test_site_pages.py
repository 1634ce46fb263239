"""The public page and the charts of a trial in the pages: asked for by a button, shown behind a policy of their own, when it was read."""

import html
import io
import zipfile

import pytest
from tests.web.judged_trials import sent, shelved, text_of, worked_out


def page_of(asked, trial, name, status=200):
    answer = asked.get(f"/trials/{trial.slug}/{name}/")
    assert answer.status_code == status
    return html.unescape(text_of(answer))


@pytest.fixture
def read(shelf, tmp_path):
    """A trial that is over and read."""
    trial = shelved(tmp_path / "glasses")
    worked_out(trial, "judge")
    return trial


@pytest.fixture
def quick(monkeypatch):
    """The report is tested elsewhere, and takes its time."""
    from fairtank.records.services import siting

    monkeypatch.setattr(siting, "_beside", lambda judged, content, place: ())


def work():
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job

    assert work_once()
    job = Job.objects.order_by("-pk").first()
    assert job.state == "done", job.error
    return job


def test_the_page_is_made_by_a_button_shown_and_taken_away(asked, read, quick):
    there = f"/trials/{read.slug}/site/"
    page = page_of(asked, read, "site")
    assert "No film was made yet." in page
    answer = asked.post(f"{there}make/", {"address": "https://trials.example/glasses", "kit": "yes"})
    assert (answer.status_code, answer.headers["Location"]) == (303, there)
    assert "Make the public page" not in page_of(asked, read, "site"), "it is not asked for twice while it waits"
    assert work().given == {"address": "https://trials.example/glasses/"}
    assert f'href="{there}page/index.html"' in page_of(asked, read, "site")
    shown = asked.get(f"{there}page/index.html")
    policy = shown.headers["Content-Security-Policy"]
    assert {"default-src 'none'", "script-src 'self'", "form-action 'none'", "frame-ancestors 'none'"} <= set(policy.split("; "))
    assert "connect-src" not in policy, "it may ask nothing of the other pages"
    told = sent(shown).decode()
    assert "og:image" in told
    kinds = {"page.js": "text/javascript", "type/AtkinsonHyperlegibleNext-Bold.ttf": "font/ttf", "preview.png": "image/png"}
    for name, kind in kinds.items():
        answer = asked.get(f"{there}page/{name}")
        assert answer.headers["Content-Type"].startswith(kind)
        sent(answer)
    archive = zipfile.ZipFile(io.BytesIO(sent(asked.get(f"{there}site.zip"))))
    assert archive.read(f"{read.slug}-site/index.html").decode() == told


def test_no_other_file_can_be_had_through_the_page(asked, read):
    from fairtank.records.services.answers import answer_keep
    from fairtank.records.services.working import out_of

    place = out_of(read) / "site"
    place.mkdir(parents=True)
    (place / "index.html").write_text("page", encoding="utf-8")
    (place / ".env").write_text("secret", encoding="utf-8")
    answer_keep(trial=read, kind="site", revision=read.revision, content={"files": ["index.html"], "size_bytes": 1, "given": {}})
    for name in ("nothing.html", "../site.zip", "..%2Ffindings.json", "../../folder/trial.toml", ".env"):
        assert asked.get(f"/trials/{read.slug}/site/page/{name}").status_code == 404, name


def test_what_cannot_be_made_is_refused_in_a_sentence(asked, read):
    from fairtank.records.models import Job

    refused(asked, read, "site", {"address": "my <b>page</b>"}, "accepted: the address of the folder")
    refused(asked, read, "charts", {"themes": "light", "forms": "svg"}, "Shapes: nothing is ticked. Tick at least one.")
    refused(asked, read, "charts", {"shapes": "round", "themes": "light", "forms": "svg"}, "shape is 'round'; accepted")
    assert not Job.objects.filter(kind__in=("site", "charts")).exists()


def test_charts_are_drawn_as_wished_shown_and_taken_away(asked, read):
    there = f"/trials/{read.slug}/charts/"
    assert "Draw the charts" in page_of(asked, read, "charts")
    asked.post(f"{there}make/", {"shapes": "page", "themes": ["light", "transparent"], "forms": "svg"})
    work()
    page = page_of(asked, read, "charts")
    assert f'src="{there}picture/page/transparent/tanks-algae-cover.svg"' in page
    answer = asked.get(f"{there}picture/page/light/curves-plant-cover.svg")
    assert answer.headers["Content-Type"] == "image/svg+xml"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    sent(answer)
    names = zipfile.ZipFile(io.BytesIO(sent(asked.get(f"{there}charts.zip")))).namelist()
    assert len(names) == 12
    assert asked.get(f"{there}picture/page/light/nothing.svg").status_code == 404
    asked.post(f"{there}make/", {"shapes": "page", "themes": "dark", "forms": "svg"})
    assert len(work().result) == 1
    assert "page/light" not in page_of(asked, read, "charts")


def refused(asked, read, name, given, told):
    """That a form is sent back with a sentence."""
    answer = asked.post(f"/trials/{read.slug}/{name}/make/", given)
    assert answer.status_code == 422
    assert told in html.unescape(text_of(answer))
    assert "<b>page" not in text_of(answer)


def test_before_the_trial_was_read_nothing_is_given_out(asked, shelf, tmp_path):
    trial = shelved(tmp_path / "glasses", day=10, until=9)
    assert all("First the finding has to be worked out" in page_of(asked, trial, name) for name in ("site", "charts"))
    worked_out(trial, "judge")
    for name, more, why in (("site", "page/index.html", "when the trial was read"),
                            ("charts", "picture/page/light/tanks-algae-cover.svg", "once the trial has been read")):
        page = page_of(asked, trial, name)
        assert why in page
        assert f"{name}/make/" not in page
        assert asked.post(f"/trials/{trial.slug}/{name}/make/", {"shapes": "page", "themes": "light", "forms": "svg"}).status_code == 403
        assert asked.get(f"/trials/{trial.slug}/{name}/{more}").status_code == 403
        assert asked.get(f"/trials/{trial.slug}/{name}/{name}.zip").status_code == 403


def test_the_film_and_the_kit_that_were_made_are_offered_and_taken_along(asked, read):
    from fairtank.records.models import Job
    from fairtank.records.services.answers import answer_keep
    from fairtank.records.services.working import out_of

    out = out_of(read)
    (out / "film").mkdir(parents=True, exist_ok=True)
    (out / "film" / "film-wide.mp4").write_bytes(b"film")
    (out / "kit.zip").write_bytes(b"kit")
    for kind, content in (("film", {"film": "film-wide.mp4"}), ("kit", {})):
        answer_keep(trial=read, kind=kind, revision=read.revision, content=content)
    page = page_of(asked, read, "site")
    assert 'name="film"' in page
    assert 'name="kit"' in page
    asked.post(f"/trials/{read.slug}/site/make/", {"film": "yes", "kit": "yes"})
    assert Job.objects.get(kind="site").given == {"address": "", "film": "film/film-wide.mp4", "kit": "kit.zip"}
