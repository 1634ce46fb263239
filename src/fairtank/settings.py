"""Django settings: one machine, one trial folder or none, nothing stored.

There is no database, no session and no log-in: the pages only show what lies in the folder, and only to this machine. The
folder is named by `fairtank serve` through two environment variables, which are read when Django starts.
"""

import os
import secrets
from pathlib import Path

_WEB = Path(__file__).resolve().parent / "web"

# Signs nothing that outlives the process, so that it may be new at each start.
SECRET_KEY = secrets.token_urlsafe(50)
DEBUG = False
# Exactly loopback: a page elsewhere that points its own name at this machine is turned away.
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]

INSTALLED_APPS: list[str] = []
DATABASES: dict[str, dict[str, str]] = {}
ROOT_URLCONF = "fairtank.web.urls"
MIDDLEWARE = [
    "fairtank.web.security.SecurityHeaders",
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.common.CommonMiddleware",  # asks for the host, which refuses all but loopback
]
APPEND_SLASH = False
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "no-referrer"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"

TEMPLATES = [{
    "BACKEND": "django.template.backends.django.DjangoTemplates",
    "DIRS": [_WEB / "templates"],
    "OPTIONS": {"context_processors": []},
}]

LANGUAGE_CODE = "en"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler", "level": "ERROR"}},
    "root": {"handlers": ["console"], "level": "ERROR"},
    # A refused host or a missing file is answered on the page; the terminal stays quiet.
    "loggers": {"django": {"handlers": [], "level": "ERROR", "propagate": True},
                "django.security.DisallowedHost": {"handlers": [], "level": "CRITICAL", "propagate": False}},
}

# What is shown: the trial folder and the folder of its results; both empty where only the bench is shown.
FAIRTANK_FOLDER = os.environ.get("FAIRTANK_FOLDER", "")
FAIRTANK_OUT = os.environ.get("FAIRTANK_OUT", "")
