"""The lines of a setup in words, and what can be chosen in each of its fields."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fairtank.records.models import Material
from fairtank.records.services.setup_lines import Table
from fairtank.records.services.shelf_setup import SetUp
from fairtank.web.amounts import amount
from fairtank.web.setup_fields import WORDS, Field

# Tables that cannot be taken out: they stand once, or are chosen on a page of their own.
FIXED = ("setup", "money")
HEAD_TITLES = {
    "setup": gettext_lazy("How long, and what is lost"), "money": gettext_lazy("Money"), "tank": gettext_lazy("Tanks"),
    "material": gettext_lazy("Materials"), "layer": gettext_lazy("The bed, from the bottom up"), "rock": gettext_lazy("Stone"),
    "wood": gettext_lazy("Wood"), "plant": gettext_lazy("Plants"), "device": gettext_lazy("Devices"), "light": gettext_lazy("Light"),
    "water": gettext_lazy("Water"), "dose": gettext_lazy("Doses"),
}  # fmt: skip
# Key -> the unit in which it is told beside a line.
_TOLD = {"mass_kg": "kg", "depth_cm": "cm", "front_cm": "cm", "back_cm": "cm", "mass_mg": "mg", "volume_ml": "mL", "power_w": "W",
         "temp_c": "degC", "length_cm": "cm", "width_cm": "cm", "height_cm": "cm", "target_umol": "umol/m2/s", "hours_per_day": "h"}


def names_of(found: SetUp) -> dict[str, str]:
    """What the materials of a setup are called, by their keys."""
    return {str(table["key"]): str(table["title"]) for table in found.lines("material") if table.get("key") and table.get("title")}


def line_words(head: str, table: Table, names: Mapping[str, str] | None = None) -> str:
    """One line: what it is, how much, and where it holds. names: what materials are called, by their keys."""
    keys = ", ".join(table["keys"]) if isinstance(table.get("keys"), list) else table.get("key", "")
    material = str(table.get("material", ""))
    name = str(table.get("title") or (names or {}).get(material, material) or keys or "")
    if head == "tank":
        name = f"{keys} ({table['title']})" if table.get("title") else str(keys)
    parts = [amount(table[key], unit) if isinstance(table[key], (int, float)) else str(table[key])
             for key, unit in _TOLD.items() if key in table]
    parts = [" × ".join(parts)] if head == "tank" else parts
    counts = [amount(table["count"], "piece")] if isinstance(table.get("count"), int) else []
    more = [str(WORDS.get(table[key], table[key])) for key in ("pack", "currency", "zone") if isinstance(table.get(key), str)]
    if head == "setup":
        more += [_("%(weeks)s weeks") % {"weeks": table["weeks"]}] if "weeks" in table else []
        more += [_("%(share)s of what is needed is lost at building") % {"share": amount(table["waste_fraction"] * 100, "%")}] \
            if isinstance(table.get("waste_fraction"), (int, float)) else []
    units, arms = (table[key] if isinstance(table.get(key), list) else [] for key in ("units", "arms"))
    scope = [*units, *(_("arm %(arm)s") % {"arm": arm} for arm in arms)]
    said = ", ".join(part for part in (name, *parts, *counts, *more) if part)
    return _("%(line)s; only in %(where)s") % {"line": said, "where": ", ".join(map(str, scope))} if scope else said


def options_of(fields: Sequence[Field], found: SetUp, own: list[Material]) -> dict[str, tuple[tuple[str, str], ...]]:
    """What can be chosen: materials of the setup, then those of the keeper's list; units and arms of the plan."""
    options: dict[str, tuple[tuple[str, str], ...]] = {}
    for field in fields:
        if field.kind == "material":
            there = [table for table in found.lines("material") if table.get("kind") in field.of]
            keys = {table.get("key") for table in found.lines("material")}
            listed: list[tuple[str, Any]] = [(table["key"], table.get("title") or table["key"]) for table in there]
            listed += [(row.key, _("%(name)s (from your list)") % {"name": row}) for row in own
                       if row.kind in field.of and row.key not in keys]
            options[field.name] = tuple(listed)
        if field.kind == "scope" and found.plan is not None:
            nouns: Any = found.plan.units if field.name == "units" else found.plan.arms
            options[field.name] = tuple((noun.key, getattr(noun, "name", "") or noun.key) for noun in nouns)
    return options
