"""What is taken away can be brought back for 30 days; then it is forgotten, and photos with it that nobody names."""

import os
import time
from datetime import timedelta

import pytest
from tests.records.shelved import shelved


@pytest.fixture
def trial(shelf, tmp_path):
    return shelved(tmp_path)


def away(row):
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.trash import row_take_away

    row_take_away(row=row, by=KEEPER)


def back(row):
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.trash import row_bring_back

    row_bring_back(row=row, by=KEEPER)


def emptied(days=30):
    from fairtank.records.services.trash import trash_empty

    return trash_empty(older_than_days=days)


def long_ago(row, days=31):
    """The row, as if it had been taken away so long ago; its photos, as if they had come long before."""
    from django.conf import settings
    from django.utils import timezone

    type(row).everything.filter(pk=row.pk).update(removed_at=timezone.now() - timedelta(days=days))
    for place in (settings.DATA / "photos").rglob("?" * 64):
        os.utime(place, (time.time() - 40 * 86400,) * 2)


def text_of(trial, path):
    from fairtank.records.rows.texts import texts_of

    return texts_of(trial).get(path, b"").decode()


def stored(shelf):
    return sorted(path.name for path in (shelf / "photos").rglob("?" * 64))


def test_a_reading_that_was_taken_away_leaves_the_table_and_comes_back_in_its_place(trial):
    from fairtank.records.models import Change, Reading

    before = text_of(trial, "readings.csv")
    row = Reading.objects.get(value=6.8)
    away(row)
    assert "6.8" not in text_of(trial, "readings.csv")
    assert not Reading.objects.filter(pk=row.pk).exists()
    back(row)
    after = text_of(trial, "readings.csv")
    assert [line.split(",")[:4] for line in after.splitlines()] == [line.split(",") for line in before.splitlines()]
    assert [change.verb for change in Change.objects.filter(trial=trial)][:2] == ["bring back", "remove"]


def test_every_change_raises_the_revision_so_that_results_are_known_to_be_older(trial):
    from fairtank.records.models import Reading

    row, before = Reading.objects.get(value=6.8), trial.revision
    away(row)
    trial.refresh_from_db()
    assert trial.revision == before + 1
    away(row)
    trial.refresh_from_db()
    assert trial.revision == before + 1, "what is away already is not taken away twice"


def test_a_whole_trial_goes_and_comes_back(trial):
    from fairtank.records.models import Trial

    away(trial)
    assert not Trial.objects.exists()
    back(trial)
    assert Trial.objects.get() == trial


def test_what_was_taken_away_lately_stays_when_the_trash_is_emptied(trial, shelf):
    from fairtank.records.models import Reading, Trial

    reading, before = Reading.objects.get(value=6.8), stored(shelf)
    away(reading)
    long_ago(reading, days=29)
    away(trial)
    assert (emptied().rows, emptied().trials) == (0, 0)
    assert Trial.everything.exists()
    assert stored(shelf) == before
    back(reading)


def test_after_thirty_days_a_row_is_forgotten(trial):
    from fairtank.records.models import Reading

    reading = Reading.objects.get(value=6.8)
    away(reading)
    long_ago(reading)
    assert emptied().rows == 1
    assert Reading.everything.count() == 1


def test_after_thirty_days_a_trial_is_forgotten_with_its_photos_and_folders(trial, shelf):
    from fairtank.records.models import Change, Photo, Reading, Trial, Unit
    from fairtank.records.services.working import opened, place_of

    with opened(trial):
        assert place_of(trial).is_dir()
    away(trial)
    long_ago(trial)
    told = emptied()
    assert (told.trials, told.photos, stored(shelf)) == (1, 5, [])
    assert not any(model._base_manager.exists() for model in (Trial, Photo, Reading, Unit))
    assert not place_of(trial).exists()
    assert Change.objects.get().said.startswith("Forgot the trial")


def test_photos_that_another_trial_names_stay(trial, shelf, tmp_path):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    trial_import(root=tmp_path / "photographed", by=KEEPER)
    before = stored(shelf)
    away(trial)
    long_ago(trial)
    assert emptied().trials == 1
    assert stored(shelf) == before


def test_a_photo_that_was_just_stored_and_has_no_row_yet_stays(shelf):
    from fairtank.records.shelf_photos import photo_files

    photo_files().put(iter([b"on its way"]))
    assert emptied().photos == 0
    assert len(stored(shelf)) == 1


def test_a_photo_that_was_taken_away_keeps_its_bytes_and_those_of_its_strokes_until_it_is_forgotten(trial, shelf):
    from fairtank.records.models import Frame, Photo, Stroke

    before = stored(shelf)
    photo = Stroke.objects.get().photo
    assert not Frame.objects.filter(reference_photo=photo).exists()
    away(photo)
    long_ago(photo, days=3)
    emptied()
    assert stored(shelf) == before
    photo.refresh_from_db()
    back(photo)
    assert Stroke.objects.get().photo == photo
    away(photo)
    long_ago(photo)
    assert emptied().photos == 2
    assert not Photo.everything.filter(pk=photo.pk).exists()


def test_a_tank_whose_name_was_given_to_another_cannot_come_back(shelf):
    from fairtank.errors import InputError
    from fairtank.records.models import Tank

    sizes = {"length_mm": 600, "width_mm": 300, "height_mm": 360, "glass_mm": 6, "water_mm": 320}
    first = Tank.objects.create(key="left", **sizes)
    away(first)
    Tank.objects.create(key="left", **sizes)
    with pytest.raises(InputError, match="Another one of that name is there now"):
        back(first)


def test_a_row_that_is_not_kept_is_refused(trial):
    from fairtank.errors import InputError
    from fairtank.records.models import Unit

    with pytest.raises(InputError, match="can be brought back"):
        away(Unit.objects.first())


def test_every_kind_of_row_that_belongs_to_a_trial_goes_with_it():
    from django.apps import apps

    from fairtank.records.models import Trial
    from fairtank.records.services.trash import _OF_TRIAL

    own = {model for model in apps.get_app_config("records").get_models()
           if any(field.is_relation and field.related_model is Trial for field in model._meta.concrete_fields)}
    assert own == set(_OF_TRIAL)
