"""What a calculator's page holds, read out of its HTML by the tests."""

import html
import re
from html.parser import HTMLParser

# Questions that several tests ask.
CARBONATE = {"temp_c": "25", "alkalinity_dkh": "4", "ph": "6.6"}
VOLUME = {"length_mm": "600", "width_mm": "300", "water_mm": "330", "glass_mm": "6"}
OXYGEN_CLAIM = {"current_ma": "50", "volume_l": "20", "surface_m2": "0.07", "surface": "rippled"}


class Sheet(HTMLParser):
    """Ids, form fields, labels and texts of a page, and the links of its content."""

    VOID = ("meta", "link", "img", "br", "input", "hr")

    def __init__(self, page):
        super().__init__()
        self.page = page
        self.open, self.ids, self.labels, self.links, self.fields, self.styles, self.described = [], [], {}, [], {}, [], []
        self._label = self._select = self._area = None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        known = dict(attrs)
        if tag not in self.VOID:
            self.open.append(tag)
        if "id" in known:
            self.ids.append(known["id"])
        if "style" in known:
            self.styles.append(tag)
        self.described += known.get("aria-describedby", "").split()
        if tag == "a" and "main" in self.open:  # the links of the house at the top are on every page
            self.links.append(known["href"])
        if tag == "label":
            self._label = known["for"]
            self.labels[self._label] = ""
        if tag in ("input", "select", "textarea"):
            self.fields[known["name"]] = {**known, "value": known.get("value", ""), "options": []}
            self._select, self._area = (known["name"] if tag == kind else None for kind in ("select", "textarea"))
        if tag == "option":
            self.fields[self._select]["options"].append(known["value"])
            if "selected" in known:
                self.fields[self._select]["value"] = known["value"]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        if tag == "label":
            self._label = None
        if tag == "textarea":
            self._area = None

    def handle_data(self, data):
        if self._label:
            self.labels[self._label] += data
        if self._area:
            self.fields[self._area]["value"] += data

    @property
    def refusals(self):
        """The sentences at the fields and above them."""
        return [html.unescape(text) for text in re.findall(r'<p class="refusal"[^>]*>(.*?)</p>', self.page)]

    @property
    def commands(self):
        """The lines to copy."""
        return [html.unescape(line) for line in re.findall(r"<code>(.*?)</code>", self.page)]

    @property
    def words(self):
        """The text of the page without its pictures and tags, in single spaces."""
        bare = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", "", self.page, flags=re.DOTALL))
        return " ".join(html.unescape(bare).split())

    def value(self, name):
        """What stands in a field."""
        return self.fields[name]["value"]
