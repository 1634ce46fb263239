"""The process of the pages: brings the tables up to date, then answers. Started by `fairtank serve` as `fairtank.cli.serving HOST PORT`.

One process answers, with threads, so that all visitors share what it holds; it is forked from one that has loaded everything, so that
the two share their memory. Nothing is written about requests.
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import contextlib
import gc
import importlib
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.urls import get_resolver
from granian.constants import HTTPModes, Interfaces
from granian.server import Server

from fairtank.cli.with_parent import end_with_parent
from fairtank.errors import FairtankError, JobError
from fairtank.records.database import PAGES_LOCK, database_told, tables_ready
from fairtank.records.jobs.carrier import worker_call
from fairtank.records.jobs.recovery import work_is_left
from fairtank.records.locks import locked

APPLICATION, THREADS = "fairtank.web.wsgi", 4


def main(words: list[str]) -> None:
    """Answer at HOST PORT, with TLS where a certificate and its key are named too, until SIGTERM or the end of whoever started this."""
    host, port, *files = words
    end_with_parent()
    try:
        tables_ready()
    except FairtankError as error:
        sys.exit(str(error))
    certificate: dict[str, Any] = {"ssl_cert": Path(files[0]), "ssl_key": Path(files[1])} if files else {}
    server = Server(
        f"{APPLICATION}:application", address=host, port=int(port), interface=Interfaces.WSGI, workers=1, blocking_threads=THREADS,
        runtime_threads=1, http=HTTPModes.http1, log_enabled=False, log_access=False, respawn_failed_workers=True, respawn_interval=0.2,
        workers_kill_timeout=5, websockets=False, **certificate,
    )  # fmt: skip
    importlib.import_module(APPLICATION)
    get_resolver().url_patterns  # noqa: B018 - loads all pages now, so that the first visitor does not wait for it
    gc.collect()
    gc.freeze()  # what is loaded stays shared with the process that answers
    with contextlib.ExitStack() as held:
        with contextlib.suppress(JobError):  # others may show the same shelf; who puts a backup in its place must know of one of them
            held.enter_context(locked(Path(settings.DATA) / PAGES_LOCK, patience_s=0))
        server.serve(target_loader=loaded, wrap_loader=False)


def loaded() -> Any:
    """The application for the process that answers; that process ends with the others. A worker is called for what an earlier one left.

    An earlier one may have died after it had handed work in and before it could call, and is started again without all the rest.
    """
    end_with_parent()
    pages = importlib.import_module(APPLICATION)
    with contextlib.suppress(FairtankError, OSError), database_told():
        if work_is_left():
            worker_call()
    pages.answering()
    return pages.application


if __name__ == "__main__":
    main(sys.argv[1:])
