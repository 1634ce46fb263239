"""The keeper's catalogue of materials and what lies in the cupboard."""

from dataclasses import asdict
from typing import Any

from django.db import transaction

from fairtank import build
from fairtank.records.models import Material
from fairtank.records.services.setup_lines import LineRefused, Table, material_checked, material_table
from fairtank.records.services.trail import By, noted

_FIELDS = tuple(build.Material.__dataclass_fields__)


def material_noun(material: Material) -> build.Material:
    """The material as the other rooms know it."""
    values = {name: getattr(material, name) for name in _FIELDS}
    return build.Material(**{**values, "label_mg_ml": tuple((ion, amount) for ion, amount in material.label_mg_ml)})


def table_of_material(material: Material) -> Table:
    """The material as a table of setup.toml."""
    return material_table(material_noun(material))


def material_store(*, by: By, table: Table, material: Material | None = None) -> Material:
    """Keep a material: a new one, or another description of one that is there.

    Parameters
    ----------
    by : By
    table : mapping
        As setup.toml describes a material: `key`, `kind`, `pack`, `owned` ...; numbers, or texts with their unit.
    material : Material, optional
        The one to change.

    Returns
    -------
    Material

    Raises
    ------
    LineRefused
        With every problem, by the keys of the table.

    References
    ----------
    common_practice (keys from sources.py).
    """
    noun = material_checked(table)
    row, before = material or Material(owner=by.user), None if material is None else asdict(material_noun(material))
    others = Material.objects.filter(owner=row.owner).exclude(pk=row.pk)
    if others.filter(key=noun.key).exists():
        raise LineRefused({"key": f"There is a material {noun.key} already; give this one another short name."})
    if noun.title and others.filter(title=noun.title).exists():
        raise LineRefused({"title": f"There is a material called {noun.title} already."})
    if before == asdict(noun):
        return row
    _filled(row, noun)
    with transaction.atomic():
        row.full_clean(exclude=["owner"], validate_constraints=False)
        row.save()
        said = f"Wrote down the material {row}." if before is None else f"Changed what is written down of the material {row}."
        noted(by=by, verb="add" if before is None else "change", said=said, row=row, before=before or {})
    return row


def materials_take(*, by: By, materials: tuple[build.Material, ...], said_of: str) -> tuple[int, int]:
    """Take materials of a trial's setup into the catalogue; what is there by key or title stays as it is.

    Parameters
    ----------
    by : By
    materials : tuple of Material
        As the setup describes them.
    said_of : str
        The title of the trial, for the trail.

    Returns
    -------
    pair of int
        How many were taken, and how many were there already.

    References
    ----------
    common_practice (keys from sources.py).
    """
    with transaction.atomic():
        there = Material.objects.filter(owner=by.user).values_list("key", "title")
        keys, titles = {key for key, _ in there}, {title for _, title in there if title}
        new = [noun for noun in materials if noun.key not in keys and noun.title not in titles]
        Material.objects.bulk_create([_filled(Material(owner=by.user), noun) for noun in new])
        if new:
            noted(by=by, verb="add", said=f"Took {', '.join(noun.label for noun in new)} from the setup of “{said_of}”.")
    return len(new), len(materials) - len(new)


def _filled(row: Material, noun: build.Material) -> Material:
    values: dict[str, Any] = {name: getattr(noun, name) for name in _FIELDS}
    for name, value in {**values, "label_mg_ml": [list(pair) for pair in noun.label_mg_ml]}.items():
        setattr(row, name, value)
    return row
