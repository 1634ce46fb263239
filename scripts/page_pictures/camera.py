"""A browser that looks at a page as somebody with a phone and somebody at a desk, and keeps what it sees."""

import io
import socket
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from page_pictures.listed import HEIGHTS, THEMES, WIDTHS, Page
from page_pictures.readme import names_of
from page_pictures.site import Site

SEEN = {360: 740, 1440: 900}
HELD = {360: {"is_mobile": True, "has_touch": True}, 1440: {}}  # a phone has no keys and nothing that hovers
TOLD_FOLDER = "/home/quorim/.local/share/fairtank"
PALETTE, MOST_COLOURS, QUALITY = 64, 4000, 50
_READY = """() => {
  const seen = node => {
    const box = node.getBoundingClientRect(), strip = node.closest('.strip, .scroll')?.getBoundingClientRect();
    return box.top < innerHeight && box.bottom > 0 && box.left < (strip?.right ?? innerWidth) && node.checkVisibility();
  };
  return [...document.images].filter(seen).every(one => one.complete)
    && [...document.querySelectorAll('figure[data-chart]')].filter(seen).every(one => 'drawn' in one.dataset);
}"""
_TELL = """([words, other]) => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) for (const [place, word] of words.entries())
    if (walker.currentNode.data.includes(word)) walker.currentNode.data = walker.currentNode.data.replaceAll(word, other[place]);
  for (const field of document.querySelectorAll('input, textarea')) for (const [place, word] of words.entries())
    if (field.value.includes(word)) field.value = field.value.replaceAll(word, other[place]);
  if (document.documentElement.lang === 'en') {  // fields for a date show the day first, and the hours to 24
    document.documentElement.lang = 'en-GB';
    for (const kind of ['date', 'time']) for (const field of document.querySelectorAll(`input[type=${kind}]`)) {
      field.type = 'text';
      field.type = kind;
    }
  }
}"""
_SAYS = "document.body.innerText + [...document.querySelectorAll('input:not([type=hidden]), textarea')].map(one => one.value).join(' ')"


class Camera:
    """Looks at pages as somebody with a phone and somebody at a desk, on light and on dark paper."""

    def __init__(self, browser: Any, site: Site, folder: Path, work: Path, now: datetime) -> None:
        self.browser, self.site, self.folder, self.work, self.data = browser, site, folder, work, str(work / "data")
        self.now = now
        self.found: dict[str, str] = {}
        self.cookies: list[dict[str, str]] = []

    def take(self, pages: list[Page]) -> None:
        """All pictures of these pages."""
        contexts = [self._context(width) for width in WIDTHS]
        windows = [context.new_page() for context in contexts]
        for window in windows:
            window.clock.set_fixed_time(self.now)
        with ThreadPoolExecutor(2) as pool:
            kept = [pool.submit(self._keep, name, png) for page in pages for name, png in self._seen(windows, page)]
            for one in kept:
                one.result()
        for context in contexts:
            context.close()
        print(*(page.name for page in pages), flush=True)

    def _context(self, width: int) -> Any:
        context = self.browser.new_context(timezone_id="UTC", locale="en-GB", reduced_motion="reduce",
                                           viewport={"width": width, "height": SEEN[width]}, **HELD[width])
        context.add_cookies([{**cookie, "url": self.site.address} for cookie in self.cookies])
        return context

    def _seen(self, windows: list[Any], page: Page) -> Iterator[tuple[str, bytes]]:
        """The page opened on the phone and at the desk, on both papers."""
        names = iter(names_of(page))
        for window, width, most in zip(windows, WIDTHS, HEIGHTS, strict=True):
            self._open(window, page, width)
            for theme in THEMES:
                window.emulate_media(color_scheme=theme)
                self._settle(window, page, width, most)
                yield next(names), window.screenshot(animations="disabled")

    def _keep(self, name: str, png: bytes) -> None:
        (self.folder / name).write_bytes(packed(png))

    def _open(self, window: Any, page: Page, width: int) -> None:
        from django.urls import reverse

        window.emulate_media(color_scheme=THEMES[0])
        window.set_viewport_size({"width": width, "height": SEEN[width]})
        args = [self.found.get(word, word) for word in page.of.split()]
        at = reverse(page.route, args=[int(one) if one.isdigit() else one for one in args])
        answer = window.goto(self.site.address + at + page.query)
        assert answer.ok != page.refuses, f"{page.name} was answered with {answer.status}"
        for what, where, typed in page.steps:
            at = window.locator(where).first
            {"click": lambda at=at: at.click(), "fill": lambda at=at, typed=typed: at.fill(typed),
             "press": lambda at=at, typed=typed: at.press(typed)}[what]()
            window.wait_for_load_state("load")

    def _settle(self, window: Any, page: Page, width: int, most: int) -> None:
        """As tall as the page is, and everything drawn that can be seen."""
        from playwright.sync_api import TimeoutError

        for _again in range(1 if page.as_seen else 3):  # what is drawn in a taller window may make the page taller
            if not page.as_seen:
                high = min(max(window.evaluate("document.body.scrollHeight"), 320), most)
                if window.viewport_size == {"width": width, "height": high}:
                    break
                window.set_viewport_size({"width": width, "height": high})
            try:
                window.wait_for_function(_READY, timeout=12000, polling=150)
            except TimeoutError:
                print(f"{page.name} at {width} pixels is pictured before all of it was drawn", flush=True)
        window.wait_for_timeout(120)
        window.evaluate(_TELL, [[self.data, self.site.address, self.site.address.removeprefix("http://")],
                                [TOLD_FOLDER, "http://127.0.0.1:8321", "127.0.0.1:8321"]])
        self._check(window, page, width)

    def _check(self, window: Any, page: Page, width: int) -> None:
        says = window.evaluate(_SAYS)
        for word in (self.data, "/tmp/", socket.gethostname(), str(Path.home()) + "/"):
            assert word not in says, f"{page.name} shows {word}"
        if window.evaluate("document.documentElement.scrollWidth") > width:
            print(f"{page.name} scrolls sideways at {width} pixels")


def packed(png: bytes) -> bytes:
    """A picture as WebP: few colours are kept as they are, photos are made small as photos are."""
    from PIL import Image

    picture = Image.open(io.BytesIO(png)).convert("RGB")
    out, few = io.BytesIO(), picture.getcolors(MOST_COLOURS)
    if few is not None:
        Image.fromarray(_fewer(np.asarray(picture), few)).save(out, "WEBP", lossless=True, quality=100, method=4)
        return out.getvalue()
    picture.save(out, "WEBP", quality=QUALITY, method=6)
    return out.getvalue()


def _fewer(pixels: np.ndarray, counted: list[tuple[int, tuple[int, int, int]]]) -> np.ndarray:
    """The pixels in the colours that most of them have, so that paper and thin lines keep theirs; the others in the nearest of these."""
    parts = np.array([colour for _, colour in sorted(counted, reverse=True)])
    nearest = ((parts[:, None] - parts[None, :PALETTE]) ** 2).sum(axis=2).argmin(axis=1)
    codes = parts @ (65536, 256, 1)
    order = codes.argsort()
    found = order[np.searchsorted(codes[order], pixels @ np.array((65536, 256, 1)))]
    return parts[nearest][found].astype(np.uint8)
