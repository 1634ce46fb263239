"""Report and files: each file whole, photos without their place, the report behind its own policy, and the disclosure asked for."""

import hashlib
import html
import io
import zipfile
from datetime import date, datetime

import pytest
from tests.records.placed_photos import MARK, placed
from tests.web.judged_trials import UNITS, sent, shelved, text_of, worked_out


@pytest.fixture
def trial(shelf, tmp_path):
    return shelved(tmp_path / "glasses")


@pytest.fixture
def photographed(trial):
    """The same with two photos, of which one carries a place, and a value of each."""
    from fairtank.records.models import Measurement, Photo, Unit
    from fairtank.records.shelf_photos import photo_files

    contents = placed("JPEG"), cleaned(placed("JPEG"))
    for day, content in enumerate(contents, start=1):
        photo_files().put(io.BytesIO(content))
        photo = Photo.objects.create(trial=trial, unit=Unit.objects.get(trial=trial, key="T1"), path=f"photos/T1-{day}.jpg", day=day,
                                     taken_at=datetime(2026, 1, day, 12), sha256=hashlib.sha256(content).hexdigest(),
                                     size_bytes=len(content), width_px=64, height_px=48, quality="usable")
        Measurement.objects.create(trial=trial, photo=photo, measure="algae_cover", value=10.25 + day, unit_of_measure="%",
                                   quality="usable", version="1-a")
    return contents


def cleaned(content):
    from fairtank.records.gps import without_place

    return without_place(content, "image/jpeg")


def page_of(asked, trial):
    answer = asked.get(f"/trials/{trial.slug}/publish/")
    assert answer.status_code == 200
    return html.unescape(text_of(answer))


def zip_of(asked, trial, more=""):
    answer = asked.get(f"/trials/{trial.slug}/publish/trial.zip{more}")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/zip")
    archive = zipfile.ZipFile(io.BytesIO(sent(answer)))
    assert archive.testzip() is None
    return {name: archive.read(name) for name in archive.namelist()}


def test_the_zip_file_holds_what_the_export_writes(asked, trial, tmp_path):
    from fairtank.records.services.exporting import trial_export

    root = trial_export(trial=trial, root=tmp_path / "exported")
    exported = {f"{trial.slug}/{place.relative_to(root).as_posix()}": place.read_bytes() for place in root.rglob("*") if place.is_file()}
    assert zip_of(asked, trial) == exported
    assert set(exported) == {f"{trial.slug}/trial.toml", f"{trial.slug}/series.csv"}


def test_the_zip_file_can_be_taken_in_again_as_it_is(asked, trial, tmp_path):
    from fairtank.records.folder.reader import read_folder
    from fairtank.records.folder.zipped import folder_at

    place = tmp_path / "given.zip"
    place.write_bytes(sent(asked.get(f"/trials/{trial.slug}/publish/trial.zip")))
    with folder_at(place) as root:
        assert [unit.key for unit in read_folder(root).plan.units] == list(UNITS)


def test_photos_leave_without_their_place_and_a_text_names_those_that_are_other_files_now(asked, trial, photographed):
    held, bare = photographed
    files = zip_of(asked, trial)
    assert files[f"{trial.slug}/photos/T1-1.jpg"] == cleaned(held) != held
    assert files[f"{trial.slug}/photos/T1-2.jpg"] == bare
    assert all(MARK not in content for content in files.values())
    told = files["about-the-photos.txt"].decode()
    assert "do not match a stamp" in told
    assert "photos/T1-1.jpg" in told
    assert "photos/T1-2.jpg" not in told
    kept = zip_of(asked, trial, "?place=kept")
    assert kept[f"{trial.slug}/photos/T1-1.jpg"] == held
    assert "about-the-photos.txt" not in kept


def test_a_photo_that_cannot_be_cleaned_stays_here_and_is_named(asked, trial, photographed, monkeypatch):
    from fairtank.errors import PhotoError
    from fairtank.records.exporters import folder_zip

    def refused(content, media):
        raise PhotoError("It is put together in an unusual way.")

    monkeypatch.setattr(folder_zip, "without_place", refused)
    files = zip_of(asked, trial)
    assert not any(name.endswith(".jpg") for name in files)
    assert "left out" in files["about-the-photos.txt"].decode()


def test_the_page_says_what_the_zip_file_does_to_photos(asked, trial, photographed):
    page = page_of(asked, trial)
    assert "Photos leave without the place where they were taken." in page
    assert "names each photo that was changed by it" in page
    assert "Whoever gets it may read from a photo where you live." in page


def test_the_values_of_photos_are_the_table_that_the_command_writes(asked, trial, photographed):
    from fairtank.records.exporters.measures import measures_text
    from fairtank.trial import Measured

    worked_out(trial, "watch")  # judging would measure the photos
    assert asked.get(f"/trials/{trial.slug}/publish/measures.csv").status_code == 403
    judged_without_photos(trial)
    rows = tuple(Measured(f"photos/T1-{day}.jpg", "T1", datetime(2026, 1, day, 12), day, "algae_cover", "", 10.25 + day, "%", None,
                          "usable", "1-a") for day in (1, 2))
    assert sent(asked.get(f"/trials/{trial.slug}/publish/measures.csv")).decode() == measures_text(rows)


def judged_without_photos(trial):
    """An answer made from the ready-made values alone, kept as the trial's."""
    from fairtank.records.models import Photo, Result

    photos = list(Photo.objects.filter(trial=trial))
    Photo.objects.filter(trial=trial).update(removed_at=datetime(2026, 2, 1).astimezone())
    assert worked_out(trial, "judge").state == "done"
    Photo.everything.filter(pk__in=[photo.pk for photo in photos]).update(removed_at=None)
    assert Result.objects.filter(trial=trial, kind="judge").exists()


@pytest.fixture
def reported(trial, monkeypatch):
    """With a report; what it looks like is tested elsewhere, and takes seconds."""
    from fairtank.publish.content import ReportFiles
    from fairtank.records.services import trials

    def written(content, out):
        names = ("report.html", "report.pdf", "one-page.html", "one-page.pdf")
        for name in names:
            (out / name).write_text(f"{name} of {content.inputs_digest}", encoding="utf-8")
        return ReportFiles(*(out / name for name in names))

    monkeypatch.setattr(trials, "write_report", written)
    assert worked_out(trial, "report").state == "done"
    return trial


def test_the_report_is_read_behind_its_own_policy_and_can_be_kept(asked, reported):
    from fairtank.web.security import PDF_POLICY, REPORT_POLICY

    page = page_of(asked, reported)
    assert "Read the report" in page
    assert "Read the one page" in page
    page_type = "text/html; charset=utf-8"
    for name, media, policy in (("report.html", page_type, REPORT_POLICY), ("report.pdf", "application/pdf", PDF_POLICY),
                                ("one-page.html", page_type, REPORT_POLICY), ("one-page.pdf", "application/pdf", PDF_POLICY)):
        answer = asked.get(f"/trials/{reported.slug}/publish/{name}")
        assert (answer.headers["Content-Type"], answer.headers["Content-Security-Policy"]) == (media, policy)
        assert answer.headers["Content-Disposition"].startswith("inline")
        assert sent(answer).decode().startswith(name)
        kept = asked.get(f"/trials/{reported.slug}/publish/{name}?keep=1")
        assert kept.headers["Content-Disposition"].startswith("attachment")
        kept.close()


def test_the_page_leads_to_all_that_can_be_given_away_once_the_trial_was_read(asked, reported):
    from fairtank.web.house import address
    from fairtank.web.views.publish import AWAY

    page = page_of(asked, reported)
    there = [(place, title) for route, title, _ in AWAY if (place := address(route, reported.slug))]
    assert len(there) >= 4
    for place, title in there:
        assert f'<a href="{place}">{title}</a>' in page


def test_a_report_of_an_earlier_record_says_so(asked, reported):
    from fairtank.records.services.trail import KEEPER, noted

    noted(by=KEEPER, verb="change", said="One more event.", trial=reported)
    page = page_of(asked, reported)
    assert "1 change came since" in page
    assert "worked out from an earlier state" in page


def test_before_the_first_report_the_page_offers_to_write_it_and_its_address_says_so(asked, trial):
    assert "the finding was not worked out yet" in page_of(asked, trial)
    worked_out(trial, "judge")
    assert "Write the report" in page_of(asked, trial)
    missing = asked.get(f"/trials/{trial.slug}/publish/report.html")
    assert missing.status_code == 404
    assert "There is no report yet" in text_of(missing)
    assert asked.get(f"/trials/{trial.slug}/publish/measures.csv").status_code == 404


def test_what_a_reader_would_miss_is_listed_and_the_disclosure_asked_for(asked, trial):
    worked_out(trial, "judge")
    page = page_of(asked, trial)
    assert "The plan was not sealed" in page
    assert "no disclosure was written down" in page
    assert "did anybody give you something for this trial" in page


def test_a_disclosure_goes_into_the_plan_and_everything_else_there_stays(asked, trial):
    from fairtank.records.selectors.trial_state import papers_of

    before = papers_of(trial).texts["trial.toml"]
    answer = asked.post(f"/trials/{trial.slug}/publish/disclosure/", {"disclosure": "Nobody gave\r\nanything."})
    assert answer.status_code == 303
    after = papers_of(trial).texts["trial.toml"]
    assert papers_of(trial).plan.disclosure == "Nobody gave anything."
    assert [line for line in after.splitlines() if "disclosure" not in line] == before.splitlines()
    assert "Nobody gave anything." in page_of(asked, trial)
    asked.post(f"/trials/{trial.slug}/publish/disclosure/", {"disclosure": 'A lamp, "lent".'})
    assert papers_of(trial).plan.disclosure == 'A lamp, "lent".'


@pytest.mark.parametrize(("text", "told"), [("  ", "Where nobody gave anything, say just that."), ("x" * 401, "401 characters long")])
def test_a_disclosure_that_cannot_be_taken_says_why_and_keeps_what_was_typed(asked, trial, text, told):
    answer = asked.post(f"/trials/{trial.slug}/publish/disclosure/", {"disclosure": text})
    assert answer.status_code == 422
    assert told in html.unescape(text_of(answer))
    assert text in text_of(answer)


def test_the_code_of_the_seal_and_the_calendar_are_there(asked, trial):
    from fairtank.records.models import Trial
    from fairtank.records.services.shelf_seal import plan_seal
    from fairtank.records.services.trail import KEEPER

    plan_seal(trial=trial, by=KEEPER, reason="Late.", key=None, with_data=False)
    page = page_of(asked, trial)
    assert Trial.objects.get(pk=trial.pk).seal_code in page
    there = f"/trials/{trial.slug}/schedule/calendar.ics"
    assert there not in page, "no day of it is still to come"
    Trial.objects.filter(pk=trial.pk).update(start=date.today())
    assert there in page_of(asked, trial)
    assert asked.get(f"/trials/{trial.slug}/schedule/calendar.ics").headers["Content-Type"].startswith("text/calendar")
