"""A shelf in a home network, served for the browser test of pairing. Called with a folder; prints its port and a pairing code."""

import os
import sys
from pathlib import Path
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

from tests.web.people import PHONE_ADDRESS
from tests.web.round_site import shelf_make


class _Quiet(WSGIRequestHandler):
    def log_message(self, *_):
        pass


def serve(place: Path) -> None:
    """Serve until killed. Whoever asks for `localhost` comes from the address of a phone, so that one machine can be both."""
    os.environ.update(FAIRTANK_DATA=str(place), FAIRTANK_LAN="1", DJANGO_SETTINGS_MODULE="fairtank.settings")
    shelf_make()
    from django.core.handlers.wsgi import WSGIHandler

    from fairtank.records.services.pairing import code_make
    from fairtank.records.services.trail import KEEPER

    application = WSGIHandler()

    def from_a_phone(environ, start):
        if environ["HTTP_HOST"].startswith("localhost"):
            environ["REMOTE_ADDR"] = PHONE_ADDRESS
        return application(environ, start)

    with make_server("127.0.0.1", 0, from_a_phone, WSGIServer, _Quiet) as server:
        print(server.server_port, code_make(by=KEEPER), flush=True)
        server.serve_forever()


if __name__ == "__main__":
    serve(Path(sys.argv[1]))
