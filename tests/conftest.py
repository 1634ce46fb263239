"""Guards that protect every test: no network, no writing outside the test's folder, the global random state stays put."""

import builtins
import contextlib
import ctypes
import gc
import importlib
import os
import pickle
import random
import socket
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rich.style  # noqa: F401 - draws one number when it is first imported; here, so that no test is blamed for it
from tests import compiling
from tests.shelf_db import _database, _static_files_found_once, asked, shelf  # noqa: F401 - fixtures of every room

_HERE = Path(__file__).resolve().parent
REPOSITORY = _HERE.parent
_TEMPORARY = Path(tempfile.gettempdir()).resolve()

# Nothing that is loaded while tests are gathered goes away again: to search it for rings of objects costs a fifth of the time.
gc.disable()
os.environ["TZ"] = "UTC"
os.environ.setdefault("OMP_NUM_THREADS", "1")
# Rooms whose tests measure photos: they come last, so that the loops over px are compiled once, beside the others.
_WITH_PHOTOS = ("test_one_photo.py", "test_photo_page.py", "cli", "records", "vision", "web")
# One test of these takes a minute: they come first, so that no process is left with them when the others are done.
_LONG = ("test_every_page.py", "test_whole_life_browser.py")
# Where Python keeps what it compiles, if not beside the file.
_COMPILED = tuple(Path(prefix).resolve() for prefix in [sys.pycache_prefix] if prefix)
_COMPILES = pytest.StashKey[subprocess.Popen[bytes]]()


def pytest_configure(config: pytest.Config) -> None:
    """The process that hands out tests to workers starts compiling; the workers load what it kept, and what they keep for each other."""
    if hasattr(config, "workerinput"):
        _share_of_worker_loaded(config.workerinput)
    if getattr(config.option, "numprocesses", None) and not hasattr(config, "workerinput"):
        process = compiling.start()
        if process is not None:
            config.stash[_COMPILES] = process


def _share_of_worker_loaded(given: dict[str, Any]) -> None:
    """Load another share of the test files first in each worker: each finds the others' shares prepared when it comes to them."""
    number, count = int(given["workerid"].removeprefix("gw")), given["workercount"]
    if number == 0 or sys.dont_write_bytecode:
        return
    files = sorted(_HERE.rglob("test_*.py"))
    for file in files[len(files) * number // count :]:
        with contextlib.suppress(BaseException):  # it is loaded again, and then told, when its turn comes
            importlib.import_module(".".join(file.relative_to(REPOSITORY).with_suffix("").parts))


def pytest_unconfigure(config: pytest.Config) -> None:
    """Nothing goes on when the tests are over."""
    if process := config.stash.get(_COMPILES, None):
        compiling.end(process)


@cache
def _needs_loops(path: Path) -> bool:
    return path.name not in _LONG and path.is_relative_to(_HERE) and path.relative_to(_HERE).parts[0] in _WITH_PHOTOS


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Long tests come first, those that measure photos last; else the order stays."""
    items.sort(key=lambda item: (item.path.name not in _LONG, _needs_loops(item.path)))


def pytest_collection_finish() -> None:
    """What is loaded by now stays: it need not be searched for rings of objects again and again."""
    gc.freeze()
    gc.set_threshold(10_000, 20, 20)
    gc.enable()


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Where the loops are being compiled, the first test that measures photos waits for them."""
    if compiling.MARK in os.environ and _needs_loops(item.path):
        compiling.wait()


@pytest.fixture(autouse=True, scope="session")
def _no_network() -> Iterator[None]:
    """A connection to anything but this machine fails the test."""
    connect = socket.socket.connect

    def connect_here(self: socket.socket, address: object) -> None:
        host = address[0] if isinstance(address, tuple) else "localhost"
        if host not in {"127.0.0.1", "::1", "localhost"}:
            raise AssertionError(f"a test tried to reach {host}")
        connect(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", connect_here)
        yield


def _numpy_state() -> bytes:
    """The state of numpy's global generator as it lies in memory, 624 numbers and a place; numpy's own copy takes thirty times as long."""
    generator = np.random.get_bit_generator()
    assert isinstance(generator, np.random.MT19937)
    return ctypes.string_at(generator.ctypes.state_address, 625 * 4)


@pytest.fixture(autouse=True)
def _random_state_stays(request: pytest.FixtureRequest) -> Iterator[None]:
    """Nobody may draw from, or seed, the global random generators; only the browser's driver does, and its draws are undone."""
    before_python, before_numpy = random.getstate(), _numpy_state()
    yield
    is_moved = random.getstate() != before_python
    if is_moved:
        random.setstate(before_python)
    is_moved |= _numpy_state() != before_numpy
    allowed = request.node.get_closest_marker("browser") is not None
    assert allowed or not is_moved, "the global random state moved; use a seeded generator made in the test"


def _of_python(path: Path) -> bool:
    """Python's own compiled files: an import in the middle of a test keeps them."""
    return "__pycache__" in path.parts or any(path.is_relative_to(prefix) for prefix in _COMPILED)


@pytest.fixture(autouse=True, scope="session")
def _writes_stay_in_temporary_folders() -> Iterator[None]:
    """Opening a file of the repository for writing fails the test."""
    opened = builtins.open

    def open_checked(file, mode="r", *args, **kwargs):  # type: ignore[no-untyped-def]
        if isinstance(file, (str, os.PathLike)) and set(mode) & set("wax+"):
            path = Path(os.fspath(file)).resolve()
            if path.is_relative_to(REPOSITORY) and not path.is_relative_to(_TEMPORARY) and not _of_python(path):
                raise AssertionError(f"a test wrote {path}")
        return opened(file, mode, *args, **kwargs)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(builtins, "open", open_checked)
        yield


@pytest.fixture(autouse=True, scope="session")
def _toml_is_parsed_once() -> Iterator[None]:
    """Ten thousand times a test reads a plan that others read before: what the text says is remembered, each gets a copy of its own."""
    parse, known = tomllib.loads, dict[str, bytes]()

    def remembered(text: str, /, **more: Any) -> dict[str, Any]:
        if more or type(text) is not str:
            return parse(text, **more)
        if text not in known:
            known[text] = pickle.dumps(parse(text))
        said: dict[str, Any] = pickle.loads(known[text])
        return said

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tomllib, "loads", remembered)
        yield


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of the Chromium that browser tests drive; without one they are skipped, and under CI they fail."""
    found = os.environ.get("FAIRTANK_CHROMIUM", "")
    if not found:
        reason = "no Chromium: run the tests with `python3 run.py test`, or set FAIRTANK_CHROMIUM to its path"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found
