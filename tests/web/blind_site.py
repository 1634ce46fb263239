"""Two seats at the blind table behind links, served: called with a folder; prints both addresses."""

import sys
from pathlib import Path
from wsgiref.simple_server import make_server

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.web.round_site import _Many, _Quiet, shelf_make


def serve(place: Path) -> None:
    """Make the shelf, take the trial in, make the seats and serve until killed."""
    shelf_make()
    from django.core.handlers.wsgi import WSGIHandler
    from tests.web.test_blind_pages import trial_write

    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.seats import SeatWanted, seat_link_make, seat_make
    from fairtank.records.services.trail import KEEPER

    trial = trial_import(root=trial_write(place / "trial"), by=KEEPER)
    with make_server("127.0.0.1", 0, WSGIHandler(), _Many, _Quiet) as server:
        links = []
        for measure, way in (("algae_by_eye", "score"), ("more_algae", "pairs")):
            seat = seat_make(trial=trial, by=KEEPER, wanted=SeatWanted(measure, way, "Mira", 8), seed=5)
            links.append(f"http://127.0.0.1:{server.server_port}/rate/{seat_link_make(seat=seat, by=KEEPER)}")
        print(*links, flush=True)
        server.serve_forever()


if __name__ == "__main__":
    serve(Path(sys.argv[1]))
