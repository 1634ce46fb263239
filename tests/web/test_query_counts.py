"""No page asks the database more often because there is more: a trial of two tanks against one of twelve with twice the days."""

from datetime import date, datetime, timedelta

import pytest
from benchmarks.page_addresses import places
from tests.web.round_site import folder_write
from tests.web.round_trials import photo_bytes

SMALL, LARGE = ("T1", "T2"), tuple(f"T{number}" for number in range(1, 13))


@pytest.fixture(scope="module", name="trials")
def _trials(_database, tmp_path_factory):
    """The word of a trial of two tanks with a row of each sort a day, and of one of twelve; what is stored is gone afterwards."""
    from django.conf import settings
    from django.db import transaction

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    root = tmp_path_factory.mktemp("counted")
    with pytest.MonkeyPatch.context() as patch, transaction.atomic():
        patch.setattr(settings, "DATA", root / "data")
        (root / "data" / "photos").mkdir(parents=True)
        found = []
        for name, units, days in (("small", SMALL, 2), ("large", LARGE, 4)):
            trial = trial_import(root=folder_write(root / name, units=units, day=14), by=KEEPER, title=name)
            _fill(trial, days)
            found.append(trial.slug)
        yield found
        transaction.set_rollback(True)


def _fill(trial, days):
    """Photos, readings, chores, events and rounds of the last days, each of every tank."""
    from django.utils import timezone

    from fairtank.records.models import Change, ChoreDone, Event, FactorValue, Photo, Reading, Round
    from fairtank.records.shelf_photos import photo_files

    stored = photo_files().put(iter([photo_bytes()]))
    made = {Photo: [], Reading: [], ChoreDone: [], Event: [], Round: [], FactorValue: [], Change: []}
    for day in range(14 - days, 14):
        at = datetime.combine(date.today() - timedelta(days=14 - day), datetime.min.time()).replace(hour=18)
        own = {"trial": trial, "day": day}
        for unit in trial.units.all():
            name = f"photos/{unit.key}-{day}.jpg"
            made[Photo].append(Photo(**own, unit=unit, path=name, taken_at=at, sha256=stored.sha256, size_bytes=stored.size_bytes,
                                     width_px=64, height_px=48, quality="usable"))
            made[Reading] += [Reading(**own, unit=unit, taken_at=at, quantity=name, value=7, unit_of_measure="mg/L")
                              for name in ("nitrate", "phosphate")]
            made[ChoreDone].append(ChoreDone(**own, unit=unit, chore="feed", kind="dose", due_day=day, done_at=at))
            made[FactorValue].append(FactorValue(trial=trial, unit=unit, factor="lamp_age", value=str(day), unit_of_measure="months"))
            made[Event].append(Event(**own, units=[unit.key], at=at, kind="note", note="A leaf is yellow."))
        made[Round].append(Round(**own, key=f"r{day}", begun_at=timezone.now(), by="keeper"))
        made[Change].append(Change(trial=trial, by="keeper", verb="add", said="Round."))
    for model, rows in made.items():
        model._base_manager.bulk_create(rows)


def _asked(client, address):
    """The status of a page, and how many queries it takes."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as found:
        answer = client.get(address)
        if answer.streaming:
            b"".join(answer.streaming_content)
    return answer.status_code, len(found)


def _both(client, one, other):
    """The same of two pages; once more where they differ, since only the first of all asks for what is then kept in memory."""
    found = [_asked(client, address) for address in (one, other)]
    return found if found[0] == found[1] else [_asked(client, address) for address in (one, other)]


def test_no_page_of_a_trial_asks_more_often_when_there_is_more_of_it(trials):
    from django.test import Client

    client = Client(headers={"host": "127.0.0.1"}, raise_request_exception=False)
    counted = {place.route: _both(client, *(place.address(slug) for slug in trials)) for place in places() if place.is_of_trial}
    shown = {route for route, (small, _) in counted.items() if small[0] == 200}
    assert {"trials/<slug:slug>/", "trials/<slug:slug>/round/", "trials/<slug:slug>/wall/"} <= shown, "the walk finds the pages"
    assert {route: both for route, both in counted.items() if both[0] != both[1]} == {}


def test_no_page_of_the_house_asks_more_often_when_there_are_more_trials(trials):
    from django.test import Client
    from django.utils import timezone

    from fairtank.records.models import Trial

    client = Client(headers={"host": "127.0.0.1"}, raise_request_exception=False)
    house = [place.address("") for place in places() if not place.is_of_trial]
    Trial.objects.bulk_create(Trial(slug=f"more-{number}", title="One more", start=date.today(), days=20) for number in range(10))
    many = {address: _asked(client, address) for address in house}
    Trial.objects.exclude(slug=trials[0]).update(removed_at=timezone.now())
    few = {address: _asked(client, address) for address in house}
    assert few["/"][0] == few["/today/"][0] == 200
    unlike = [address for address in house if few[address] != many[address]]
    assert {address: (many[address], few[address]) for address in unlike} == {}
