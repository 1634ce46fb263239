"""How soon a reader of a public page sees its sentence on a slow phone, and how large the page is.

    python benchmarks/bench_site.py FOLDER [--repeats 5] [--record]

FOLDER is a page as `fairtank site` makes it (the demo's: `fairtank demo --folder D`, then `fairtank site D/midday`). It is served from this
machine, uncompressed, as a plain web space does, to Chromium with a phone's screen, its processor slowed four times, 1.6 Mbit/s and 150 ms
for each answer. `first_paint_s` is the first contentful paint; `sentence_s` is when the frame with the sentence in it was drawn. The sizes
are those of the files, in bytes: of the page alone (with its script, type and the picture for links), of the photos that it shows, and of
what is offered beside it. Chromium is found as run.py finds it, or by FAIRTANK_CHROMIUM.
"""

import argparse
import functools
import http.server
import os
import shutil
import statistics
import threading
from pathlib import Path
from typing import Any

from recording import circumstances, told

LIMITS = {"first_paint_s": 1.0, "sentence_s": 1.0, "page_bytes": 1_500_000}
PHOTOS, PAGE = ("photos", "wall"), ("index.html", "page.js", "icon.svg", "preview.png", "type")
SLOW = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 0.75e6 / 8}
WATCH = """
window.sentenceSeen = null;
const look = () => {
  const sentence = document.querySelector(".lead");
  if (sentence && sentence.getBoundingClientRect().height) {
    requestAnimationFrame(() => setTimeout(() => { window.sentenceSeen = performance.now(); }));
  } else requestAnimationFrame(look);
};
look();
"""
PAINT = "performance.getEntriesByName('first-contentful-paint')[0].startTime"


class Quiet(http.server.SimpleHTTPRequestHandler):
    """A web space that keeps its connections open and says nothing."""

    protocol_version = "HTTP/1.1"

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing."""


def sizes(folder: Path) -> dict[str, int]:
    """Bytes of the page, of its photos, and of what lies beside it."""
    found = {"page_bytes": 0, "photo_bytes": 0, "beside_bytes": 0}
    for place in folder.rglob("*"):
        if place.is_file():
            top = place.relative_to(folder).parts[0]
            found["photo_bytes" if top in PHOTOS else "page_bytes" if top in PAGE else "beside_bytes"] += place.stat().st_size
    return found


def seen(address: str, chromium: str, repeats: int) -> dict[str, list[float]]:
    """When each visit saw something, and the sentence. [s]"""
    from playwright.sync_api import sync_playwright

    found: dict[str, list[float]] = {"first_paint_s": [], "sentence_s": []}
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        for _visit in range(repeats + 1):
            context = browser.new_context(viewport={"width": 360, "height": 780}, is_mobile=True, has_touch=True, device_scale_factor=2)
            page = context.new_page()
            session = context.new_cdp_session(page)
            session.send("Network.enable")
            session.send("Network.emulateNetworkConditions", SLOW)
            session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
            page.add_init_script(WATCH)
            page.goto(address, wait_until="load")
            page.wait_for_function("window.sentenceSeen !== null")
            found["first_paint_s"].append(page.evaluate(PAINT) / 1000)
            found["sentence_s"].append(page.evaluate("window.sentenceSeen") / 1000)
            context.close()
        browser.close()
    return {name: values[1:] for name, values in found.items()}  # the first visit also starts the browser


def main() -> None:
    """Measure, tell, and keep the line where that is wished."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--record", action="store_true")
    given = parser.parse_args()
    chromium = os.environ.get("FAIRTANK_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser") or ""
    before = circumstances()
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(given.folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    visits = seen(f"http://127.0.0.1:{server.server_port}/index.html", chromium, given.repeats)
    server.shutdown()
    row: dict[str, Any] = {**sizes(given.folder), **{name: statistics.median(values) for name, values in visits.items()},
                           **{f"{name[:-2]}_slowest_s": max(values) for name, values in visits.items()}}
    told("site", before, {**row, "over": [name for name, limit in LIMITS.items() if row[name] > limit]}, record=given.record)


if __name__ == "__main__":
    main()
