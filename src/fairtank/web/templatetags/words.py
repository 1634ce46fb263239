"""Numbers, days and arms as templates show them."""

from typing import Any

from django import template

from fairtank.records.selectors.rounds import words_of_quantity

register = template.Library()


@register.filter
def as_number(value: Any) -> str:
    """A number as it was entered: no more digits than it has, a true minus sign."""
    return "" if value is None else f"{float(value):.10g}".replace("-", "−")


@register.filter
def clock_time(value: Any) -> str:
    """Hour and minute; as `date:"H:i"`, which takes ten times as long: a page of the diary has hundreds of them."""
    return f"{value:%H:%M}" if value else ""


@register.filter
def quantity_words(key: Any) -> str:
    """A quantity or a chore as people write it: `ph` as pH, `water_change` with a blank."""
    return words_of_quantity(str(key))
