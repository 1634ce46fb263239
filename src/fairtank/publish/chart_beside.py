"""Charts drawn beside the work that goes on: by a process of its own, which is warm by the time the first is asked.

Whatever becomes of that process, no chart is lost: one that it does not give is drawn here.
"""

import contextlib
import queue
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future
from pathlib import Path
from typing import BinaryIO

from fairtank.publish.chart_process import message_read, message_write

PROCESS = Path(__file__).with_name("chart_process.py")
LONGEST_WAIT_S = 60.0


class Beside:
    """The process, with what it was asked and what it answered. It reads only between two charts: what it is asked waits in a thread."""

    def __init__(self, fonts: Path) -> None:
        self._process = subprocess.Popen([sys.executable, "-P", str(PROCESS)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                         stderr=subprocess.DEVNULL)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._asks: BinaryIO = self._process.stdin  # type: ignore[assignment]
        self._answers: BinaryIO = self._process.stdout  # type: ignore[assignment]
        self._sending: queue.Queue[str] = queue.Queue()
        self._waiting: deque[Future[str]] = deque()
        self._known: dict[str, Future[str]] = {}
        self._is_ended = False
        self._lock = threading.Lock()
        self._sending.put(str(fonts))
        for work in (self._read, self._send):
            threading.Thread(target=work, daemon=True).start()

    def ask(self, description: str) -> None:
        """Have a chart drawn; one that was asked before is not drawn again."""
        with self._lock:
            if description in self._known or self._is_ended:
                return
            asked: Future[str] = Future()
            self._known[description] = asked
            self._waiting.append(asked)
            self._sending.put(description)

    def answer(self, description: str) -> str:
        """The chart that was asked for; empty where it was not asked for, or did not come."""
        asked = self._known.get(description)
        if asked is None:
            return ""
        try:
            return asked.result(LONGEST_WAIT_S)
        except TimeoutError:
            return ""

    def close(self) -> None:
        """Let the process go; what it still draws is of no use any more."""
        self._sending.put("")
        self._process.kill()
        self._process.wait()
        for pipe in (self._asks, self._answers):
            with contextlib.suppress(OSError):
                pipe.close()

    def _send(self) -> None:
        """What is asked goes out in its order; an empty text ends it."""
        with contextlib.suppress(OSError, ValueError):
            while text := self._sending.get():
                message_write(self._asks, text)

    def _read(self) -> None:
        """Answers come in the order in which they were asked for."""
        with contextlib.suppress(OSError, ValueError):
            while (text := message_read(self._answers)) is not None:
                with self._lock:
                    asked = self._waiting.popleft()
                asked.set_result(text)
        self._end()

    def _end(self) -> None:
        """Nothing more comes: whoever waits is told so."""
        with self._lock:
            self._is_ended = True
            left, self._waiting = self._waiting, deque()
        for asked in left:
            if not asked.done():
                asked.set_result("")


_beside: list[Beside] = []


@contextlib.contextmanager
def charts_beside(fonts: Path) -> Iterator[None]:
    """While this lasts, charts that are asked ahead are drawn by a process beside; where none can be started, they are drawn here."""
    try:
        own = Beside(fonts)
    except OSError:
        yield
        return
    _beside.append(own)
    try:
        yield
    finally:
        _beside.remove(own)
        own.close()


def ask(description: str) -> None:
    """Have a chart drawn beside, where a process runs."""
    if _beside:
        _beside[-1].ask(description)


def answer(description: str) -> str:
    """A chart that was drawn beside; empty where there is none."""
    return _beside[-1].answer(description) if _beside else ""
