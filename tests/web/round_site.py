"""A running trial on a shelf of its own, served: for the browser tests of the round. Called with a folder; prints its address."""

import socketserver
import sys
from datetime import date, timedelta
from pathlib import Path
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

PLAN = """
[trial]
title = "A dark break at midday (invented)"
question = "Does a dark break at midday keep algae off the glass?"
[design]
kind = "side_by_side"
start = {start}
days = 42
drawn = true
blinded = {blinded}
[[arm]]
key = "R"
role = "reference"
name = "no break"
[[arm]]
key = "C"
role = "changed"
name = "dark break"
{units}
[[measure]]
key = "algae_cover"
role = "primary"
"""
SCHEDULE = """
[[chore]]
key = "photos"
title = "Photos of all tanks"
kind = "photo"
every = "every day"
minutes = 4
[[chore]]
key = "tests"
title = "Water tests"
kind = "test"
quantity = "temperature, ph"
every = "every 3 days"
[[chore]]
key = "feed"
title = "Feed potassium"
kind = "dose"
quantity = "potassium"
amount = 2
unit_of_measure = "mL"
every = "every 3 days"
[[chore]]
key = "glass"
title = "Wipe the front glass"
kind = "clean"
every = "every 5 days"
"""


def folder_write(root: Path, *, units: tuple[str, ...] = ("T1", "T2"), day: int = 12, blinded: bool = False, today: date | None = None,
                 schedule: str = SCHEDULE) -> Path:  # fmt: skip
    """A trial folder whose day is that one today, with readings of the days before."""
    start = (today or date.today()) - timedelta(days=day)
    own = "".join(f'[[unit]]\nkey = "{unit}"\narm = "{"RC"[place % 2]}"\nposition = "shelf {place // 3 + 1}"\n'
                  for place, unit in enumerate(units))
    root.mkdir(parents=True)
    (root / "trial.toml").write_text(PLAN.format(start=start, units=own, blinded=str(blinded).lower()), encoding="utf-8")
    if schedule:
        (root / "schedule.toml").write_text(schedule, encoding="utf-8")
    rows = ["unit,taken_at,quantity,value,unit_of_measure,method,below_detection"]
    for number in range(0, day, 3):
        for place, unit in enumerate(units):
            at = f"{start + timedelta(days=number)}T18:10:00"
            rows.append(f"{unit},{at},temperature,{24.6 + 0.1 * place},°C,,false")
            rows.append(f"{unit},{at},ph,{6.8 + 0.1 * (place % 2)},,drop test,false")
    if len(rows) > 1:
        (root / "readings.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return root


def shelf_make() -> None:
    """The tables of a new shelf, made from the models as they are."""
    import django
    from django.conf import settings
    from django.core.management import call_command

    django.setup()
    settings.MIGRATION_MODULES = dict.fromkeys(("records", "auth", "contenttypes", "sessions", "django_tasks_database"))
    call_command("migrate", run_syncdb=True, verbosity=0)


class _Quiet(WSGIRequestHandler):
    def log_message(self, *_):
        pass


class _Many(socketserver.ThreadingMixIn, WSGIServer):
    daemon_threads = True


def serve(place: Path, units: tuple[str, ...]) -> None:
    """Make the shelf, take the trial in and serve until killed."""
    shelf_make()
    from django.core.handlers.wsgi import WSGIHandler

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    trial_import(root=folder_write(place / "trial", units=units), by=KEEPER)
    with make_server("127.0.0.1", 0, WSGIHandler(), _Many, _Quiet) as server:
        print(f"http://127.0.0.1:{server.server_port}/", flush=True)
        server.serve_forever()


if __name__ == "__main__":
    serve(Path(sys.argv[1]), tuple(sys.argv[2].split(",")))
