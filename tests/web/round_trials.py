"""Running trials on a shelf for the tests of the round's pages, taken in once for each file; what a test stores is gone afterwards."""

from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from typing import Any

import pytest
from tests.web.round_site import folder_write

NOW = datetime(2026, 3, 13, 18, 30)


@pytest.fixture(name="taken_in", scope="module")
def _taken_in(_database: None, tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, int]]:
    """Two trials by name: `small` with two tanks, `blind` with six whose plan hides the arms."""
    from django.conf import settings
    from django.db import transaction

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    root = tmp_path_factory.mktemp("round")
    with pytest.MonkeyPatch.context() as patch, transaction.atomic():
        patch.setattr(settings, "DATA", root / "data")
        (root / "data" / "photos").mkdir(parents=True)
        small = folder_write(root / "small", today=NOW.date())
        blind = folder_write(root / "blind", today=NOW.date(), units=tuple(f"T{number}" for number in range(1, 7)), blinded=True)
        yield {name: trial_import(root=folder, by=KEEPER, title=name).pk for name, folder in (("small", small), ("blind", blind))}
        transaction.set_rollback(True)


@pytest.fixture(name="asked")
def _asked(taken_in: dict[str, int], monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """Django's test client as the keeper, at half past six on day 12."""
    from django.db import transaction
    from django.test import Client

    import fairtank.web.diary_forms
    import fairtank.web.round_form
    import fairtank.web.round_sending
    import fairtank.web.views.diary
    import fairtank.web.views.readings
    import fairtank.web.views.round
    import fairtank.web.views.today

    views = fairtank.web.views
    for place in (fairtank.web.round_form, fairtank.web.round_sending, fairtank.web.diary_forms, views.diary, views.readings, views.round,
                  views.today):
        monkeypatch.setattr(place, "now_of", lambda request: NOW)
    with transaction.atomic():
        yield Client(headers={"host": "127.0.0.1"})
        transaction.set_rollback(True)


def queries(asked: Any, address: str) -> int:
    """How many queries a page takes, once what it keeps in memory is there."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    assert asked.get(address).status_code == 200
    with CaptureQueriesContext(connection) as found:
        asked.get(address)
    return len(found)


def fill(slug: str, *, days: int = 12) -> None:
    """Many rows more: readings, photos, chores and events on each day."""
    from datetime import timedelta

    from fairtank.records.models import ChoreDone, Event, Photo, Reading, Trial

    trial = Trial.objects.get(slug=slug)
    made: dict[Any, list[Any]] = {Reading: [], Photo: [], ChoreDone: [], Event: []}
    for day in range(days + 1):
        at = NOW - timedelta(days=days - day)
        for unit in trial.units.all():
            made[Reading] += [Reading(trial=trial, unit=unit, taken_at=at, day=day, quantity=name, value=7, unit_of_measure="mg/L")
                              for name in ("nitrate", "phosphate", "oxygen")]
            made[Photo].append(Photo(trial=trial, unit=unit, path=f"photos/{unit.key}-{day}-9.jpg", taken_at=at, day=day,
                                     sha256=f"{unit.pk:032x}{day:032x}", size_bytes=9, width_px=9, height_px=9))
            made[ChoreDone].append(ChoreDone(trial=trial, unit=unit, chore="feed", kind="dose", due_day=day, done_at=at, day=day))
        made[Event].append(Event(trial=trial, units=[], at=at, day=day, kind="water change", note="30 %"))
    for model, rows in made.items():
        model.objects.bulk_create(rows)


def photo_bytes(shade: int = 90) -> bytes:
    """A small JPEG."""
    from PIL import Image

    target = BytesIO()
    Image.new("RGB", (64, 48), (shade, 120, 60)).save(target, "JPEG")
    return target.getvalue()
