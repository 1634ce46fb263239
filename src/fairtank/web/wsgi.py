"""The pages as an application that a server can run."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fairtank.settings")
application = get_wsgi_application()

from fairtank.web.chart_bundle import charts_folder, make_in_background  # noqa: E402 - it reads the settings

# New objects after which Python looks for rings of them that nobody needs. A table of 100,000 readings is a million objects of which none
# goes away while it is read; with Python's own 700 the search took a third of its time.
NEW_OBJECTS = 50_000


def answering() -> None:
    """Called in the process that answers, before its first visitor: what takes seconds is made meanwhile, unless FAIRTANK_AHEAD is `0`."""
    gc.set_threshold(NEW_OBJECTS, 20, 20)
    if os.environ.get("FAIRTANK_AHEAD") != "0":
        make_in_background(charts_folder())
