"""`fairtank serve` of a data folder, its processes, which can be killed one by one or all at once, and a client of its pages."""

import contextlib
import http.client
import os
import re
import secrets
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import urlencode

READY_S, STEP_S = 300.0, 0.02
VICTIMS = ("server", "worker", "both")
_WORDS = {"server": "fairtank.cli.serving", "worker": "worker --with-parent"}
_ERRORS = (OSError, http.client.HTTPException)


class Served:
    """The pages of one data folder on one port, started again as often as they are killed."""

    def __init__(self, data: Path, scratch: Path, cores: int | None = None) -> None:
        self.data, self.scratch, self.starts = data, scratch, 0
        self.more: dict[str, str] = {}
        if cores:
            (scratch.parent / "told").mkdir()
            (scratch.parent / "told" / "sitecustomize.py").write_text(f"import os\nos.cpu_count = lambda: {cores}\n", encoding="utf-8")
            self.more["PYTHONPATH"] = os.pathsep.join([str(scratch.parent / "told"), *filter(None, [os.environ.get("PYTHONPATH")])])
        with socket.socket() as trial:
            trial.bind(("127.0.0.1", 0))
            self.port = int(trial.getsockname()[1])
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start `fairtank serve` and wait until it answers."""
        own = {**os.environ, "FAIRTANK_DATA": str(self.data), "FAIRTANK_AHEAD": "0", "TMPDIR": str(self.scratch), **self.more}
        words = [sys.executable, "-m", "fairtank.cli", "serve", "--port", str(self.port)]
        self.process = subprocess.Popen(words, stdout=subprocess.DEVNULL, env=own)
        self.starts += 1
        self.answers_wait()

    def answers_wait(self) -> None:
        """Wait until somebody answers at the port."""
        until = time.monotonic() + READY_S
        while time.monotonic() < until:
            with contextlib.suppress(*_ERRORS):
                asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
                asking.request("GET", "/favicon.ico")
                if asking.getresponse().status < 500:
                    return
            if self.process is not None and self.process.poll() is not None:  # on a busy machine it gave up after a minute
                self.start()
                return
            time.sleep(STEP_S * 5)
        raise SystemExit("the pages do not answer any more")

    def end(self) -> None:
        """Ctrl-C."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(timeout=30)

    def found(self, victim: str) -> list[int]:
        """The processes of a victim, those of the pages with the one that started the other first."""
        return [] if self.process is None else [key for key, words in sorted(below(self.process.pid).items()) if _WORDS[victim] in words]

    def killed(self, victim: str, *, inner: bool) -> int:
        """Kill -9: the pages' two processes (inner: only the one that answers), the worker, or `serve` with all that it started."""
        assert self.process is not None
        if victim == "both":
            dead = [self.process.pid, *self.found("server"), *self.found("worker")]
        else:
            dead = self.found(victim)
            dead = dead[1:] if victim == "server" and inner else dead
        count = 0
        for key in dead:
            with contextlib.suppress(ProcessLookupError):
                os.kill(key, signal.SIGKILL)
                count += 1
        if victim == "both":
            self.process.wait(timeout=20)
        return count

    def outlived(self, longest_s: float = 15.0) -> int:
        """How many processes of this data folder still live that nobody watches, after a while in which they may end."""
        until = time.monotonic() + longest_s
        while (left := len(self._unwatched())) and time.monotonic() < until:
            time.sleep(0.25)
        return left

    def _unwatched(self) -> list[int]:
        own, mark = {os.getpid()}, f"FAIRTANK_DATA={self.data}".encode()
        if self.process is not None:
            own |= {self.process.pid, *below(self.process.pid)}
        found = []
        for place in Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):
                if int(place.name) not in own and mark in (place / "environ").read_bytes().split(b"\0"):
                    found.append(int(place.name))
        return found


def below(number: int) -> dict[int, str]:
    """What a process started, and what those started: key -> its words."""
    parents: dict[int, int] = {}
    words: dict[int, str] = {}
    for place in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError, ValueError):
            parents[int(place.name)] = int((place / "stat").read_text().rpartition(")")[2].split()[1])
            words[int(place.name)] = (place / "cmdline").read_text().replace("\0", " ")
    found: dict[int, str] = {}
    ask = [number]
    while ask:
        above = ask.pop()
        mine = [key for key, parent in parents.items() if parent == above and key in words]
        found |= {key: words[key] for key in mine}
        ask += mine
    return found


class Client:
    """Sends forms as the page's script does; None is the answer where the connection broke before one came."""

    def __init__(self, port: int) -> None:
        self.port, self.token, self.cookie = port, "", ""

    def known(self) -> None:
        """Open a page with a form, for the token against forged ones."""
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        asking.request("GET", "/")
        answer = asking.getresponse()
        text = answer.read().decode()
        self.cookie = "; ".join(value.split(";")[0] for name, value in answer.getheaders() if name.lower() == "set-cookie")
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', text)
        assert found is not None
        self.token = found[1]
        asking.close()

    def post(self, place: str, fields: dict[str, str], files: dict[str, tuple[str, bytes]] | None = None) -> tuple[int, str] | None:
        """Status, and where it leads or what it says."""
        if files is None:
            return self.sent(place, urlencode(fields).encode(), "application/x-www-form-urlencoded")
        return self.sent(place, *_in_parts(fields, files))

    def sent(self, place: str, body: bytes, kind: str) -> tuple[int, str] | None:
        """The same of a body of that media type, such as a photo alone with its facts in the address."""
        heads = {"Content-Type": kind, "Cookie": self.cookie, "X-CSRFToken": self.token}
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            asking.request("POST", place, body, heads)
            answer = asking.getresponse()
            text = answer.read().decode()
        except _ERRORS:
            return None
        finally:
            asking.close()
        return answer.status, answer.getheader("Location") or text


def _in_parts(fields: dict[str, str], files: dict[str, tuple[str, bytes]]) -> tuple[bytes, str]:
    line, parts = secrets.token_hex(16), []
    for name, value in fields.items():
        parts.append(f'--{line}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode())
    for name, (called, content) in files.items():
        head = f'--{line}\r\nContent-Disposition: form-data; name="{name}"; filename="{called}"\r\n'
        parts.append(head.encode() + b"Content-Type: application/octet-stream\r\n\r\n" + content + b"\r\n")
    return b"".join(parts) + f"--{line}--\r\n".encode(), f"multipart/form-data; boundary={line}"
