"""Trials that come to the shelf as a folder or packed, and what the pages then offer: the file is checked, kept no longer than needed."""

import zipfile
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from tests.web.planned_trials import page_text, planned_folder, planned_trial


def packed(inside="planned/", *, without=""):
    """The planned folder as a ZIP file."""
    made = BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for path in sorted(planned_folder().iterdir()):
            if path.name != without:
                archive.write(path, inside + path.name)
    return made.getvalue()


def send(asked, content, name="../Four tanks.zip"):
    return asked.post("/trials/take-in-file/", {"file": SimpleUploadedFile(name, content)})


def left(shelf):
    place = shelf / "derived" / "intake"
    return list(place.iterdir()) if place.exists() else []


def test_a_packed_trial_is_taken_in_under_the_name_of_its_file_which_is_not_kept(asked, shelf):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job, Trial

    answer = send(asked, packed(inside=""))
    job = Job.objects.get()
    assert (answer.status_code, answer["Location"]) == (303, job.get_absolute_url())
    assert len(left(shelf)) == 1
    assert work_once()
    assert (Trial.objects.get().origin, left(shelf)) == ("Four tanks", [])
    assert "To the trial" in page_text(asked.get(answer["Location"]))


def test_a_packed_folder_without_a_plan_is_refused_by_the_work_and_not_kept(asked, shelf):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job, Trial

    send(asked, packed(without="trial.toml"))
    assert work_once()
    job = Job.objects.get()
    assert (job.state, Trial.objects.count(), left(shelf)) == ("failed", 0, [])
    assert "has a trial.toml" in job.reason
    assert 'the kit is "Four tanks.zip"; accepted' in job.reason, "by the keeper's name for it, not by where it was put down"


@pytest.mark.parametrize(("content", "told"), [(b"a photo", "a.zip is no ZIP file; accepted: a trial"), (None, "No file was chosen.")])
def test_what_is_no_zip_file_is_refused_at_its_field(asked, shelf, content, told):
    from fairtank.records.models import Job

    answer = asked.post("/trials/take-in-file/") if content is None else send(asked, content, "a.zip")
    assert answer.status_code == 422
    assert told in page_text(answer)
    assert (Job.objects.count(), left(shelf)) == (0, [])


def test_the_folder_of_these_pages_is_offered_until_it_is_on_the_shelf_as_it_lies_there(asked, settings_folder):
    offer = "These pages were started with the folder planned."
    assert offer in page_text(asked.get("/"))
    trial = planned_trial()
    assert offer not in page_text(asked.get("/"))
    paper = trial.documents.get(path="trial.toml")
    paper.content = bytes(paper.content) + b"\n# another plan\n"
    paper.save()
    assert offer in page_text(asked.get("/"))


@pytest.fixture
def settings_folder(monkeypatch):
    from django.conf import settings

    monkeypatch.setattr(settings, "FAIRTANK_FOLDER", str(planned_folder()))


def test_a_trial_without_a_plan_shows_no_pages_that_would_only_ask_for_one(asked):
    address = asked.post("/trials/new/")["Location"]
    assert "Pages of this step" not in page_text(asked.get(address))
    assert "Pages of this step" in page_text(asked.get(f"{planned_trial().get_absolute_url()}plan/"))


def test_a_template_says_that_it_answers_each_question(asked):
    address = asked.post("/trials/new/")["Location"]
    page = asked.post(f"{address}template/", {"template": "feeding"}, follow=True)
    assert "Every question has a proposal now" in page_text(page)


def test_what_the_trial_could_show_starts_from_the_level_that_was_answered(shelf):
    from fairtank.records.models import Document
    from fairtank.records.selectors.foreseen import Tried, can_show

    trial = planned_trial()
    answered = next(float(line.split("=")[1]) for line in Document.objects.get(trial=trial, path="plan-answers.toml").text.splitlines()
                    if line.startswith("level ="))
    assert can_show(trial).document["reference"] == answered != 40.0
    assert can_show(trial, Tried(reference=40.0)).document["reference"] == 40.0


def test_the_next_step_is_told_where_a_step_was_just_done(asked):
    base = planned_trial().get_absolute_url()
    for route in ("even", "show"):
        assert "Go to the draw" in page_text(asked.get(f"{base}{route}/"))
    asked.post(f"{base}draw/", {"seed": "482915", "sure": "yes"})
    assert f'<a class="button" href="{base}seal/">Go to the seal</a>' in page_text(asked.get(f"{base}draw/"))
