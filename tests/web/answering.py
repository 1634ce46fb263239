"""The pages answered in this very process, for tests that look at them in a browser and need neither a worker nor a start of their own."""

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server


class Quiet(WSGIRequestHandler):
    """Says nothing about requests."""

    def log_message(self, *_):
        """Nothing."""


class Many(socketserver.ThreadingMixIn, WSGIServer):
    """One thread per request."""

    daemon_threads = True


@contextmanager
def answering() -> Iterator[str]:
    """The address of the pages while the block runs."""
    from django.core.handlers.wsgi import WSGIHandler

    server = make_server("127.0.0.1", 0, WSGIHandler(), Many, Quiet)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
