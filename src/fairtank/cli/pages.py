"""Show the shelf on this machine: two processes that this one starts, watches and ends, the pages and, while work waits, a worker.

Both are started again when they die, and both end when this process is gone, however it went. Ctrl-C in the terminal reaches this process
alone, since the two belong to sessions of their own.
"""

import contextlib
import http.client
import os
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
import webbrowser
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import JobError
from fairtank.places import WORK_WAITS, data_folder

HOST = "127.0.0.1"
PAGES, WORKER = "fairtank.cli.serving", "fairtank.cli"
# An address that is answered without looking at a row.
_ALIVE = "/favicon.ico"
_READY_S, _LOOK_S, _END_S, _CRASH_S = 180.0, 0.05, 8.0, 3.0
# A worker also tidies the shelf: first a while after the start, then once a day.
_HOUSE_FIRST_S, _HOUSE_S = 300.0, 24 * 3600.0


@dataclass(frozen=True)
class Certificate:
    """Files with which the pages speak TLS themselves: the certificate and its key, both PEM."""

    certificate: Path
    key: Path


@dataclass(frozen=True)
class Listening:
    """Where the pages listen. host: an address of this machine; port: 1 to 65535; certificate: None for pages without TLS."""

    host: str = HOST
    port: int = 8321
    certificate: Certificate | None = None

    @property
    def address(self) -> str:
        """What is typed in a browser on this machine."""
        return f"{'https' if self.certificate else 'http'}://{self.here}:{self.port}/"

    @property
    def here(self) -> str:
        """The address by which this machine reaches itself, where the pages listen at all of its addresses."""
        return HOST if self.host == "0.0.0.0" else self.host

    @property
    def words(self) -> list[str]:
        """The same as words of a command."""
        files = [str(self.certificate.certificate), str(self.certificate.key)] if self.certificate else []
        return [self.host, str(self.port), *files]


def serve(folder: Path | None, out: Path | None, port: int = 8321, open_browser: bool = False, *, host: str = HOST,
          certificate: Certificate | None = None, when_ready: Callable[[], None] | None = None) -> None:
    """Show the shelf, and a trial folder beside it where one is given, until Ctrl-C; a taken port is replaced by a free one."""
    os.environ["FAIRTANK_FOLDER"] = "" if folder is None else str(folder.resolve())
    os.environ["FAIRTANK_OUT"] = "" if out is None else str(out.resolve())
    listening = Listening(host, free_port(port, host), certificate)
    with ended_by_signal(), Kept([sys.executable, "-m", PAGES, *listening.words]) as pages:
        answers_wait(listening, pages)
        with Called([sys.executable, "-m", WORKER, "worker", "--with-parent"], data_folder() / WORK_WAITS) as worker:
            taken = f"Port {port} is taken, so the pages are at" if port not in (0, listening.port) else "The pages are at"
            print(f"{taken} {listening.address} (stop with Ctrl-C).", flush=True)
            if when_ready is not None:
                when_ready()
            if open_browser:
                webbrowser.open(listening.address)
            while True:
                pages.look()
                worker.look()
                time.sleep(_LOOK_S * 4)


def free_port(wished: int, host: str = HOST) -> int:
    """The wished port where nobody listens, else one that the system gives."""
    for port in (wished, 0):
        with contextlib.suppress(OSError, OverflowError), socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as trial:
            if os.name != "nt":  # there it would let two servers share a port
                trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind((host, port))
            trial.listen(1)
            return int(trial.getsockname()[1])
    raise OSError(f"no free port on {host}")


class Kept:
    """A process that is started again when it dies; at the end of the block it is gone, with all that it started."""

    def __init__(self, command: list[str]) -> None:
        self.command = command
        self.process: subprocess.Popen[bytes] | None = None
        self.started_at, self.lived_s, self.crashes = 0.0, 0.0, 0

    def __enter__(self) -> "Kept":
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def start(self) -> None:
        """Start it, in a session of its own, deaf to the Ctrl-C of this terminal; its standard input closes when this process is gone."""
        variables = {**os.environ, "DJANGO_SETTINGS_MODULE": "fairtank.settings", "PYTHONUTF8": "1"}
        self.started_at, self.lived_s = time.monotonic(), 0.0
        self.process = subprocess.Popen(self.command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, env=variables,
                                        start_new_session=os.name != "nt")

    def look(self) -> None:
        """Start it again if it is gone; one that dies as soon as it starts waits a little longer each time."""
        if self.process is None or self.process.poll() is None:
            return
        since_start_s = time.monotonic() - self.started_at
        if not self.lived_s:  # the first look that finds it gone
            self.lived_s = since_start_s
            self.crashes = self.crashes + 1 if self.lived_s < _CRASH_S else 0
        if since_start_s < min(self.crashes * _CRASH_S, 60.0):
            return
        self._group_end(signal.SIGTERM)  # what it had started may hold its port
        self.start()

    def end(self) -> None:
        """Ask it to end, and end it if it does not."""
        if self.process is None:
            return
        if self.process.stdin is not None:
            self.process.stdin.close()
        with contextlib.suppress(OSError):
            self.process.terminate()
        try:
            self.process.wait(_END_S)
        except subprocess.TimeoutExpired:
            pass
        finally:
            self._group_end(getattr(signal, "SIGKILL", signal.SIGTERM))
            self.process.wait()

    def _group_end(self, number: int) -> None:
        if self.process is None:
            return
        with contextlib.suppress(OSError):
            if os.name == "nt":
                self.process.kill()
            else:
                os.killpg(self.process.pid, number)


class Called(Kept):
    """A process that is started when a file calls it or its day has come, and again when it was killed; it ends by itself."""

    def __init__(self, command: list[str], call: Path) -> None:
        super().__init__(command)
        self.call, self.house_at = call, time.monotonic() + _HOUSE_FIRST_S

    def __enter__(self) -> "Called":
        return self

    def look(self) -> None:
        """Start it if it is called for."""
        has_ended_well = self.process is None or self.process.poll() == 0
        if not has_ended_well:
            super().look()
        elif self.call.exists() or time.monotonic() > self.house_at:
            self.house_at = time.monotonic() + _HOUSE_S
            self.start()


def answers_wait(listening: Listening, pages: Kept) -> None:
    """Wait until the pages answer; what kept them from it they have told themselves."""
    until = time.monotonic() + _READY_S
    while time.monotonic() < until:
        if pages.process is not None and pages.process.poll() is not None:
            raise JobError("The pages could not be started.")
        if is_answering(listening):
            return
        time.sleep(_LOOK_S)
    raise JobError(f"The pages did not answer within {_READY_S:.0f} seconds.")


def is_answering(listening: Listening) -> bool:
    """Whether somebody answers there; it is this machine, so that its certificate need not be known to anybody."""
    made: Callable[..., http.client.HTTPConnection] = http.client.HTTPConnection
    more = {}
    if listening.certificate is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        context.check_hostname, context.verify_mode = False, ssl.CERT_NONE  # only whether it answers is asked, and nothing is told
        made, more = http.client.HTTPSConnection, {"context": context}
    asking = made(listening.here, listening.port, timeout=10, **more)
    try:
        asking.request("GET", _ALIVE)
        return asking.getresponse().status < http.client.INTERNAL_SERVER_ERROR
    except (OSError, http.client.HTTPException):
        return False
    finally:
        asking.close()


@contextlib.contextmanager
def ended_by_signal() -> Iterator[None]:
    """Inside, SIGTERM ends the block as Ctrl-C does, and leaves with exit code 0: it is how these pages are usually stopped."""
    def asked(_number: int, _frame: object) -> None:
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
        raise SystemExit(0)

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, asked)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
