"""The pages as an application that a server can run."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fairtank.settings")
application = get_wsgi_application()

from fairtank.web.chart_bundle import charts_folder, make_in_background  # noqa: E402 - it reads the settings


def answering() -> None:
    """Called in the process that answers, before its first visitor: what takes seconds is made meanwhile, unless FAIRTANK_AHEAD is `0`."""
    if os.environ.get("FAIRTANK_AHEAD") != "0":
        make_in_background(charts_folder())
