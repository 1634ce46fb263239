"""Do what the pages hand in: measure, judge, write reports, take in trials.

`fairtank serve` starts one by itself. Start more on a server where several people work, or where the pages are served by something else.

Example: fairtank worker
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import threading
import time

import click

from fairtank.cli.with_parent import end_with_parent
from fairtank.errors import FairtankError
from fairtank.records.database import database_told, tables_ready
from fairtank.records.jobs.worker import work_forever
from fairtank.records.services.trash import trash_empty

_DAY_S, _SETTLED_S = 24 * 3600.0, 60.0


@click.command("worker", help=__doc__)
@click.option("--with-parent", is_flag=True, hidden=True, help="End when whoever started it is gone.")
def command(with_parent: bool) -> None:
    """Twin of `fairtank.records.jobs.worker.work_forever`."""
    if with_parent:
        end_with_parent()
    tables_ready()
    threading.Thread(target=_trash_emptied_daily, name="trash", daemon=True).start()
    work_forever(with_parent=with_parent)


def _trash_emptied_daily() -> None:
    """What was taken away long ago is forgotten, a minute after the start and then once a day."""
    time.sleep(_SETTLED_S)
    while True:
        try:
            with database_told():
                trash_empty()
        except (FairtankError, OSError):  # the disk is full or the database busy: it waits for tomorrow
            pass
        time.sleep(_DAY_S)
