"""Numbers, days and arms as templates show them."""

import re
from typing import Any

from django import template
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from fairtank.records.selectors.rounds import words_of_quantity
from fairtank.web.said import worked_out
from fairtank.web.spoken import spoken

register = template.Library()
_DATE = re.compile(r"\b\d{4}-\d\d-\d\d\b")
_BEFORE_PERCENT = re.compile(r"(?<=\d) (?=%)")


@register.filter
def as_number(value: Any) -> str:
    """A number as it was entered: no more digits than it has, a true minus sign."""
    return "" if value is None else f"{float(value):.10g}".replace("-", "−")


@register.filter
def clock_time(value: Any) -> str:
    """Hour and minute; as `date:"H:i"`, which takes ten times as long: a page of the diary has hundreds of them."""
    return f"{value:%H:%M}" if value else ""


@register.filter
def whole_dates(sentence: Any) -> SafeString:
    """A sentence whose dates and percentages stay whole: a browser would break a line after the hyphen of 2026-06-30, and before a %."""
    return SafeString(_DATE.sub(r'<span class="nowrap">\g<0></span>', _BEFORE_PERCENT.sub("&nbsp;", conditional_escape(sentence))))


@register.filter
def quantity_words(key: Any) -> str:
    """A quantity or a chore as people write it: `ph` as pH, `water_change` with a blank."""
    return words_of_quantity(str(key))


register.filter("spoken", spoken)
register.filter("worked_out", worked_out)


@register.simple_tag
def in_english() -> SafeString:
    """An attribute for an element whose sentences are English in every language of the pages; nothing on an English page.

    `<p{% in_english %}>{{ verdict }}</p>`: a screen reader says them with English sounds, and a browser offers to translate them.
    """
    return SafeString("" if _language() == "en" else ' lang="en"')


@register.simple_tag
def own_language() -> SafeString:
    """The same for an element in the language of the page inside one that is English."""
    return SafeString("") if _language() == "en" else format_html(' lang="{}"', _language())


def _language() -> str:
    return (get_language() or "en").split("-")[0]
