"""A keeper at the pages in a browser: with a finger on a phone, or with nothing but the keys; and a shelf of their own, empty at first."""

import contextlib
import re
import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from tests.web.answering import answering
from tests.web.chart_program import program_made_once

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
MOST_TABS = 90
# What can be told of the place that has the focus: its sort, its words, whether a ring is drawn round it, whether it is seen, and whether
# it comes after the place before.
FOCUSED = """() => {
    const node = document.activeElement;
    if (!node || node === document.body) { window.lastFocus = null; return null; }
    const bare = text => (text ?? '').replace(/\\s+/g, ' ').trim();
    const named = (node.getAttribute('aria-labelledby') ?? '').split(' ').map(id => document.getElementById(id)?.textContent).join(' ');
    const labels = [...(node.labels ?? [])].map(one => one.textContent).join(' ');
    const words = bare(node.getAttribute('aria-label')) || bare(named) || bare(labels) || bare(node.textContent);
    const shown = node.matches('input[type=file]') && node.closest('label') || node;
    const ringed = one => getComputedStyle(one).outlineStyle !== 'none' && parseFloat(getComputedStyle(one).outlineWidth) >= 2;
    const box = shown.getClientRects()[0] ?? shown.getBoundingClientRect();
    const across = Math.min(Math.max(box.x + Math.min(box.width / 2, 12), 0), innerWidth - 1);
    const down = Math.min(Math.max(box.y + Math.min(box.height / 2, 12), 0), innerHeight - 1);
    const there = document.elementFromPoint(across, down);
    const inside = box.bottom > 0 && box.top < innerHeight && box.width > 0;
    const before = window.lastFocus?.isConnected ? window.lastFocus : null, stays = before === node;
    const follows = !before || Boolean(before.compareDocumentPosition(node) & Node.DOCUMENT_POSITION_FOLLOWING);
    window.lastFocus = node;
    return {stays, sort: node.tagName.toLowerCase(), type: node.type ?? '', value: node.value ?? '', words, follows,
            ringed: ringed(shown) || ringed(node) || ringed(node.closest('label') ?? node),
            seen: inside && Boolean(there && (shown.contains(there) || there.contains(shown)))};
}"""


@contextlib.contextmanager
def own_shelf(folder: Path) -> Iterator[str]:
    """The address of a shelf of its own while the block runs: a file, as keepers have it, with the tables of the tests' database."""
    from django.conf import settings
    from django.db import connections
    from django.test import override_settings

    before = connections["default"]
    before.ensure_connection()
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    place, named = folder / "shelf.sqlite3", before.settings_dict["NAME"]
    with contextlib.closing(sqlite3.connect(place)) as copy:
        before.connection.backup(copy)
    before.settings_dict["NAME"] = str(place)
    connections["default"] = connections.create_connection("default")
    try:
        with override_settings(DATA=folder, FAIRTANK_FOLDER="", FAIRTANK_OUT=""), program_made_once(), answering() as address:
            yield address
    finally:
        connections["default"].close()
        connections["default"] = before
        before.settings_dict["NAME"] = named
        assert settings.DATABASES["default"]["NAME"] == named


def work_done() -> int:
    """Do all work that waits; how many pieces. In a thread: the browser's driver keeps the database from this one."""
    def done() -> int:
        from django.db import connection

        from fairtank.records.jobs.worker import work_once

        try:
            count = 0
            while work_once():
                count += 1
            return count
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as one:
        return one.submit(done).result()


class Keeper:
    """What both keepers do alike. No address is typed but the first."""

    def __init__(self, page: Any) -> None:
        self.page, self.said, self.acts = page, [], 0
        page.set_default_timeout(60_000)  # the machine may be busy
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("console", lambda line: self.said.append(line.text) if line.type == "error" and " 422 " not in line.text else None)

    def opens(self, address: str) -> None:
        """The first page, by its address."""
        self.page.goto(address)

    def heading(self) -> str:
        """What the page is about."""
        return " ".join(self.page.inner_text("h1").split())

    def text(self) -> str:
        """All that the page says."""
        return " ".join(self.page.inner_text("main").split())

    def sees(self, *words: str) -> None:
        """The page says this, and is no wider than the screen."""
        text = self.text()
        for one in words:
            assert one in text, f"“{one}” is not on {self.page.url}: {text[:1500]}"
        assert self.page.evaluate(WIDE) <= 0, f"{self.page.url} scrolls sideways"

    def leads(self, act: Any) -> None:
        """Do what leads to another page, and wait for that."""
        self.acts += 1
        with self.page.expect_navigation(wait_until="load"):
            act()

    def keeps(self, act: Any) -> Any:
        """Do what hands out a file; the file."""
        self.acts += 1
        with self.page.expect_download() as waited:
            act()
        return waited.value


def is_called(found: str, words: str) -> bool:
    """Whether these are the words; with three dots at the end, whether it begins so."""
    return found.startswith(words[:-1]) if words.endswith("…") else found == words


class ByTouch(Keeper):
    """With a finger."""

    def _one(self, role: str, words: str) -> Any:
        named = re.compile(f"^{re.escape(words[:-1])}") if words.endswith("…") else words
        return self.page.get_by_role(role, name=named, exact=True).first

    def follow(self, words: str) -> None:
        """A link."""
        self.leads(self._one("link", words).tap)

    go = follow

    def press(self, words: str) -> None:
        """A button that sends a form."""
        self.leads(self._one("button", words).tap)

    def taps(self, words: str) -> None:
        """A button that does something on this very page."""
        self.acts += 1
        self._one("button", words).tap()

    def keep(self, words: str) -> Any:
        """A link to a file."""
        return self.keeps(self._one("link", words).tap)

    def unfold(self, words: str) -> None:
        """What can be unfolded."""
        self.acts += 1
        self.page.locator("summary", has_text=words).first.tap()

    def type(self, words: str, text: str, *, pasted: bool = False) -> None:
        """Into a field."""
        self.acts += 1
        field = self.page.get_by_label(words, exact=True).locator("visible=true").first
        field.tap()
        field.fill(text)

    def tick(self, words: str) -> None:
        """A box, or one of several."""
        self.acts += 1
        self.page.locator("label", has_text=words.rstrip("…")).locator("visible=true").first.tap()

    def answers(self, answer: str | None) -> None:
        """The question of the plan at hand; None: as it is proposed."""
        if answer is not None:
            field = self.page.locator("form.question-form [name=answer]")
            if field.first.get_attribute("type") in ("radio", "checkbox"):
                self.tick(answer)
            else:
                self.acts += 1
                field.tap()
                field.fill(answer)
        self.press("Go on")


class ByKeys(Keeper):
    """With nothing but the keys. Wherever the focus goes it is seen, in the order of the page."""

    def __init__(self, page: Any) -> None:
        super().__init__(page)
        self.keys = 0

    def key(self, name: str) -> None:
        """One key."""
        self.keys += 1
        self.page.keyboard.press(name)

    def tab(self, key: str = "Tab") -> dict[str, Any] | None:
        """On to the next place; what it is."""
        self.key(key)
        found = self.page.evaluate(FOCUSED)
        if found is not None:
            assert found["ringed"], f"no ring round “{found['words']}” ({found['sort']}) on {self.page.url}"
            assert found["seen"], f"the focus is hidden at “{found['words']}” ({found['sort']}) on {self.page.url}"
        return found

    def to_main(self) -> None:
        """Past the links that every page has, by the first link of all."""
        if self.page.evaluate("document.activeElement === document.body"):
            assert self.tab()["words"] == "Skip to the content"
            self.key("Enter")
            self.page.evaluate("window.lastFocus = null")

    def tab_to(self, words: str, sorts: str, *, above: bool = False) -> dict[str, Any]:
        """On from place to place up to the one of these words. above: it stands above what the page is about, back from where one is."""
        if not above:
            self.to_main()
        begins = self.page.evaluate("document.activeElement === document.body && !location.hash")
        passed, way = list[str](), "Shift+Tab" if above and not begins else "Tab"
        for _ in range(MOST_TABS):
            found = self.tab(way)
            if found is None:
                continue
            if passed and not found["stays"] and found["follows"] != (way == "Tab"):
                passed.append("(from the top)")
            passed.append(found["words"])
            if is_called(found["words"], words) and (found["type"] if found["sort"] == "input" else found["sort"]) in sorts.split():
                return found
            assert passed.count("(from the top)") < 2, f"“{words}” cannot be reached by Tab on {self.page.url}: {passed}"
        raise AssertionError(f"“{words}” cannot be reached by Tab on {self.page.url}: {passed}")

    def follow(self, words: str) -> None:
        """A link."""
        self.tab_to(words, "a")
        self.leads(lambda: self.key("Enter"))

    def go(self, words: str) -> None:
        """A link that every page has, above what it is about."""
        self.tab_to(words, "a", above=True)
        self.leads(lambda: self.key("Enter"))

    def press(self, words: str) -> None:
        """A button that sends a form."""
        self.tab_to(words, "button")
        self.leads(lambda: self.key("Enter"))

    def taps(self, words: str) -> None:
        """A button that does something on this very page."""
        self.tab_to(words, "button")
        self.acts += 1
        self.key("Space")

    def keep(self, words: str) -> Any:
        """A link to a file."""
        self.tab_to(words, "a")
        return self.keeps(lambda: self.key("Enter"))

    def unfold(self, words: str) -> None:
        """What can be unfolded."""
        self.tab_to(words, "summary")
        self.acts += 1
        self.key("Enter")

    def type(self, words: str, text: str, *, pasted: bool = False) -> None:
        """Into a field, over what stands in it."""
        found = self.tab_to(words, "text textarea date time number")
        self._over(found, text, pasted)

    def _over(self, found: dict[str, Any], text: str, pasted: bool = False) -> None:
        self.acts += 1
        if found["type"] == "date":
            year, month, day = text.split("-")
            self.page.keyboard.type(f"{month}{day}{year}")
            return
        self.key("Control+a")
        if pasted:
            self.page.keyboard.insert_text(text)
        else:
            self.page.keyboard.type(text)
            self.keys += len(text)

    def tick(self, words: str) -> None:
        """A box, or one of several."""
        self.acts += 1
        self.tab_to(words, "checkbox radio")
        self.key("Space")

    def answers(self, answer: str | None) -> None:
        """The question of the plan at hand; None: as it is proposed. Enter in the field goes on."""
        self.to_main()
        found = self.tab()
        if answer is not None and found["type"] in ("radio", "checkbox"):
            for _ in range(20):
                if found["words"].startswith(answer):
                    break
                self.key("ArrowDown" if found["type"] == "radio" else "Tab")
                found = self.page.evaluate(FOCUSED)
            assert found["words"].startswith(answer), f"{answer} is not among the answers of “{self.heading()}”"
            self.key("Space")  # the first of several may have the focus without being chosen
        elif answer is not None:
            self._over(found, answer)
        if found["sort"] == "textarea":
            assert self.tab()["words"] == "Go on"
        self.leads(lambda: self.key("Enter"))
