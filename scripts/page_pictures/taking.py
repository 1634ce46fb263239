"""All pictures, taken of a shelf that is made for them."""

import json
import os
import shutil
from datetime import UTC, datetime
from pathlib import Path

from page_pictures import scenes
from page_pictures.camera import Camera
from page_pictures.clock import clock_fix, clock_put
from page_pictures.listed import Page
from page_pictures.onlookers import SCENES
from page_pictures.site import Site

CHROMIUM = "/usr/bin/chromium"
LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
          "--hide-scrollbars", "--enable-blink-features=LangAttributeAwareFormControlUI"]


def pictures_take(work: Path, folder: Path, pages: list[Page], *, again: bool = False) -> None:
    """Make the shelf, look at each page, and keep the pictures in the folder. again: the shelf is the one that was made before,
    and what an empty one shows is left as it is."""
    import django
    from django.core.management import call_command
    from playwright.sync_api import sync_playwright

    folder.mkdir(parents=True, exist_ok=True)
    django.setup()
    judged = {} if again else scenes.demo_made(work / "demo")
    if not again:
        _emptied(work / "data")
    clock_fix()
    clock_put(*scenes.NOW)
    call_command("migrate", verbosity=0)
    with sync_playwright() as playwright, Site() as site:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=LAUNCH,
                                             env={**os.environ, "LANG": "en_GB.UTF-8", "LANGUAGE": "en_GB"})
        camera = Camera(browser, site, folder, work, datetime(*scenes.NOW, tzinfo=UTC))
        by_scene = _by_scene(pages)
        empty = by_scene.pop("empty", [])
        if again:
            camera.found = json.loads((work / "found.json").read_text(encoding="utf-8"))
        else:
            camera.take(empty)
            camera.found = scenes.shelf_fill(work / "demo", judged)
            (work / "found.json").write_text(json.dumps(camera.found), encoding="utf-8")
        _backups_dated(work / "data")
        clock_put(*scenes.NOW)
        _scenes_take(camera, by_scene)
        browser.close()


def _by_scene(pages: list[Page]) -> dict[str, list[Page]]:
    by_scene: dict[str, list[Page]] = {}
    for page in pages:
        by_scene.setdefault(page.scene, []).append(page)
    return by_scene


def _scenes_take(camera: Camera, by_scene: dict[str, list[Page]]) -> None:
    """The filled shelf as its keeper sees it, then each other scene in its order."""
    if own := by_scene.pop("shelf", []):
        camera.take(own)
    for scene, onlooker in SCENES.items():
        if shown := by_scene.pop(scene, []):
            with onlooker(camera, camera.work):
                camera.take(shown)
    assert not by_scene, f"nobody knows the scenes {', '.join(by_scene)}"


def _emptied(data: Path) -> None:
    """The data folder as on the first day, but for what was measured."""
    from django.db import connection

    connection.close()
    for one in data.iterdir():
        if one.is_dir():
            shutil.rmtree(one)
        else:
            one.unlink()
    (data / "photos").mkdir()


def _backups_dated(data: Path) -> None:
    """Backups look as old as the clock says."""
    at = datetime(*scenes.NOW, tzinfo=UTC).timestamp()
    for path in data.rglob("*.zip"):
        os.utime(path, (at, at))
