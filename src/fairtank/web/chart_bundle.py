"""The drawing program that charts in the pages need: made once from the installed libraries, kept among what can be made again.

It is made by a process of its own, since the engine that makes it would stay in the server's memory.
"""

import gzip
import hashlib
import subprocess
import sys
import threading
from functools import cache
from importlib.metadata import version
from pathlib import Path

from django.conf import settings

from fairtank.errors import JobError

# What the pages' own script takes from the bundle.
SNIPPET = "globalThis.fairtankDraw = vegaEmbed;"
_LONGEST_S = 120.0
_MAKING = threading.Lock()


@cache
def bundle_version() -> str:
    """The key of the bundle: it changes with the library that makes it and with what the pages take from it."""
    told = f"{version('vl-convert-python')} {SNIPPET}"
    return hashlib.sha256(told.encode()).hexdigest()[:12]


def bundle_file(folder: Path) -> Path:
    """Where the bundle of this version lies, made or not; beside it lies the same file packed, as `.js.gz`."""
    return folder / f"charts-{bundle_version()}.js"


def charts_folder() -> Path:
    """The folder of the bundle, among what can be made again."""
    return Path(settings.DATA) / "derived" / "charts"


def made_bundle(folder: Path) -> Path:
    """The bundle, made now where it is missing; whoever asks meanwhile waits."""
    place = bundle_file(folder)
    with _MAKING:
        if not place.is_file():
            _made_elsewhere(place)
    return place


def make_in_background(folder: Path) -> threading.Thread:
    """Begin to make the bundle where it is missing, without waiting; it is asked for again, and then told, where that fails."""
    def made() -> None:
        try:
            made_bundle(folder)
        except JobError:
            return

    thread = threading.Thread(target=made, name="chart bundle", daemon=True)
    thread.start()
    return thread


def write_bundle(place: Path) -> None:
    """Make the bundle in this process and put both files into place, each whole or not at all; older versions go."""
    import vl_convert

    place.parent.mkdir(parents=True, exist_ok=True)
    text = vl_convert.javascript_bundle(SNIPPET).encode()
    packed = place.with_name(f"{place.name}.gz")
    for target, content in ((packed, gzip.compress(text, mtime=0)), (place, text)):  # the plain one last: it says that both are there
        part = target.with_name(f"{target.name}.{threading.get_native_id()}.part")
        part.write_bytes(content)
        part.replace(target)
    for old in place.parent.glob("charts-*.js*"):
        if old not in (place, packed):
            old.unlink(missing_ok=True)


def _made_elsewhere(place: Path) -> None:
    code = "import sys; from pathlib import Path; from fairtank.web.chart_bundle import write_bundle; write_bundle(Path(sys.argv[1]))"
    try:
        subprocess.run([sys.executable, "-c", code, str(place)], check=True, capture_output=True, timeout=_LONGEST_S)
    except (subprocess.SubprocessError, OSError) as error:
        raise JobError("The drawing program of the charts could not be made; the tables hold the same numbers. Start fairtank again, and "
                       "see that its data folder can be written to.") from error
