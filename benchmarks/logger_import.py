"""A logger's file of 100,000 rows: CPU to look at it as the page of the import does, and to store what was looked at.

    FAIRTANK_DATA=FOLDER python benchmarks/logger_import.py

The folder holds a generated shelf (`shelf_maker.py`); nothing stays of what is stored. Prints one line of JSON.
"""

import json
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

ROWS = 100_000


def logger_file(start: datetime) -> bytes:
    """A temperature every half minute, as a logger writes it."""
    rows = (f"{start + timedelta(seconds=30 * number):%Y-%m-%d %H:%M:%S},{24 + number % 97 / 50:.2f}" for number in range(ROWS))
    return ("# logger 77\nTime,Temp (°C)\n" + "\n".join(rows) + "\n").encode()


def _took(call: Callable[[], Any]) -> tuple[float, Any]:
    begun = time.process_time()
    found = call()
    return time.process_time() - begun, found


def measured() -> dict[str, Any]:
    """Seconds of CPU, and how many readings were there for each."""
    from django.db import transaction

    from fairtank.records.importers import Preview, matched, rows_of, sheet_of
    from fairtank.records.models import Trial
    from fairtank.records.planned import planned_of
    from fairtank.records.services.readings_import import digest_of_preview, facts_of_trial, readings_import
    from fairtank.records.services.trail import KEEPER
    from fairtank.web.wsgi import answering

    answering()  # as the process that answers begins
    trial = Trial.objects.order_by("pk")[19]  # it has a plan alone, and so no readings
    planned = planned_of(trial)
    assert planned is not None
    content = logger_file(datetime.combine(planned.plan.start, datetime.min.time()))
    seen: dict[str, Any] = {}

    def look() -> Preview:
        facts = facts_of_trial(trial, planned)
        seen["sheet"] = sheet_of(content, "T2.csv")
        seen["matching"] = matched(seen["sheet"], facts)
        return rows_of(seen["sheet"], seen["matching"], facts)

    look()  # what is loaded on first use is loaded now
    looked_s, preview = _took(look)
    marked_s, mark = _took(lambda: digest_of_preview(preview))
    with transaction.atomic():
        stored_s, stored = _took(lambda: readings_import(trial=trial, by=KEEPER, key="measured", seen=mark, **seen))
        transaction.set_rollback(True)
    return {"import_rows": len(preview.rows), "import_look_cpu_s": looked_s, "import_mark_cpu_s": marked_s,
            "import_stored": stored, "import_store_cpu_s": stored_s}


if __name__ == "__main__":
    import os

    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fairtank.settings")
    os.environ["FAIRTANK_AHEAD"] = "0"
    django.setup()
    print(json.dumps(measured()))
