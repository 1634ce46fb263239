"""Show the pages on this machine: Python's own server, one thread per request, handed the application by its name."""

import importlib
import os
import socketserver
import threading
import webbrowser
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

HOST = "127.0.0.1"
APPLICATION = "fairtank.web.wsgi"


def serve(folder: Path | None, out: Path | None, port: int = 8321, open_browser: bool = False) -> None:
    """Show a trial folder and its results, or without one the bench alone, until Ctrl-C; a taken port is replaced by a free one."""
    os.environ["FAIRTANK_FOLDER"] = "" if folder is None else str(folder.resolve())
    os.environ["FAIRTANK_OUT"] = "" if out is None else str(out.resolve())
    os.environ["DJANGO_SETTINGS_MODULE"] = "fairtank.settings"
    with bound(port) as server:
        address = f"http://{HOST}:{server.server_port}/"
        taken = f"Port {port} is taken, so the pages are at" if port not in (0, server.server_port) else "The pages are at"
        print(f"{taken} {address} (stop with Ctrl-C).", flush=True)
        if open_browser:
            opener = threading.Timer(1.0, webbrowser.open, (address,))
            opener.daemon = True
            opener.start()
        server.set_app(headless(importlib.import_module(APPLICATION).application))  # who asks meanwhile is answered after it
        server.serve_forever()


def bound(wished: int) -> "Server":
    """A server that listens at the wished port where it is free, else at one that the system gives."""
    for port in (wished, 0):
        try:
            return Server((HOST, port), Handler)
        except (OSError, OverflowError):
            continue
    raise OSError(f"no free port on {HOST}")


class Server(socketserver.ThreadingMixIn, WSGIServer):
    """One thread per request; none of them keeps the process alive."""

    daemon_threads = True
    block_on_close = False
    allow_reuse_address = os.name != "nt"  # there it would let two servers share a port
    request_queue_size = 64

    def server_bind(self) -> None:
        """Listen without asking the network for this machine's name."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = HOST, self.server_address[1]
        self.setup_environ()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that went away or asked for nothing is no news; mistakes of the pages are told by the pages themselves."""


class Handler(WSGIRequestHandler):
    """Answers one request and says nothing about it in the terminal."""

    timeout = 30  # a browser opens connections ahead and may never use them

    def log_message(self, format: str, *args: Any) -> None:
        """Requests are not listed."""


def headless(application: Callable[..., Iterable[bytes]]) -> Callable[..., Iterable[bytes]]:
    """The application, with the content left away when only the head of an answer was asked for."""

    def answered(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        content = application(environ, start_response)
        if environ["REQUEST_METHOD"] != "HEAD":
            return content
        if hasattr(content, "close"):
            content.close()
        return []

    return answered
