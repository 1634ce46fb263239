"""The trial of the pages under `Measure`, on a shelf; and served for the browser: called with a folder, prints its address."""

import sys
from pathlib import Path
from wsgiref.simple_server import make_server

import pytest
from tests.records.photo_shelf import folder_write, trial_take_in
from tests.web.round_site import _Many, _Quiet, shelf_make


@pytest.fixture(name="trial")
def _trial(shelf, tmp_path):
    """Two tanks with four photos, as if measured."""
    return trial_take_in(folder_write(tmp_path / "trial"))


def page(asked, trial, place: str, *, status: int = 200) -> str:
    """A page of the trial."""
    answer = asked.get(f"/trials/{trial.slug}/{place}")
    assert answer.status_code == status
    return answer.content.decode()


def queries(asked, address: str) -> int:
    """How many queries a page takes."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    asked.get(address)
    with CaptureQueriesContext(connection) as caught:
        asked.get(address)
    return len(caught)


def serve(place: Path) -> None:
    """Make the shelf, take the trial in and serve until killed."""
    shelf_make()
    from django.core.handlers.wsgi import WSGIHandler

    trial_take_in(folder_write(place / "trial"))
    with make_server("127.0.0.1", 0, WSGIHandler(), _Many, _Quiet) as server:
        print(f"http://127.0.0.1:{server.server_port}/", flush=True)
        server.serve_forever()


if __name__ == "__main__":
    serve(Path(sys.argv[1]))
