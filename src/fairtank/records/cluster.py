"""Photos measured on other computers: a Dask scheduler that is already there takes the work, as one more executor.

Nothing is started here and nothing is left running. Dask has no login: whoever reaches the scheduler can run anything on its workers.
"""

import hashlib
import importlib.util
import pickle
import socket
import threading
import time
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import contextmanager, suppress
from typing import Any
from urllib.parse import urlsplit

from fairtank.errors import InputError, JobError

_ANSWER_S = 4.0
_LONGEST_S = 6.0
# How long work may wait for a first, or another, worker.
_WORKER_S = 60.0
_GIVEN: dict[str, Any] = {}
_NO_DASK = "Measuring on a cluster needs Dask, which is not installed here: pip install 'fairtank[cluster]'."
_ACCEPTED = "the address of a Dask scheduler that answers, such as tcp://192.168.1.20:8786"


class WorkerLost(BrokenExecutor):
    """The worker that had this piece of work died, and so did others that tried it."""


class ClusterExecutor(Executor):
    """Work for `function(given, unit)` handed to a Dask scheduler; `given` travels to each worker once."""

    def __init__(self, client: Any, function: Callable[[Any, Any], Any], given: Any) -> None:
        content = pickle.dumps(given, protocol=5)
        self._client, self._function, self._digest = client, function, hashlib.sha256(content).hexdigest()
        self._inner = client.get_executor(pure=False)
        self._none_since: float | None = None
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # it is large, and sent once
            # Made by a task and not scattered: when all workers that hold it die, the scheduler has it made again.
            self._given = client.submit(bytes, content, pure=False)

    def submit(self, function: Callable[..., Any], /, *units: Any, **more: Any) -> "Future[Any]":
        """Hand in one unit; `function` is the name of the work, which the workers know already."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # a photo's bytes are large, and meant to be sent
            inner = self._inner.submit(_worked, self._function, self._digest, self._given, *units)
        outer: Future[Any] = Future()
        outer.set_running_or_notify_cancel()
        inner.add_done_callback(lambda done: _handed_on(done, outer))
        return outer

    def look(self) -> None:
        """Stop waiting, with a sentence, when the cluster has had no worker for a minute."""
        now = time.monotonic()
        if self._client.nthreads():
            self._none_since = None
        elif self._none_since is None:
            self._none_since = now
        elif now - self._none_since > _WORKER_S:
            raise JobError("The cluster has no workers. What was measured so far is kept; start workers and run the same command again.")

    def __exit__(self, *_: object) -> None:
        """The client lives longer than one round of work."""


@contextmanager
def cluster_at(address: str, function: Callable[[Any, Any], Any], given: Any) -> Iterator[tuple[Callable[[int | None], Executor], int]]:
    """What makes an executor on the scheduler at an address, and how many threads its workers have; the connection ends with the block.

    Parameters
    ----------
    address : str
        As `tcp://host:port`; `host:port` is taken for the same.
    function : callable
        Takes `given` and one unit; importable by name on the workers.
    given : object
        What every unit needs, and what can be pickled.

    Raises
    ------
    InputError
        If nothing that speaks Dask answers at the address.
    JobError
        If the `cluster` extra is not installed here.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    client = _client(address)
    try:
        executor = ClusterExecutor(client, function, given)
        yield lambda _: executor, sum(client.nthreads().values())
    finally:
        client.close(timeout=_ANSWER_S)


def address_check(address: str) -> None:
    """Refuse what has not the form of an address; nothing is asked of the network.

    Parameters
    ----------
    address : str
        As `host:port` or `tcp://host:port`.

    Raises
    ------
    InputError
        If host or port are missing.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    _address_parts(address)


def scheduler_check(address: str) -> None:
    """Refuse an address at which nothing that speaks Dask answers within seconds.

    Parameters
    ----------
    address : str
        As `host:port` or `tcp://host:port`.

    Raises
    ------
    InputError
        If the address is none, or nothing that speaks Dask answers there.
    JobError
        If the `cluster` extra is not installed here.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    _, host, port, is_plain = _address_parts(address)
    if importlib.util.find_spec("distributed") is None:
        raise JobError(_NO_DASK)
    kind = _who_answers(host, port, is_plain)
    if kind == "nobody":
        why = "Nothing answers there. Is the scheduler running, and can this computer reach it?"
        raise InputError("--cluster", address, _ACCEPTED, why)
    if kind == "another":
        raise InputError("--cluster", address, _ACCEPTED, "Something is there, but it does not speak like a Dask scheduler.")


def _address_parts(address: str) -> tuple[str, str, int, bool]:
    """The address in full, its host and port, and whether the line is plain (and not encrypted)."""
    full = address if "://" in address else f"tcp://{address}"
    try:
        parts = urlsplit(full)
        host, port = parts.hostname, parts.port
    except ValueError:
        host, port = None, None
    if not host or not port or parts.scheme not in ("tcp", "tls") or parts.path.strip("/") or any(sign.isspace() for sign in full):
        raise InputError("--cluster", address, _ACCEPTED, "Give host and port.")
    return full, host, port, parts.scheme == "tcp"


def _client(address: str) -> Any:
    """A connection to the scheduler."""
    scheduler_check(address)
    from distributed import Client

    try:
        return Client(_address_parts(address)[0], timeout=_ANSWER_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise InputError("--cluster", address, _ACCEPTED, "Something is there, but it is no Dask scheduler that fits.") from error


def _who_answers(host: str, port: int, is_plain: bool) -> str:
    """`dask`, `another` or `nobody`, within _LONGEST_S: looking up a name alone may take much longer where the network is down."""
    found = ["nobody"]

    def ask() -> None:
        with suppress(OSError), socket.create_connection((host, port), timeout=_ANSWER_S / 2) as line:
            found.append("another")
            if not is_plain or _speaks_dask(line):
                found.append("dask")

    asking = threading.Thread(target=ask, daemon=True)
    asking.start()
    asking.join(_LONGEST_S)
    return found[-1]


def _speaks_dask(line: socket.socket) -> bool:
    """Whether the other side greets as Dask does, unasked: eight bytes with the length of a short message.

    Dask itself would wait for that greeting without end.
    """
    greeting = b""
    try:
        while len(greeting) < 8:
            part = line.recv(8 - len(greeting))
            if not part:
                return False
            greeting += part
    except TimeoutError:
        return False
    return 0 < int.from_bytes(greeting, "little") < 1_000_000


def _worked(function: Callable[[Any, Any], Any], digest: str, content: bytes, unit: Any) -> Any:
    """One unit, on a worker: what all units share is unpacked by the first of them."""
    if digest not in _GIVEN:
        given = pickle.loads(content)
        while len(_GIVEN) > 1:
            _GIVEN.pop(next(iter(_GIVEN)), None)
        _GIVEN[digest] = given
    given = _GIVEN.get(digest)
    return function(pickle.loads(content) if given is None else given, unit)


def _handed_on(inner: "Future[Any]", outer: "Future[Any]") -> None:
    """The outcome, with Dask's words for a dead worker or a lost scheduler turned into ours."""
    from distributed import KilledWorker

    if inner.cancelled():
        outer.set_exception(JobError("The cluster's scheduler went away. What was measured so far is kept; run the same command again."))
        return
    error = inner.exception()
    if isinstance(error, KilledWorker):
        outer.set_exception(WorkerLost(str(error)))
    elif error is not None:
        outer.set_exception(error)
    else:
        outer.set_result(inner.result())
