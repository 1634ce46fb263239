"""A trial of the shelf as a folder that services work on: in step with the rows, changed in one step or not at all."""

import tomllib

import pytest
from tests.web.conftest import PLAN

UNDRAWN = PLAN.replace('arm = "R"\n', "").replace('arm = "C"\n', "").replace("drawn = true", "drawn = false")
READINGS = "unit,taken_at,quantity,value,unit_of_measure,colour\nT1,2026-03-02T18:00:00,ph,6.8,,blue\nT2,2026-03-03T18:00:00,ph,6.9,,\n"


@pytest.fixture
def trial(shelf, tmp_path):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    root = tmp_path / "trial"
    root.mkdir()
    (root / "trial.toml").write_text("# my own remark\n" + PLAN, encoding="utf-8")
    (root / "readings.csv").write_text(READINGS, encoding="utf-8")
    return trial_import(root=root, by=KEEPER)


def _changing(trial, said="Changed it."):
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.working import changing

    return changing(trial=trial, by=KEEPER, verb="change", said=said)


def test_a_trial_that_was_taken_in_has_its_rows(trial):
    assert [(unit.key, unit.arm.key) for unit in trial.units.all()] == [("T1", "R"), ("T2", "C")]
    assert [(arm.key, arm.role, arm.name) for arm in trial.arms.all()] == [("R", "reference", "no break"), ("C", "changed", "dark break")]
    assert trial.measures.get().title != ""
    assert (trial.kind, trial.days, str(trial.start), trial.planned) == ("side_by_side", 14, "2026-03-01", True)


def test_readings_keep_the_keepers_clock_their_day_and_cells_that_are_not_known(trial):
    from fairtank.records.models import Reading

    first, second = Reading.objects.filter(trial=trial)
    assert (first.taken_at.isoformat(), first.day, first.value) == ("2026-03-02T18:00:00", 1, 6.8)
    assert (first.extra, second.extra) == ({"colour": "blue"}, {"colour": ""})


def test_the_folder_is_the_one_that_came_until_something_changes(trial):
    from fairtank.records.services.working import opened

    with opened(trial) as root:
        assert (root / "readings.csv").read_text(encoding="utf-8") == READINGS
        assert (root / "trial.toml").read_text(encoding="utf-8").startswith("# my own remark\n")


def test_a_row_that_is_changed_is_in_the_folder_the_next_time(trial):
    from fairtank.records.models import Reading
    from fairtank.records.services.trail import KEEPER, noted
    from fairtank.records.services.working import opened

    Reading.objects.filter(trial=trial, value=6.9).update(value=7.1)
    noted(by=KEEPER, verb="change", said="Mended a reading.", trial=trial, tables=("readings",))
    with opened(trial) as root:
        assert (root / "readings.csv").read_text(encoding="utf-8") == (
            "unit,taken_at,quantity,value,unit_of_measure,method,below_detection,colour\n"
            "T1,2026-03-02T18:00:00,ph,6.8,,,false,blue\nT2,2026-03-03T18:00:00,ph,7.1,,,false,\n")


def test_what_a_service_changes_in_the_folder_becomes_the_trials(trial):
    from fairtank.records.models import Change, FactorValue

    before = trial.revision
    with _changing(trial, "Wrote down what T1 has.") as root:
        text = (root / "trial.toml").read_text(encoding="utf-8")
        (root / "trial.toml").write_text(text.replace("days = 14", "days = 21"), encoding="utf-8")
        (root / "factors.csv").write_text("unit,factor,value,unit_of_measure,note\nT1,filter_model,sponge,,\n", encoding="utf-8")
    assert trial.days == 21
    assert trial.revision == before + 1
    assert FactorValue.objects.get(trial=trial).value == "sponge"
    assert Change.objects.filter(trial=trial).first().said == "Wrote down what T1 has."


def test_nothing_is_stored_of_a_folder_that_is_no_trial_afterwards(trial):
    from fairtank.errors import FolderError
    from fairtank.records.services.working import opened

    before = trial.revision
    def spoilt():
        with _changing(trial) as root:
            text = (root / "trial.toml").read_text(encoding="utf-8")
            (root / "trial.toml").write_text(text.replace("days = 14", "days = -3"), encoding="utf-8")

    with pytest.raises(FolderError, match="days"):
        spoilt()
    trial.refresh_from_db()
    assert (trial.days, trial.revision) == (14, before)
    with opened(trial) as root:
        assert tomllib.loads((root / "trial.toml").read_text(encoding="utf-8"))["design"]["days"] == 14


def test_nothing_is_stored_when_the_service_fails_half_way(trial):
    from fairtank.records.services.working import opened

    def half_way():
        with _changing(trial) as root:
            (root / "readings.csv").unlink()
            raise KeyError("in the middle")

    with pytest.raises(KeyError, match="middle"):
        half_way()
    with opened(trial) as root:
        assert (root / "readings.csv").read_text(encoding="utf-8") == READINGS


def test_a_unit_of_which_something_is_recorded_cannot_leave_the_plan(trial):
    from fairtank.records.rows.plan import plan_rows_store

    with pytest.raises(Exception, match="T2"):
        plan_rows_store(trial, PLAN.replace('key = "T2"', 'key = "T9"'))


def test_another_first_day_counts_the_days_of_all_rows_anew(trial):
    from fairtank.records.models import Reading

    with _changing(trial) as root:
        text = (root / "trial.toml").read_text(encoding="utf-8")
        (root / "trial.toml").write_text(text.replace("2026-03-01", "2026-02-27"), encoding="utf-8")
    assert list(Reading.objects.filter(trial=trial).values_list("day", flat=True)) == [3, 4]


def test_a_plan_that_is_not_drawn_yet_has_units_without_arms(shelf, tmp_path):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    root = tmp_path / "undrawn"
    root.mkdir()
    (root / "trial.toml").write_text(UNDRAWN, encoding="utf-8")
    trial = trial_import(root=root, by=KEEPER)
    assert [unit.arm for unit in trial.units.all()] == [None, None]
    assert trial.documents.get(path="trial.toml").text == UNDRAWN
    with _changing(trial) as folder:
        (folder / "trial.toml").write_text(PLAN, encoding="utf-8")
    assert [unit.arm.key for unit in trial.units.all()] == ["R", "C"]


def test_the_migrations_lead_to_the_rows_as_they_are(shelf):
    from django.apps import apps
    from django.db.migrations.autodetector import MigrationAutodetector
    from django.db.migrations.loader import MigrationLoader
    from django.db.migrations.state import ProjectState
    from django.test import override_settings

    with override_settings(MIGRATION_MODULES={}):
        loader = MigrationLoader(None)
    assert ("records", "0001_initial") in loader.disk_migrations
    detector = MigrationAutodetector(loader.project_state(), ProjectState.from_apps(apps))
    changes = detector.changes(graph=loader.graph)
    assert [operation.describe() for step in changes.get("records", []) for operation in step.operations] == []


def _photo(trial, unit, number, **more):
    from fairtank.records.models import Photo
    from fairtank.records.shelf_photos import photo_files

    content = _jpeg(number)
    stored = photo_files().put([content])
    return Photo.objects.create(trial=trial, unit=trial.units.get(key=unit), path=f"photos/{unit}-{number}.jpg", day=1,
                                taken_at="2026-03-02T12:00:00", sha256=stored.sha256, size_bytes=len(content), width_px=64,
                                height_px=48, **more)


def _jpeg(number):
    import io

    from PIL import Image

    made = io.BytesIO()
    Image.new("RGB", (64, 48), (number, 120, 60)).save(made, "JPEG")
    return made.getvalue()


def test_photos_that_wait_for_a_frame_are_not_in_the_folder_and_come_with_it(trial):
    from fairtank.records.folder.reader import read_folder
    from fairtank.records.models import Frame
    from fairtank.records.services.trail import KEEPER, noted
    from fairtank.records.services.working import opened

    first, _second = _photo(trial, "T1", 1), _photo(trial, "T2", 2)
    noted(by=KEEPER, verb="add", said="Two photos.", trial=trial, tables=("photos",))
    with opened(trial) as root:
        assert read_folder(root).photos == ()
    Frame.objects.create(trial=trial, unit=first.unit, reference_photo=first, mode="registered", view="front",
                         corners=[1, 1, 60, 1, 60, 40, 1, 40], width_cm=60, height_cm=36)
    noted(by=KEEPER, verb="add", said="A frame.", trial=trial, tables=("frames",))
    with opened(trial) as root:
        folder = read_folder(root)
        assert [photo.path for photo in folder.photos] == ["photos/T1-1.jpg"]
        assert (root / "photos" / "T1-1.jpg").read_bytes() == _jpeg(1)
        assert not (root / "photos" / "T2-2.jpg").exists()
