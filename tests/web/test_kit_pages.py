"""Kit and repeat: nothing goes out before the trial was read or without a licence, the check is shown, and a plan comes of it."""

import html
import io
import zipfile
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from tests.web.judged_trials import sent, shelved, text_of, worked_out

TANK = {"length_cm": "61,2", "width_cm": "41.2", "height_cm": "30", "glass_mm": "6", "start": "2027-03-01"}


def page_of(answer, status=200):
    assert answer.status_code == status
    return html.unescape(text_of(answer))


@pytest.fixture
def over(shelf, tmp_path):
    trial = shelved(tmp_path / "glasses")
    worked_out(trial, "judge")
    return trial


def test_a_kit_is_written_checked_and_kept(asked, over):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job

    there = f"/trials/{over.slug}/kit/"
    page = page_of(asked.get(there))
    assert "Keep the kit" not in page
    assert 'name="licence" value="CC-BY-4.0" required>' in page, "no licence is chosen for the keeper"
    answer = asked.post(f"{there}ask/", {"photos": "full", "licence": "CC-BY-4.0", "place": "kept"})
    assert (answer.status_code, answer.headers["Location"]) == (303, there)
    assert Job.objects.get(kind="kit").given == {"photos": "full", "licence": "CC-BY-4.0", "with_place": True}
    assert work_once()
    assert Job.objects.get(kind="kit").state == "done", Job.objects.get(kind="kit").reason
    page = page_of(asked.get(there))
    for said in ("Every file of the kit is as its list says", "The trial in it is not sealed", "Creative Commons Attribution 4.0",
                 "of its 94 fields",
                 "organism", "Keep the kit"):
        assert said in page, said
    file = asked.get(f"{there}kit.zip")
    assert file.headers["Content-Disposition"] == f'attachment; filename="{over.slug}-kit.zip"'
    archive = zipfile.ZipFile(io.BytesIO(sent(file)))
    assert archive.testzip() is None
    assert {"two-glasses-invented/datapackage.json", "two-glasses-invented/results/findings.json"} <= set(archive.namelist())


def test_without_the_keepers_choice_nothing_is_written(asked, over):
    from fairtank.records.models import Job

    for given in ({}, {"photos": "full"}, {"photos": "full", "licence": "MIT"}, {"photos": "tiny", "licence": "none"}):
        assert "without your word nothing is allowed" in page_of(asked.post(f"/trials/{over.slug}/kit/ask/", given), 422)
    assert not Job.objects.filter(kind="kit").exists()


def test_before_the_trial_was_read_there_is_no_kit(asked, shelf, tmp_path):
    from fairtank.records.services.working import out_of

    trial = shelved(tmp_path / "running", day=5, until=3)
    worked_out(trial, "judge")
    page = page_of(asked.get(f"/trials/{trial.slug}/kit/"))
    assert "written when the trial was read" in page
    assert "kit/ask/" not in page
    job = worked_out(trial, "kit")
    assert job.state == "failed"
    assert "The kit is written when the trial was read" in job.reason
    assert not (out_of(trial) / "kit.zip").exists()
    (out_of(trial) / "kit.zip").write_bytes(b"PK")
    assert asked.get(f"/trials/{trial.slug}/kit/kit.zip").status_code == 403


def test_a_trial_of_the_shelf_is_repeated_and_the_new_plan_says_so(asked, shelf, tmp_path):
    from fairtank.records.models import Trial

    over = shelved(tmp_path / "glasses")
    assert f'value="{over.slug}" selected' in page_of(asked.get(f"/repeat/?trial={over.slug}"))
    page = page_of(asked.post("/repeat/make/", {**TANK, "trial": over.slug}))
    new = Trial.objects.exclude(pk=over.pk).get()
    assert (new.title, new.start) == ("Two glasses (invented) (repeated)", date(2027, 3, 1))
    assert "It repeats: Two glasses (invented); plan sha256:" in page
    for said in ("Yours to decide", "Reckoned anew for your tanks", "Taken over as it was", "draw the lot", "what is to be built"):
        assert said in page, said
    assert "repeats Two glasses (invented)" in " ".join(page_of(asked.get(f"/trials/{new.slug}/plan/")).split())


def test_a_kit_that_was_handed_in_is_repeated(asked, shelf, tmp_path):
    from fairtank.records.models import Trial
    from fairtank.records.services.kitting import kit_make
    from fairtank.records.services.working import opened

    with opened(shelved(tmp_path / "glasses")) as root:
        made = kit_make(root=root, out=tmp_path / "kit.zip")
    file = SimpleUploadedFile("kit.zip", made.path.read_bytes())
    assert made.facts.inputs_digest in page_of(asked.post("/repeat/make/", {**TANK, "file": file}))
    assert Trial.objects.count() == 2


REFUSED = [
    ({}, "What is repeated is not chosen; accepted: a trial of the shelf, or the file of a kit"),
    ({"trial": "SLUG", "length_cm": "wide"}, "Length is wide; accepted: a number from 1 to 500"),
    ({"trial": "SLUG", "glass_mm": ""}, "Glass is empty; accepted: a number from 1 to 40"),
    ({"trial": "SLUG", "start": "soon"}, "Day 0 is soon; accepted: a date such as 2027-03-01"),
    ({"file": SimpleUploadedFile("x.zip", b"nothing")}, "It is broken, packed with a password, or no ZIP file."),
]  # fmt: skip


def test_what_cannot_be_repeated_is_said(asked, shelf, tmp_path):
    from fairtank.records.models import Trial

    trial = shelved(tmp_path / "glasses")
    for given, said in REFUSED:
        sent_in = {**TANK, **{name: trial.slug if value == "SLUG" else value for name, value in given.items()}}
        assert said in page_of(asked.post("/repeat/make/", sent_in), 422)
    assert Trial.objects.count() == 1
