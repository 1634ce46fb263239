"""What a build page says in words: what weighed amounts are off by, what units differ by, and what to do."""

from django.utils.translation import gettext as _

from fairtank.records.selectors.build import Apart, Weighing
from fairtank.web.amounts import amount


def off_words(one: Weighing) -> str:
    """What to do about an amount that is off by more than its scale may be; empty where it is not."""
    planned, tolerance = one.line.planned, one.tolerance
    if one.weighed is None or planned is None or tolerance is None:
        return ""
    off = round(one.weighed - planned, 9)
    if abs(off) <= tolerance + 1e-9:
        return ""
    told = {"off": amount(abs(off), one.line.unit_of_measure), "within": amount(tolerance, one.line.unit_of_measure)}
    if off > 0:
        return _("%(off)s more than planned (within %(within)s would do): take that much out.") % told
    return _("%(off)s less than planned (within %(within)s would do): put that much in.") % told


def apart_words(one: Apart) -> str:
    """How far units are apart that should be equal."""
    unit = one.unit_of_measure
    return _("%(what)s is not equal: %(most)s has %(high)s, %(least)s has %(low)s, so they are %(apart)s apart, and %(within)s would "
             "do.") % {
        "what": one.material, "most": one.most[0], "least": one.least[0], "high": amount(one.most[1], unit),
        "low": amount(one.least[1], unit), "apart": amount(one.difference, unit), "within": amount(one.tolerance, unit)}
