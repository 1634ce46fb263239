"""A PostgreSQL server on loopback for tests, where its programs are installed; it lies in a temporary folder and ends with the tests.

On Debian and Ubuntu: `apt-get install postgresql` brings the programs; nothing needs to be set up.
"""

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

_PLACES = "/usr/lib/postgresql"
_SETTINGS = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "max_connections=20", "shared_buffers=16MB")


def program(name: str) -> str | None:
    """Where a program of the server lies: the newest that is installed."""
    installed = sorted(Path(_PLACES).glob(f"*/bin/{name}"), key=lambda path: int(path.parts[-3]) if path.parts[-3].isdigit() else 0)
    return str(installed[-1]) if installed else shutil.which(name)


@pytest.fixture(scope="module")
def postgres_url() -> Iterator[str]:
    """The address of an empty database; tests that ask for it are skipped where no server is installed."""
    initdb, server = program("initdb"), program("pg_ctl")
    if initdb is None or server is None:
        pytest.skip("no PostgreSQL server is installed (Debian: apt-get install postgresql)")
    place = Path(tempfile.mkdtemp(prefix="fairtank-pg-"))
    as_user: list[str] = []
    if hasattr(os, "geteuid") and os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(place, "postgres", "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port = trial.getsockname()[1]
    quiet = {"check": True, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": "/"}
    options = f"-p {port} -h 127.0.0.1 -k {place} " + " ".join(f"-c {setting}" for setting in _SETTINGS)
    try:
        subprocess.run([*as_user, initdb, "-D", place / "data", "-U", "keeper", "-A", "trust", "-E", "UTF8", "--no-sync"], **quiet)
        subprocess.run([*as_user, server, "-D", place / "data", "-o", options, "-w", "-l", place / "log", "start"], **quiet)
        yield f"postgres://keeper@127.0.0.1:{port}/postgres"
    finally:
        subprocess.run([*as_user, server, "-D", place / "data", "-m", "immediate", "stop"], **{**quiet, "check": False})
        shutil.rmtree(place, ignore_errors=True)
