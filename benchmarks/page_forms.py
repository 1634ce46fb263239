"""What a page asks for and where it leads: its forms with their fields, and the addresses in it."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

_LEADING = ("href", "src", "hx-get", "action", "poster")


@dataclass(frozen=True)
class Field:
    """A field of a form. kind: its type, `select`, `textarea` or `button`; value: what it holds when nothing is typed, None where it then
    is
    not sent; choices: the values that a click can give; least, most: its limits as the page states them."""

    name: str
    kind: str
    value: str | None = None
    choices: tuple[str, ...] = ()
    least: str = ""
    most: str = ""


@dataclass(frozen=True)
class Form:
    """Where it is sent, how, and what is in it. kept: names -> values that are sent when nothing is typed."""

    action: str
    method: str
    has_files: bool
    fields: tuple[Field, ...]

    @property
    def names(self) -> frozenset[str]:
        """The names of its fields."""
        return frozenset(one.name for one in self.fields)

    def kept(self) -> list[tuple[str, str]]:
        """What is sent when nothing is typed, a button of it pressed."""
        sent = [(one.name, one.value) for one in self.fields if one.value is not None and one.kind not in ("file", "button")]
        button = next((one for one in self.fields if one.kind == "button"), None)
        return [*sent, *([(button.name, button.value or "")] if button else [])]


@dataclass
class _Open:
    """A form that is being read."""

    action: str
    method: str
    has_files: bool
    key: str
    fields: list[Field] = field(default_factory=list)

    def closed(self) -> Form:
        return Form(self.action, self.method, self.has_files, tuple(self.fields))


class Page(HTMLParser):
    """Reads a page: `forms` and `links`."""

    def __init__(self, address: str, text: str) -> None:
        super().__init__()
        self.address, self.links, self._forms = address, dict[str, None](), list[_Open]()
        self._open: _Open | None = None
        self._area: str | None = None
        self._select: tuple[str, bool, list[str], list[str]] | None = None
        self._outside: list[tuple[str, Field]] = []
        self.feed(text)
        self.close()
        for key, one in self._outside:  # a field may stand elsewhere and name its form
            for form in self._forms:
                if form.key and form.key == key:
                    form.fields.append(one)

    @property
    def forms(self) -> list[Form]:
        """Every form of the page that leads to this house."""
        return [form.closed() for form in self._forms if form.action]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what an element asks for and where it leads."""
        told = {name: value or "" for name, value in attrs}
        for name, value in told.items():
            leads = name in _LEADING or (name.startswith("data-") and value.startswith("/"))
            if leads and (place := self._place(value)):
                self.links[place] = None
        if tag == "form":
            self._open = _Open(self._place(told.get("action") or self.address), told.get("method", "get").lower(),
                               "multipart" in told.get("enctype", ""), told.get("id", ""))
            self._forms.append(self._open)
        elif "hx-post" in told and tag != "form":
            form = _Open(self._place(told["hx-post"]), "post", False, "")
            if told.get("name"):
                form.fields.append(Field(told["name"], "hidden", told.get("value", "")))
            self._forms.append(form)
        elif tag == "input" and told.get("name"):
            self._input(told)
        elif tag == "button" and told.get("name"):
            self._keep(told, Field(told["name"], "button", told.get("value", "")))
        elif tag == "textarea" and told.get("name"):
            self._area, self._area_told = "", told
        elif tag == "select" and told.get("name"):
            self._select, self._select_told = (told["name"], "multiple" in told, [], []), told
        elif tag == "option" and self._select:
            self._select[2].append(told.get("value", ""))
            if "selected" in told:
                self._select[3].append(told.get("value", ""))

    def _input(self, told: dict[str, str]) -> None:
        kind = told.get("type", "text").lower()
        value: str | None = told.get("value", "")
        choices: tuple[str, ...] = ()
        if kind in ("checkbox", "radio"):
            choices, value = (told.get("value", "on"),), told.get("value", "on") if "checked" in told else None
        elif kind in ("submit", "image", "button"):
            kind = "button"
        elif kind == "file":
            value = None
        self._keep(told, Field(told["name"], kind, value, choices, told.get("min", ""), told.get("max", "")))

    def _keep(self, told: dict[str, str], one: Field) -> None:
        if "form" in told:
            self._outside.append((told["form"], one))
        elif self._open is not None:
            self._open.fields.append(one)

    def handle_data(self, data: str) -> None:
        """Text of a text field."""
        if self._area is not None:
            self._area += data

    def handle_endtag(self, tag: str) -> None:
        """What was read of a field or a form is whole."""
        if tag == "form":
            self._open = None
        elif tag == "textarea" and self._area is not None:
            self._keep(self._area_told, Field(self._area_told["name"], "textarea", self._area.removeprefix("\n")))
            self._area = None
        elif tag == "select" and self._select:
            name, many, choices, chosen = self._select
            value = chosen[0] if chosen else None if many or not choices else choices[0]
            self._keep(self._select_told, Field(name, "select", value, tuple(choices)))
            self._select = None

    def _place(self, value: str) -> str:
        """The address within this house, empty where it leads elsewhere."""
        parts = urlsplit(urljoin(self.address, value.strip()))
        if parts.scheme or parts.netloc or not parts.path.startswith("/") or parts.path.startswith("/static/"):
            return ""
        return parts.path + (f"?{parts.query}" if parts.query else "")
