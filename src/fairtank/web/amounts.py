"""Amounts as the keeper wants them: shown in their own units, typed in them, stored as they always are.

In templates: `{{ tank.length_mm|amount:"mm" }}` is the number with its unit, `{{ "mm"|own_unit }}` the unit alone, and
`{{ tank.length_mm|as_typed:"mm" }}` what stands in a field. In views: `amount_typed(text, "mm")` reads such a field. The unit named is
always the one in which the value is stored.
"""

import math
import re
from typing import Any

from asgiref.local import Local
from django import template
from django.core.signals import request_started
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fairtank.errors import InputError
from fairtank.records.selectors.preferences import Preferences, preferences
from fairtank.units import UNITS, convert, quantity_from_text, units_like

register = template.Library()
# Unit of storage -> what is shown where gallons, inches and pounds are wanted. Milligrams and mg/L are used there too.
US = {"L": "US gal", "mL": "US fl oz", "mm": "in", "cm": "in", "m": "ft", "kg": "lb", "g": "oz", "cm2": "in2", "m2": "ft2",
      "kg/L": "lb/ft3", "L/h": "US gal/h", "kN/m2": "psi"}
# What somebody with such a unit typed of a reading is kept in this one, as tables and loggers have it.
_KEPT = {"degF": "degC", "US gal": "L", "US fl oz": "mL", "in": "cm", "ft": "m", "lb": "kg", "oz": "g", "in2": "cm2", "ft2": "m2",
         "lb/ft3": "kg/L", "US gal/h": "L/h", "psi": "kN/m2"}
_PRINTED = {"degC": "°C", "degF": "°F", "uS/cm": "µS/cm", "cm2": "cm²", "in2": "in²", "m2": "m²", "ft2": "ft²", "lb/ft3": "lb/ft³",
            "umol/m2/s": "µmol m⁻² s⁻¹", "kN/m2": "kN/m²", "piece": "pieces"}
_STORED = {printed: name for name, printed in _PRINTED.items()}
_SHARE = 4  # digits of a converted number: as many as a tape or a kitchen scale gives
_COMMA = re.compile(r"([-−+]?\d*),(\d+)(?=$|\s|[^\d,.])")
_kept = Local()


def _forget(**_: Any) -> None:
    """A new request asks anew."""
    _kept.chosen = None


request_started.connect(_forget, dispatch_uid="fairtank.web.amounts")


def chosen() -> Preferences:
    """The keeper's choices, asked of the database once for each request."""
    found: Preferences | None = getattr(_kept, "chosen", None)
    if found is None:
        found = _kept.chosen = preferences()
    return found


def forget() -> None:
    """Ask the database again: a choice was changed."""
    _forget()


def own_name(unit: str) -> str:
    """The unit of the table in which a stored unit is shown."""
    name = _STORED.get(unit, unit)
    if name == "degC":
        return chosen().temperature
    return US.get(name, name) if chosen().measures == "us" else name


@register.filter
def own_unit(unit: Any) -> str:
    """The unit as it is printed: `°F` for `degC` where that was chosen."""
    name = own_name(str(unit))
    return _PRINTED.get(name, name)


def own_number(value: float, unit: str) -> str:
    """A stored value in the keeper's unit: as it is where the unit is the same, else with four digits."""
    stored, wanted = _STORED.get(unit, unit), own_name(unit)
    if stored == wanted or not math.isfinite(value):
        return f"{float(value):.10g}"
    told = convert(float(value), stored, wanted)
    places = max(0, _SHARE - len(f"{abs(int(told))}")) if abs(told) >= 1 else _SHARE
    text = f"{told:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@register.filter
def amount(value: Any, unit: Any = "") -> str:
    """A number with its unit: `{{ 45|amount:"L" }}` is 45 L, or 11.89 US gal; nothing for nothing."""
    if value is None or value == "":
        return ""
    number, name = own_number(value, str(unit)).replace("-", "−"), own_unit(unit)
    if str(unit) == "piece":
        name = ngettext("piece", "pieces", 1 if float(value) == 1 else 2)
    return f"{number}\N{NO-BREAK SPACE}{name}" if name else number


@register.filter
def rounded(value: Any, digits: Any = 3) -> Any:
    """A number that was computed, with so many digits that count, to be shown by `amount`."""
    return None if value is None or value == "" else float(f"{float(value):.{int(digits)}g}")


@register.filter
def as_typed(value: Any, unit: Any = "") -> str:
    """What stands in a field for a stored value: the number in the keeper's unit, without the unit."""
    return "" if value is None or value == "" else own_number(value, str(unit))


def amount_typed(text: str, unit: str, before: float | None = None) -> float | None:
    """What somebody typed, in the unit in which it is stored.

    Parameters
    ----------
    text : str
        A number in the keeper's own unit, or with any unit of the same sort behind it. A comma for the point is understood.
    unit : str
        The unit of storage.
    before : float, optional
        What was stored: where the field was left as it was shown, it is this to the last digit.

    Returns
    -------
    float or None
        None for an empty field.

    Raises
    ------
    InputError
        If it is no number, or in a unit of another sort.

    References
    ----------
    common_practice (keys from sources.py).
    """
    plain = _COMMA.sub(r"\1.\2", text.strip())
    if not plain:
        return None
    if before is not None and plain == own_number(before, unit):
        return before
    number, typed = quantity_from_text(_told_apart(plain))
    stored, own = _STORED.get(unit, unit), own_name(unit)
    if not typed or stored not in UNITS:
        typed = own
    if typed == stored:
        return number
    if typed not in units_like(stored):
        raise InputError(_("the value"), text.strip(), _("an amount in %(unit)s, or in one of %(units)s") % {
            "unit": own_unit(unit), "units": ", ".join(units_like(stored))})
    return float(round(convert(number, typed, stored), 9))


def _told_apart(text: str) -> str:
    """Gallons and fluid ounces of somebody who chose the units of the United States are those."""
    if chosen().measures != "us":
        return text
    return re.sub(r"(?<!US )(?<!imp )\b(gal(?:lons?)?|fl oz)\b", lambda found: "US gal" if found[1].startswith("gal") else "US fl oz", text)


@register.filter
def reading(value: Any, unit: Any = "") -> str:
    """A reading as the keeper wants it, with its unit: `{{ row.value|reading:row.unit_of_measure }}` is 25 °C, or 77 °F."""
    number, name = own_number(float(value), str(unit)).replace("-", "−"), own_unit(unit)
    return f"{number} {name}" if name else number


def reading_kept(text: str, unit: str) -> tuple[str, str]:
    """A reading that was typed in a unit which the keeper chose, in the unit in which readings are kept; any other as it was typed.

    Parameters
    ----------
    text : str
        The value as it was typed; may begin with `<`.
    unit : str
        The unit beside it.

    Returns
    -------
    pair of str
        Value and unit.

    References
    ----------
    common_practice (keys from sources.py).
    """
    name = _STORED.get(unit.strip(), unit.strip())
    kept = _KEPT.get(name, "")
    if not kept or own_name(kept) != name:
        return text, unit
    below, plain = re.fullmatch(r"\s*([<≤]?)\s*(.*?)\s*", text, re.DOTALL).groups()  # type: ignore[union-attr]
    try:
        value = convert(float(plain.replace(",", ".").replace("−", "-")), name, kept)
    except ValueError:
        return text, unit
    return f"{below}{round(value, 6):.10g}", _PRINTED.get(kept, kept)
