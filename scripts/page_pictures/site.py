"""The pages in this process, answered to a browser as if it asked from elsewhere."""

import socketserver
import threading
from collections.abc import Callable
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server


class _Quiet(WSGIRequestHandler):
    def log_message(self, *_: Any) -> None:
        """Nothing."""


class _Many(socketserver.ThreadingMixIn, WSGIServer):
    daemon_threads = True


class Site:
    """The pages in this process; environ: what each request is given to look as if it came from elsewhere."""

    def __init__(self) -> None:
        self.environ: dict[str, str] = {}

    def __enter__(self) -> "Site":
        from django.core.handlers.wsgi import WSGIHandler

        self.application: Any = WSGIHandler()
        self.server = make_server("127.0.0.1", 0, self._answer, _Many, _Quiet)
        self.address = f"http://127.0.0.1:{self.server.server_port}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        return self

    def __exit__(self, *_: Any) -> None:
        self.server.shutdown()
        self.server.server_close()

    def renewed(self) -> None:
        """Settings that were changed count from now on."""
        from django.core.handlers.wsgi import WSGIHandler

        self.application = WSGIHandler()

    def _answer(self, environ: dict[str, Any], start: Callable[..., Any]) -> Any:
        environ.update(self.environ)
        return self.application(environ, start)
