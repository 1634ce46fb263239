"""The keeper's materials by kind, and the trials from whose setup more can be taken."""

from itertools import groupby
from typing import Any

from django.db.models import QuerySet

from fairtank.build import MATERIAL_KINDS
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.models import Material, Trial


def materials_of(user: Any, *, taken_away: bool = False) -> QuerySet[Material]:
    """The materials of an account, or of the keeper where there are no accounts."""
    materials = Material.everything.exclude(removed_at=None) if taken_away else Material.objects.all()
    return materials.filter(owner=user)


def by_kind(materials: QuerySet[Material]) -> list[tuple[str, list[Material]]]:
    """Kind and its materials, in the order in which a keeper builds."""
    ordered = sorted(materials, key=lambda one: (MATERIAL_KINDS.index(one.kind), str(one).casefold()))
    return [(kind, list(rows)) for kind, rows in groupby(ordered, key=lambda one: one.kind)]


def trials_with_setup(trials: QuerySet[Trial]) -> QuerySet[Trial]:
    """Those that say what goes into the glass."""
    return trials.filter(documents__path=SETUP_FILE).order_by("title")
