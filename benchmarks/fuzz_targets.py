"""What there is to be tried on the shelf: found in the pages themselves and in the list of addresses, so that a new form is in it by
itself."""

import inspect
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

from django.urls import Resolver404, get_resolver, resolve
from page_addresses import places
from page_forms import Field, Form, Page

# Addresses at which a script sends an object rather than a form, and one that each understands; {...} is filled from the trial.
ENTRY = {"entry": "e1", "kind": "reading", "unit": "T1", "quantity": "ph", "value": "6.9", "unit_of_measure": "", "method": "",
         "at": "{now}",
         "noted": "{now}", "sure": True}  # fmt: skip
SCRIPTS: dict[str, Any] = {
    "round_entries": {"round": {"key": "r-1", "day": 12, "begun": "{now}+00:00", "late": "", "ended": "{now}+00:00"}, "end": True,
                      "entries": [
        ENTRY, {**ENTRY, "entry": "e2", "kind": "chore", "chore": "feed", "due_day": 12}, {**ENTRY, "entry": "e3", "kind": "note",
            "event": "note", "note": "A leaf."},
        {"entry": "e1", "kind": "reading", "gone": True}]},
    "labels_store": {"runs": [-1, 640 * 470, 0, 200, -1, 640 * 10 - 200]}, "labels_teach": {"runs": [-1, 640 * 470, 0, 200, -1,
        640 * 10 - 200]},
}  # fmt: skip
# One that a script sends as a form which stands in no page.
SCRIPT_FORMS = {"round_photo": (("key", "r-1"), ("day", "12"), ("begun", ""), ("late", ""), ("unit", "T1"), ("entry", "p1"), ("at", ""),
                                ("noted", ""), ("clock", ""))}
_MOST_PAGES, _SAME, _OF_A_VIEW = 3000, 2, 5


@dataclass(frozen=True)
class Target:
    """Something to be tried. family: the name of its address; way: `get`, `form`, `json` or `path`; page: where it was found; client: which
    of the visitors it is tried as; good: what it understands."""

    family: str
    way: str
    address: str
    page: str = ""
    client: int = 0
    form: Form | None = None
    good: Any = None


def name_of(address: str) -> str:
    """The name of an address, empty where there is none."""
    try:
        found = resolve(urlsplit(address).path)
    except Resolver404:
        return ""
    return (found.url_name or getattr(found.func, "__name__", "")).replace("-", "_")


def query_names(source: Path) -> list[str]:
    """Every name that the pages ask a query for, and some they do not."""
    found = {name for place in source.rglob("*.py") for name in re.findall(r"""GET(?:\.get\(|\.getlist\(|\[)["']([\w-]+)""",
    place.read_text(encoding="utf-8"))}
    return sorted(found | {"day", "page", "next", "told", "unit", "photo", "q", "", "x"})


class Walk:
    """Walks the house from every address that needs nothing more, along all that is found there."""

    def __init__(self, clients: Sequence[Any], starts: Sequence[str]) -> None:
        self.clients, self.faults = clients, list[str]()
        self.targets: dict[tuple[Any, ...], Target] = {}
        self._seen: dict[tuple[int, str], int] = {}
        self.reached: set[str] = set()
        for number in range(len(clients)):
            self._walk(number, list(starts))

    def _walk(self, number: int, waiting: list[str]) -> None:
        known, asked = set(waiting), 0
        while waiting and asked < _MOST_PAGES:
            address = waiting.pop(0)
            shape = _shape(address)
            name = name_of(address)
            if not name or self._seen.get((number, shape), 0) >= _SAME or self._seen.get((number, name), 0) >= _OF_A_VIEW:
                continue
            self._seen[number, name] = self._seen.get((number, name), 0) + 1
            self._seen[number, shape] = self._seen.get((number, shape), 0) + 1
            asked += 1
            answer = self.clients[number].get(address)
            content = b"".join(answer.streaming_content) if answer.streaming else answer.content
            answer.close()
            if answer.status_code >= 500:
                self.faults.append(f"GET {address}: {answer.status_code}")
            if answer.status_code == 405:
                continue
            self.reached.add(name)
            self._keep(Target(name, "get", address, address, number))
            if not answer.headers.get("Content-Type", "").startswith("text/html"):
                continue
            page = Page(urlsplit(address).path, content.decode("utf-8", "replace"))
            for form in page.forms:
                self._form(number, address, form)
            for link in (*page.links, *([answer.headers["Location"]] if "Location" in answer.headers else [])):
                if link.startswith("/") and link not in known:
                    known.add(link)
                    waiting.append(link)

    def _form(self, number: int, address: str, form: Form) -> None:
        name = name_of(form.action)
        if name:
            self.reached.add(name)
            self._keep(Target(name, "form" if form.method == "post" else "get", form.action, address, number, form))

    def _keep(self, target: Target) -> None:
        """At most a few of a kind: the same address of other trials, or of the same trial."""
        slug = re.search(r"/trials/([\w-]+)/", target.address)
        key = (target.way, target.family, target.client, target.form.names if target.form else None, slug[1] if slug else "")
        same = sum(1 for other in self.targets if other[:4] == key[:4])
        if key not in self.targets and same < _SAME:
            self.targets[key] = target

    def script(self, target: Target) -> None:
        """One that no page shows."""
        self.reached.add(target.family)
        self.targets[target.way, target.family, target.address] = target


def _shape(address: str) -> str:
    """Addresses of one view, for the trial they are of and the names in their query."""
    parts = urlsplit(address)
    names = ",".join(sorted({name for name, _ in parse_qsl(parts.query)}))
    slug = re.match(r"/trials/([\w-]+)/", parts.path)
    return f"{name_of(address)} {slug[1] if slug else ''} {names}"


def starts(slugs: Sequence[str], more: Sequence[str]) -> list[str]:
    """Where the walk begins."""
    return [*more, *dict.fromkeys(place.address(slug) for place in places() for slug in (slugs if place.is_of_trial else slugs[:1]))]


def all_names() -> set[str]:
    """The names of all addresses."""
    return {(one.name or one.callback.__name__).replace("-", "_") for one in get_resolver().url_patterns}


def left_over(names: set[str], slugs: Sequence[str]) -> list[Target]:
    """Addresses that no page led to, with every field that their view's file asks for."""
    found = []
    for one in get_resolver().url_patterns:
        name = (one.name or one.callback.__name__).replace("-", "_")
        if name not in names:
            continue
        source = Path(inspect.getsourcefile(inspect.unwrap(one.callback)) or "").read_text(encoding="utf-8")
        fields = tuple(Field(key, "text", "1") for key in dict.fromkeys(re.findall(r"""(?:get|getlist)\(["']([\w-]+)""", source)))
        for number, slug in enumerate(slugs[:_SAME], start=1):
            address = "/" + re.sub(r"<(?:\w+:)?(\w+)>", lambda part, it=(slug, number): it[0] if part[1] == "slug" else str(it[1]),
                                   str(one.pattern))
            found += [Target(name, "form", address, "", 0, Form(address, "post", "FILES" in source, fields)), Target(name, "get", address)]
    return found
