"""software.json: with which fairtank, which Python and which libraries a kit's numbers were made."""

import importlib.metadata
import json
import platform
import re
from functools import cache

from fairtank import __version__

# The libraries that fairtank itself asks for; those that these ask for are looked up.
DIRECT = ("numpy", "scipy", "pillow", "pi-heif", "simplejpeg", "opencv-python-headless", "numba", "vl-convert-python", "typst", "jinja2",
          "tomli-w", "click", "rich", "django", "django-htmx", "django-tasks", "django-tasks-db", "granian", "whitenoise", "platformdirs",
          "argon2-cffi", "segno", "openpyxl", "python-dateutil", "icalendar", "cryptography", "av")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


@cache
def software_text() -> str:
    """software.json as text: the same on the same installation, and looked up once, as what runs does not change while it runs.

    References
    ----------
    common_practice (keys from sources.py).
    """
    document = {"fairtank": __version__, "python": platform.python_version(), "implementation": platform.python_implementation(),
                "system": platform.system(), "machine": platform.machine(), "libraries": dict(sorted(_versions().items()))}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _versions() -> dict[str, str]:
    """Name -> version of every library in use that is installed."""
    found: dict[str, str] = {}
    waiting = list(DIRECT)
    while waiting:
        name = re.sub(r"[-_.]+", "-", waiting.pop()).lower()
        if name in found:
            continue
        try:
            there = importlib.metadata.distribution(name)
        except importlib.metadata.PackageNotFoundError:
            continue
        found[name] = there.version
        asked = (one for one in there.requires or () if "extra" not in one.partition(";")[2])
        waiting += [match[0] for one in asked if (match := _NAME.match(one))]
    return found
