"""Ctrl-C ends a command at once and without a word, together with its worker processes and while libraries are still loading.

Where a signal can be held back (everywhere but on Windows), Ctrl-C reaches neither the command nor its workers by itself: a
thread waits for it, interrupts the command, which tidies up on its way out, and ends the workers. A worker that is only just
starting would print a stack trace if the signal reached it, and a library that is interrupted while it loads may turn the
interruption into an error of its own.
"""

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import TracebackType
from typing import Any

EXIT_CODE = 130
_ROUND_S, _ROUNDS, _ROUNDS_PER_CALL = 0.1, 30, 10
_SHORT_S, _SHORT_ROUNDS = 0.005, 100
_HOLDS_SIGNALS = hasattr(signal, "pthread_sigmask") and hasattr(signal, "sigwait")


def _hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """What happens to an exception that nobody caught: Ctrl-C in the first tenth of a second ends the process without a word."""
    if issubclass(kind, KeyboardInterrupt):
        os._exit(EXIT_CODE)
    sys.__excepthook__(kind, error, trace)


# At import, before the command line's other libraries are loaded; under a test runner or a debugger nothing is changed.
if sys.excepthook is sys.__excepthook__:
    sys.excepthook = _hook


@contextmanager
def ctrl_c_watched() -> Iterator[threading.Event]:
    """An event that is set when Ctrl-C was pressed; inside, Ctrl-C ends the workers and raises KeyboardInterrupt here."""
    pressed, over = threading.Event(), threading.Event()
    if not _HOLDS_SIGNALS or threading.current_thread() is not threading.main_thread():
        yield pressed
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    handler, unraisable = signal.signal(signal.SIGUSR1, signal.default_int_handler), sys.unraisablehook
    sys.unraisablehook = lambda told: None if pressed.is_set() else unraisable(told)
    watcher = threading.Thread(target=_watch, args=(threading.get_ident(), pressed, over), daemon=True)
    watcher.start()
    try:
        yield pressed
    finally:
        over.set()
        if not pressed.is_set():  # otherwise nothing more shall be heard until the process has ended
            with suppress(ProcessLookupError):
                signal.pthread_kill(watcher.ident or 0, signal.SIGINT)
            watcher.join(timeout=1)
            sys.unraisablehook = unraisable
            signal.signal(signal.SIGUSR1, handler)
            signal.pthread_sigmask(signal.SIG_SETMASK, before)


def workers_hear_no_ctrl_c() -> None:
    """Make worker processes that are started from now on deaf to Ctrl-C, where it is watched: they inherit what is held back.

    The process that tidies up after workers is started first: starting it lets Ctrl-C through again.
    """
    if not _HOLDS_SIGNALS or signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, set()):
        return
    from multiprocessing import resource_tracker

    resource_tracker.ensure_running()
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})


def _watch(main: int, pressed: threading.Event, over: threading.Event) -> None:
    """Wait for Ctrl-C; then interrupt the command and end its workers, and the process itself should it not end by itself."""
    signal.sigwait({signal.SIGINT})
    if over.is_set():
        return
    pressed.set()
    for number in range(_ROUNDS):
        if number % _ROUNDS_PER_CALL == 0:
            _half_started_end(main, over)
            signal.pthread_kill(main, signal.SIGUSR1)
        _workers_end()
        if over.wait(_ROUND_S):
            break
    else:
        os._exit(EXIT_CODE)
    _workers_end()


def _half_started_end(main: int, over: threading.Event) -> None:
    """End the worker that the command is just starting: nobody else knows of it yet, and it would miss what it was to be told."""
    for _ in range(_SHORT_ROUNDS):
        frame, is_starting = sys._current_frames().get(main), False
        while frame is not None:
            room = frame.f_globals.get("__name__", "")
            number = getattr(frame.f_locals.get("self"), "pid", None) if room == "multiprocessing.popen_spawn_posix" else None
            if number:
                with suppress(ProcessLookupError):
                    os.kill(number, signal.SIGKILL)
                return
            is_starting = is_starting or room.startswith("multiprocessing.")
            frame = frame.f_back
        if not is_starting or over.wait(_SHORT_S):
            return


def _workers_end() -> None:
    multiprocessing: Any = sys.modules.get("multiprocessing")
    for worker in multiprocessing.active_children() if multiprocessing else ():
        worker.kill()
