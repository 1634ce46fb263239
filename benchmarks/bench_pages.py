"""Every page on a generated shelf: CPU and time per request, questions to the database, and the same as a browser and a phone see it.

    python benchmarks/bench_pages.py [--cache FOLDER] [--requests 15] [--no-browser] [--record]

Asked is every address that needs nothing, or nothing but the word of a trial (`page_addresses.py`), of one trial that is over and of one
that runs, on a shelf of the full size and on one with a twentieth of the rows (`shelf_maker.py`; FOLDER, below the system's folder for what
is temporary, keeps both). Every page is asked once before it counts. There must not be more questions on the large one; where there are, or
a page is slower than its limit, that is told. Files to take away grow with what is in them and are told apart. Then a logger's file of
100,000 rows is looked at and stored (`logger_import.py`), and `fairtank serve` shows the large shelf: how soon it answers, its memory as
PSS, and when a browser at 360 px, its processor slowed four times, first paints
the round and the strip wall; and a phone's width sends 60 photos of 4 MB to the small one, beside the same bytes by a plain socket.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from recording import circumstances, told
from served_pages import as_served

SMALL, FULL = 0.05, 1.0
LIMITS = {"p95_ms": 150.0, "cpu_ms": 120.0, "paint_s": 1.0, "ready_s": 3.0, "memory_mb": 200.0, "upload_ratio": 1.5}
_FILES = (".csv", ".zip", ".json", ".ics", ".toml", ".pdf")


def shelf_at(folder: Path, factor: float) -> Path:
    """The data folder of that size; it is made where it is missing."""
    place = folder / f"shelf-{factor:g}"
    if not (place / "made").exists():
        subprocess.run([sys.executable, str(Path(__file__).with_name("shelf_maker.py")), "--size", str(factor)], check=True,
                       env={**os.environ, "FAIRTANK_DATA": str(place)})
        (place / "made").touch()
    return place


def asked_of(place: Path, requests: int) -> list[dict[str, Any]]:
    """What a process of its own finds out about every page of that shelf."""
    found = subprocess.run([sys.executable, __file__, "--ask", str(requests)], check=True, stdout=subprocess.PIPE, text=True,
                           env={**os.environ, "FAIRTANK_DATA": str(place), "DJANGO_SETTINGS_MODULE": "fairtank.settings",
                                "FAIRTANK_AHEAD": "0"})
    rows: list[dict[str, Any]] = json.loads(found.stdout.splitlines()[-1])
    return rows


def imported_to(place: Path) -> dict[str, Any]:
    """What a process of its own needs to look at a logger's file and to store it, on that shelf."""
    script = Path(__file__).with_name("logger_import.py")
    found = subprocess.run([sys.executable, str(script)], check=True, stdout=subprocess.PIPE, text=True,
                           env={**os.environ, "FAIRTANK_DATA": str(place)})
    row: dict[str, Any] = json.loads(found.stdout.splitlines()[-1])
    return row


def _ask(requests: int) -> None:
    """Inside that process: one line of JSON."""
    import django

    django.setup()
    from django.test import Client
    from page_addresses import places

    from fairtank.records.models import Trial
    from fairtank.web.wsgi import answering

    answering()  # as the process that answers begins

    order = list(Trial.objects.order_by("pk").values_list("slug", flat=True)[:4])
    trials = {"over": order[0], "runs": order[3]}
    client, rows = Client(headers={"host": "127.0.0.1"}, raise_request_exception=False), []
    for place in places():
        for state, slug in trials.items() if place.is_of_trial else (("", ""),):
            if (row := _one(client, place.address(slug), requests)) is not None:
                rows.append({"route": place.route.replace("trials/<slug:slug>/", ".../"), "state": state, **row})
    print(json.dumps(rows))


def _one(client: Any, address: str, requests: int) -> dict[str, Any] | None:
    """One page; None where it is no page that shows something to who asks for it."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    if client.get(address).status_code != 200:
        return None
    with CaptureQueriesContext(connection) as found:
        length = _length(client, address)
    queries = len(found)  # the next request begins a new list
    walls, cpus = [], []
    for _ in range(requests):
        wall, cpu = time.perf_counter(), time.process_time()
        _length(client, address)
        walls.append(1000 * (time.perf_counter() - wall))
        cpus.append(1000 * (time.process_time() - cpu))
    walls.sort()
    cpus.sort()
    return {"cpu_ms": cpus[len(cpus) // 2], "p50_ms": walls[len(walls) // 2], "p95_ms": walls[min(int(0.95 * len(walls)), len(walls) - 1)],
            "queries": queries, "bytes": length}


def _length(client: Any, address: str) -> int:
    answer = client.get(address)
    length = len(b"".join(answer.streaming_content) if answer.streaming else answer.content)
    answer.close()
    return length


def faults_of(small: list[dict[str, Any]], full: list[dict[str, Any]]) -> list[str]:
    """What is not as it should be, in words."""
    few = {(row["route"], row["state"]): row["queries"] for row in small}
    found = []
    for row in full:
        before = few.get((row["route"], row["state"]))
        if before is None or row["queries"] > before:  # fewer: no amount stands on the page, so that its unit is not asked for
            found.append(f"{row['route']} {row['state']}: {before} queries on the small shelf, {row['queries']} on the full one")
        is_slow = row["cpu_ms"] > LIMITS["cpu_ms"] or row["p95_ms"] > LIMITS["p95_ms"]
        if is_slow and not row["route"].endswith(_FILES):
            found.append(f"{row['route']} {row['state']}: {row['cpu_ms']:.0f} ms CPU, p95 {row['p95_ms']:.0f} ms")
    return found


def main() -> None:
    """Ask, serve, tell."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--cache", type=Path, default=None)
    asked.add_argument("--requests", type=int, default=15)
    asked.add_argument("--ask", type=int, default=0, help=argparse.SUPPRESS)
    asked.add_argument("--no-browser", action="store_true")
    asked.add_argument("--record", action="store_true")
    given = asked.parse_args()
    if given.ask:
        _ask(given.ask)
        return
    before = circumstances()
    with tempfile.TemporaryDirectory() as own:
        folder = given.cache or Path(own)
        places = shelf_at(folder, SMALL), shelf_at(folder, FULL)
        small, full = (asked_of(place, given.requests) for place in places)
        few = {(row["route"], row["state"]): row for row in small}
        print(f"{'page':44} {'trial':5} {'CPU ms':>7} {'p50':>6} {'p95':>6} {'queries':>8} {'small':>6} {'bytes':>9}")
        for row in sorted(full, key=lambda row: -row["cpu_ms"]):
            other = few.get((row["route"], row["state"]), {}).get("queries", "-")
            times = f"{row['cpu_ms']:7.1f} {row['p50_ms']:6.1f} {row['p95_ms']:6.1f}"
            print(f"{row['route']:44} {row['state']:5} {times} {row['queries']:8} {other:>6} {row['bytes']:9}")
        faults = faults_of(small, full)
        imported = imported_to(places[0])
        served = {} if given.no_browser else as_served(small=places[0], full=places[1])
    print("\n".join(faults) or "Every page is fast enough, and asks as often on both shelves.")
    for name, value in {**imported, **served}.items():
        print(f"{name}: {value}")
    pages = [{**row, "queries_small": few.get((row["route"], row["state"]), {}).get("queries")} for row in full]
    told("pages", before, {"limits": LIMITS, "pages": pages, "faults": faults, "imported": imported, "served": served}, record=given.record)


if __name__ == "__main__":
    main()
