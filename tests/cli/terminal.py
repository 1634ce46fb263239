"""A command at a terminal of its own, as a keeper has one: it is started, waited for, and stopped with Ctrl-C."""

import contextlib
import os
import pty
import re
import select
import signal
import sys
import time
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]


class Terminal:
    """A process that is the first in its session and whose terminal is `self.reader`."""

    def __init__(self, *words: object, **variables: str) -> None:
        self.mark = f"FAIRTANK_TEST_{os.getpid()}_{time.monotonic_ns()}"
        self.told = ""
        self.pid, self.reader = pty.fork()
        if self.pid == 0:
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # as a shell does before it starts a command
            os.execve(str(words[0]), [str(word) for word in words], {**os.environ, **variables, self.mark: "1"})

    def read(self, seconds: float) -> bool:
        """Read what was printed; False when nobody holds the terminal any more."""
        if not select.select([self.reader], [], [], seconds)[0]:
            return True
        try:
            some = os.read(self.reader, 65536)
        except OSError:
            return False
        self.told += some.decode(errors="replace")
        return bool(some)

    def wait_for(self, pattern: str, seconds: float = 60) -> re.Match:
        """Read until the pattern was printed."""
        deadline = time.monotonic() + seconds
        while not (found := re.search(pattern, self.told)):
            assert time.monotonic() < deadline, self.told
            assert self.read(0.2), self.told
        return found

    def ctrl_c(self) -> float:
        """Press Ctrl-C once; the seconds until the process had ended. Its exit code is kept in `self.code`."""
        self.told = ""
        began = time.monotonic()
        os.write(self.reader, b"\x03")
        while True:
            ended, status = os.waitpid(self.pid, os.WNOHANG)
            if ended:
                break
            assert time.monotonic() < began + 20, self.told
            self.read(0.02)
        took = time.monotonic() - began
        while self.read(0.2) and time.monotonic() < began + 30 and self.processes():
            pass
        self.read(0)
        self.code = os.waitstatus_to_exitcode(status)
        return took

    def processes(self) -> list[int]:
        """The processes that carry this terminal's mark in their variables and have not ended."""
        found = []
        for place in Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):
                if self.mark.encode() in (place / "environ").read_bytes() and (place / "stat").read_text().split(")")[1].split()[0] != "Z":
                    found.append(int(place.name))
        return found

    def close(self) -> None:
        """End whatever is left."""
        for number in self.processes():
            with contextlib.suppress(ProcessLookupError):
                os.kill(number, signal.SIGKILL)
        with contextlib.suppress(ChildProcessError):
            os.waitpid(self.pid, os.WNOHANG)
        os.close(self.reader)


def fairtank(*words: object) -> tuple[object, ...]:
    """The words that start a command with this Python."""
    return sys.executable, "-m", "fairtank.cli", *words


def left_behind(terminal: Terminal, seconds: float = 3) -> list[int]:
    """The processes that are still there a moment later."""
    deadline = time.monotonic() + seconds
    while (left := terminal.processes()) and time.monotonic() < deadline:
        time.sleep(0.05)
    return left
