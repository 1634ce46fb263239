"""The pages as a browser and a phone see them: how soon they are there, what they hold in memory, and photos that are sent."""

import contextlib
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

PHOTOS, SLOWER, IDLE_S, PATIENCE_S = 60, 4, 5.0, 300.0
IDLE_PROCESSES, SETTLED_S = 3, 120.0  # the command, the pages, and the one that answers
CHROMIUM, PHONE = "/usr/bin/chromium", {"width": 360, "height": 740}
_ROUND, _WALL = "trials/dark-break-4-invented/round/", "trials/dark-break-4-invented/wall/"
_PAINT = "performance.getEntriesByType('paint').find(one => one.name === 'first-contentful-paint')?.startTime"


def as_served(*, small: Path, full: Path) -> dict[str, Any]:
    """Everything that needs the real server, which is started as an installed one is: what Python compiles is kept from a start before."""
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as place:
        with _served(Path(place) / "data") as (_, _, found["first_ready_s"]):
            pass
        with _served(Path(place) / "data") as (_, process, found["empty_ready_s"]):
            found["empty_idle_pss_mb"] = memory_mb(_settled(process.pid))
    with _served(full) as (address, process, found["ready_s"]):
        found["ready_cpu_s"] = cpu_s(process.pid)
        found["idle_pss_mb"] = memory_mb(_settled(process.pid))
        found["paint_s"] = {name: _first_paint_s(address + place) for name, place in (("round", _ROUND), ("wall", _WALL))}
        found["pss_after_pages_mb"] = memory_mb(_settled(process.pid))
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / "data"
        shutil.copytree(small, copy)
        files = _photos(Path(place) / "photos")
        with _served(copy) as (address, process, _):
            _settled(process.pid)  # what is made once after a start, the drawing program of the charts, is no part of it
            before = cpu_s(process.pid)
            found |= _sent(address + _ROUND, files, copy / "shelf.sqlite3")
            found["upload_cpu_s"] = cpu_s(process.pid) - before
        found["socket_s"] = _by_socket(files, Path(place) / "arrived")
    found["upload_ratio"] = found["upload_s"] / found["socket_s"]
    return found


@contextlib.contextmanager
def _served(data: Path) -> Iterator[tuple[str, subprocess.Popen[bytes], float]]:
    """`fairtank serve` of a data folder: its address, its process, after how many seconds the shelf was answered."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port = trial.getsockname()[1]
    begun = time.monotonic()
    process = subprocess.Popen([sys.executable, "-m", "fairtank.cli", "serve", "--port", str(port)], stdout=subprocess.DEVNULL,
                               env=_variables(data))
    address = f"http://127.0.0.1:{port}/"
    try:
        while True:
            with contextlib.suppress(OSError), urllib.request.urlopen(address, timeout=10) as answer:
                answer.read()
                break
            if process.poll() is not None or time.monotonic() - begun > PATIENCE_S:
                raise SystemExit("fairtank serve does not answer")
            time.sleep(0.02)
        yield address, process, time.monotonic() - begun
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=30)


def _variables(data: Path) -> dict[str, str]:
    kept = Path(tempfile.gettempdir()) / f"fairtank-bench-bytecode-{os.getuid()}"
    kept.mkdir(mode=0o700, exist_ok=True)
    told = {**os.environ, "FAIRTANK_DATA": str(data), "PYTHONPYCACHEPREFIX": str(kept)}
    told.pop("PYTHONDONTWRITEBYTECODE", None)
    return told


def _with_children(parent: int) -> list[int]:
    found, waiting = [], [parent]
    while waiting:
        number = waiting.pop()
        found.append(number)
        waiting += [int(one) for task in Path(f"/proc/{number}/task").iterdir() for one in (task / "children").read_text().split()]
    return found


def _settled(parent: int) -> int:
    """The process itself, once nothing but it and the two of the pages is there: a worker that is left without work ends in a minute."""
    until = time.monotonic() + SETTLED_S
    time.sleep(IDLE_S)
    while len(_with_children(parent)) > IDLE_PROCESSES and time.monotonic() < until:
        time.sleep(1)
    return parent


def memory_mb(parent: int) -> float:
    """The memory of a process and all that it started, what they share counted once."""
    return sum(int(line.split()[1]) for number in _with_children(parent)
               for line in Path(f"/proc/{number}/smaps_rollup").read_text(encoding="ascii").splitlines() if line.startswith("Pss:")) / 1000


def cpu_s(parent: int) -> float:
    """Seconds of CPU of a process and all that it started and that are there still."""
    told = (Path(f"/proc/{number}/stat").read_text().rsplit(")", 1)[1].split() for number in _with_children(parent))
    return sum(int(fields[11]) + int(fields[12]) for fields in told) / os.sysconf("SC_CLK_TCK")


@contextlib.contextmanager
def _phone() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield browser.new_context(viewport=PHONE).new_page()
        browser.close()


def _first_paint_s(address: str) -> list[float]:
    """Three visits, each with nothing kept; from the click to the first text."""
    found = []
    for _ in range(3):
        with _phone() as page:
            page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
            page.goto(address)
            page.wait_for_function(_PAINT)
            found.append(page.evaluate(_PAINT) / 1000)
    return sorted(found)


def _photos(folder: Path) -> list[Path]:
    """Different photos of nearly one size: the same noise, with a patch of another shade in each.

    What lies behind the end of a picture is not kept, so that a photo cannot be told from another by it.
    """
    from PIL import Image

    folder.mkdir()
    noise = Image.effect_noise((2720, 2040), 60).convert("RGB")
    files = []
    for number in range(PHOTOS):
        place = folder / f"IMG_{number:04d}.jpg"
        noise.paste((4 * number, 120, 60), (0, 0, 64, 64))
        noise.save(place, "JPEG", quality=90)
        files.append(place)
    return files


def _stored(database: Path) -> int:
    with contextlib.closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as connection:
        return int(connection.execute("select count(*) from records_photo where entry is not null").fetchone()[0])


def _sent(address: str, files: list[Path], database: Path) -> dict[str, Any]:
    """Seconds until all photos are stored, and whether the page told how far it was."""
    with _phone() as page:
        page.goto(address)
        said = set()
        begun = time.monotonic()
        page.set_input_files("#choose-0", files)
        while (stored := _stored(database)) < len(files) and time.monotonic() - begun < PATIENCE_S:
            said.add(page.locator("[data-state]").inner_text())
            time.sleep(0.1)
        return {"upload_s": time.monotonic() - begun, "photos_stored": stored, "states_told": len(said)}


def _by_socket(files: list[Path], arrived: Path) -> float:
    """Seconds for the same bytes over the loopback into files that are brought to the disk."""
    arrived.mkdir()
    with socket.create_server(("127.0.0.1", 0)) as server:
        taker = threading.Thread(target=_taken, args=(server, len(files), arrived))
        taker.start()
        begun = time.monotonic()
        for file in files:
            with socket.create_connection(server.getsockname()) as giver, file.open("rb") as content:
                giver.sendfile(content)
        taker.join()
    return time.monotonic() - begun


def _taken(server: socket.socket, count: int, arrived: Path) -> None:
    for number in range(count):
        giver, _ = server.accept()
        with giver, (arrived / str(number)).open("wb") as target:
            while piece := giver.recv(1 << 20):
                target.write(piece)
            target.flush()
            os.fsync(target.fileno())
