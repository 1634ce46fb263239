"""A small shelf on which something of every sort lies, so that each page of the house has something to show and each form something to
change: trials that are begun, planned, running, measured, scored blind, over, closed and taken away, with tanks, materials and people."""

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

PASSWORD = "seven quiet pearl danios"
_TANK = {"key": "box", "length_cm": "45", "width_cm": "28", "height_cm": "36", "glass_mm": "6", "water_line_cm": "32", "rim": "open",
         "dividers": "0"}
_SETUP = ('[[tank]]\nkeys = [{keys}]\nlength_cm = 45\nwidth_cm = 28\nheight_cm = 36\nglass_mm = 6\nwater_line_cm = 32\n'
          '[[material]]\nkey = "clay"\nkind = "layer"\nbulk_density_kg_l = 0.9\nowned = "3 kg"\n'
          '[[fill]]\nunits = [{keys}]\nmaterial = "clay"\ndepth_cm = 4\n')


def tables_made(data: Path) -> None:
    """Settings with a data folder of their own, and the tables in memory."""
    import sys

    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
    os.environ.update(FAIRTANK_DATA=str(data), DJANGO_SETTINGS_MODULE="fairtank.settings", FAIRTANK_AHEAD="0")
    import django
    from django.conf import settings
    from django.test.utils import setup_databases, setup_test_environment

    django.setup()
    setup_test_environment()
    (data / "photos").mkdir(parents=True, exist_ok=True)
    settings.MIGRATION_MODULES = dict.fromkeys(("records", "auth", "contenttypes", "sessions", "django_tasks_database"))
    setup_databases(verbosity=0, interactive=False)


def shelf_fill(place: Path) -> dict[str, str]:
    """Everything, by the services and the pages themselves; name of each trial -> its word in addresses."""
    from django.test import Client
    from tests.records.photo_shelf import folder_write, trial_take_in
    from tests.web.judged_trials import shelved
    from tests.web.planned_trials import planned_trial
    from tests.web.round_site import folder_write as running_write

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.shelf_trials import trial_begin, trial_close, trial_remove
    from fairtank.records.services.trail import KEEPER

    asked = Client(headers={"host": "127.0.0.1"})
    trials = {
        "begun": trial_begin(by=KEEPER, title="Begun"), "planned": planned_trial(),
        "running": trial_import(root=running_write(place / "running"), by=KEEPER),
        "measured": trial_take_in(folder_write(place / "measured")),
        "over": shelved(place / "over", readings=1), "closed": shelved(place / "closed", day=60),
        "gone": trial_begin(by=KEEPER, title="Taken away"),
    }
    trial_close(trial=trials["closed"], by=KEEPER)
    trial_remove(trial=trials["gone"], by=KEEPER)
    _house_fill(asked, trials)
    _running_fill(asked, trials["running"])
    _measured_fill(asked, trials["measured"])
    _planned_fill(asked, trials["planned"])
    for kind in ("judge", "even", "watch", "detect"):
        _worked_out(trials["over"], kind)
    _worked_out(trials["planned"], "even")
    trials["blind"] = _blind_make(asked, place)
    return {name: trial.slug for name, trial in trials.items()}


def _house_fill(asked: Any, trials: dict[str, Any]) -> None:
    from fairtank.records.models import Tank

    _well(asked.post("/tanks/new/", _TANK))
    _well(asked.post("/tanks/new/", {**_TANK, "key": "gone"}))
    box, gone = Tank.objects.order_by("pk")
    _well(asked.post(f"/tanks/{box.pk}/note/", {"said": "New silicone.", "at": "2026-03-01", "note": "New silicone."}))
    _well(asked.post(f"/tanks/{gone.pk}/take-away/"))
    for key in ("feed", "other"):
        _well(asked.post("/materials/new/", {"kind": "liquid", "key": key, "title": key, "label_mg_ml": "K = 10", "pack": "500 mL",
                                             "owned": "120 mL"}))
    _well(asked.post("/materials/new/", {"kind": "salt", "key": "potash", "formula": "K2SO4", "pack": "1 kg", "owned": "1 kg"}), 303, 422)


def _running_fill(asked: Any, trial: Any) -> None:
    from tests.web.round_trials import photo_bytes

    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.services.trail import KEEPER

    there = trial.get_absolute_url()
    form = {**_hidden(asked.get(f"{there}round/").content.decode())}
    _well(asked.post(f"{there}round/", {**form, "photo-T1": _upload("a.jpg", photo_bytes())}), 200, 302, 303, 422)
    _well(asked.post(f"{there}readings/import/", {"pasted": "unit,taken_at,quantity,value,unit_of_measure\n"
                                                  f"T1,{trial.start}T18:00:00,nitrate,12,mg/L\n"}), 303)
    enqueue(kind="even", trial=trial, by=KEEPER)


def _measured_fill(asked: Any, trial: Any) -> None:
    there = trial.get_absolute_url()
    _well(asked.post(f"{there}audit/draw", {"points": "4"}))
    _well(asked.post(f"{there}audit/1/answer", {"answer": "plant"}))
    from fairtank.records.models import LabelClass

    if not LabelClass.objects.filter(trial=trial).exists():
        asked.post(f"{there}labels/class", {"name": "moss", "colour": "#20a040", "counts_as": "plant"})


def _planned_fill(asked: Any, trial: Any) -> None:
    keys = ", ".join(f'"{unit.key}"' for unit in trial.units.all())
    page = asked.get(f"{trial.get_absolute_url()}build/setup/").content.decode()
    answer = asked.post(f"{trial.get_absolute_url()}build/setup/text/", {**_hidden(page), "text": _SETUP.format(keys=keys)})
    _well(answer, 200, 303, 422)


def _blind_make(asked: Any, place: Path) -> Any:
    from tests.web.test_blind_pages import trial_write

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.seats import SeatWanted, seat_link_make, seat_make
    from fairtank.records.services.trail import KEEPER

    trial = trial_import(root=trial_write(place / "blind"), by=KEEPER)
    for measure, way in (("algae_by_eye", "score"), ("more_algae", "pairs")):
        for rater in ("Mira", "Jon"):
            seat = seat_make(trial=trial, by=KEEPER, wanted=SeatWanted(measure, way, rater, 8), seed=5)
            if rater == "Mira":
                LINKS.append(f"/rate/{seat_link_make(seat=seat, by=KEEPER)}")
    return trial


LINKS: list[str] = []  # the doors that no page leads to


def _worked_out(trial: Any, kind: str) -> None:
    from tests.web.judged_trials import worked_out

    worked_out(trial, kind)


def _upload(name: str, content: bytes) -> Any:
    from django.core.files.uploadedfile import SimpleUploadedFile

    return SimpleUploadedFile(name, content, "image/jpeg")


def _hidden(page: str) -> dict[str, str]:
    return dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', page))


def _well(answer: Any, *accepted: int) -> None:
    if answer.status_code not in (accepted or (200, 302, 303)):
        raise SystemExit(f"the shelf could not be filled: {answer.status_code} {re.sub('<[^>]+>', ' ', answer.content.decode())[:2000]}")


@contextmanager
def house(name: str, trials: dict[str, str]) -> Iterator[list[Any]]:
    """Clients of one sort of installation: the keeper's own machine, a home network with a phone, or a server with accounts."""
    from tests.web import people

    from fairtank.records.models import Member, Trial

    if name == "own":
        yield [people.keeper()]
    elif name == "lan":
        with people.in_home_network():
            yield [people.keeper(), people.phone(), people.stranger()]
    else:
        with people.hosted():
            people.account("owner", is_keeper=True)
            for role in ("helper", "rater", "reader"):
                user = people.account(role, begins_trials=False)
                Member.objects.create(trial=Trial.objects.get(slug=trials["running"]), user=user, role=role)
            Member.objects.bulk_create(Member(trial=trial, user=_user("owner"), role="owner") for trial in Trial.everything.all())
            owner = people.logged_in("owner")
            _well(owner.post(f"/trials/{trials['running']}/members/invite/", {"role": "rater", "said": "Mira"}), 200, 303, 422)
            yield [owner, people.visitor_of_site(), people.logged_in("helper")]


def _user(name: str) -> Any:
    from django.contrib.auth import get_user_model

    return get_user_model().objects.get(username=name)
