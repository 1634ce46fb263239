"""Start the pages on this machine: the server is handed the application by its name, and runs it in a process of its own."""

import os
import socket
import threading
import webbrowser
from pathlib import Path

HOST = "127.0.0.1"


def serve(folder: Path, out: Path, port: int = 8321, open_browser: bool = False) -> None:
    """Show a trial folder and its results until Ctrl-C; where the port is taken another free one is used."""
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    os.environ["FAIRTANK_FOLDER"] = str(folder.resolve())
    os.environ["FAIRTANK_OUT"] = str(out.resolve())
    os.environ["DJANGO_SETTINGS_MODULE"] = "fairtank.settings"
    free = free_port(port)
    address = f"http://{HOST}:{free}/"
    print(f"The pages are at {address} (stop with Ctrl-C).", flush=True)
    if open_browser:
        opener = threading.Timer(1.0, webbrowser.open, (address,))
        opener.daemon = True
        opener.start()
    Granian("fairtank.web.wsgi:application", address=HOST, port=free, interface=Interfaces.WSGI, workers=1, blocking_threads=4,
            websockets=False, log_level=LogLevels.error).serve()


def free_port(wished: int) -> int:
    """The wished port where it is free, else one that the system gives."""
    for port in (wished, 0):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind((HOST, port))
            except (OSError, OverflowError):
                continue
            return int(trial.getsockname()[1])
    raise OSError(f"no free port on {HOST}")
