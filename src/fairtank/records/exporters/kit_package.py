"""datapackage.json: every file of a kit as a resource of a Frictionless Data Package, tables with their schemas."""

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any

from fairtank.publish.kit.facts import ABSENT, KitFacts, KitFile, form_of
from fairtank.publish.kit.licences import LICENCES
from fairtank.records.exporters.kit_schema import schema_of, table_of
from fairtank.records.folder.kit_files import AS_MEASURED, DIGESTS, OWN_ROOM, RENAMED, columns_of
from fairtank.records.folder.tables import PHOTOS

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
_NOUNS = {"unit": "units", "measure": "measures", "arm": "arms"}
_MEDIA = {".csv": "text/csv", ".json": "application/json", ".toml": "application/toml", ".md": "text/markdown", ".txt": "text/plain",
          ".html": "text/html", ".pdf": "application/pdf", ".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg",
          ".webp": "image/webp", ".heic": "image/heic", ".cff": "application/yaml"}  # fmt: skip


def package_text(facts: KitFacts, files: Sequence[KitFile], contents: Mapping[str, bytes]) -> str:
    """datapackage.json as text.

    Parameters
    ----------
    facts : KitFacts
    files : sequence of KitFile
        All files of the kit, in order.
    contents : mapping
        Path -> content, of every CSV file.

    Returns
    -------
    str

    References
    ----------
    data_package (keys from sources.py).
    """
    names: dict[str, str] = {}
    for one in files:
        names[one.path] = _name(one.path, set(names.values()))
    document: dict[str, Any] = {
        "$schema": PROFILE, "name": _name(facts.title, set()), "title": facts.title, "description": facts.plan.question or facts.title,
        **({"licenses": _licences(facts.licence)} if facts.licence in LICENCES and facts.licence != "none" else {}),
        **({"contributors": [{"title": facts.plan.keeper, "roles": ["author"]}]} if facts.plan.keeper else {}),
        OWN_ROOM: {"form": form_of(facts.folder.carried, files), "software": facts.software, "photos": facts.photos,
                   "licence": facts.licence, "inputs_digest": facts.inputs_digest, "inputs_digest_here": facts.digest_here},
        "resources": [*_nouns(facts), *(_resource(one, names, contents) for one in files if one.what not in ABSENT and one.path not in
                                        (DIGESTS,)), _digests_resource(names, columns_of(files))],
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _licences(key: str) -> list[dict[str, str]]:
    one = LICENCES[key]
    return [{"name": one.key, "path": one.address, "title": one.name}]


def _resource(one: KitFile, names: Mapping[str, str], contents: Mapping[str, bytes]) -> dict[str, Any]:
    """One file: a table with its schema where it is a plain one, else a file with its length and digest."""
    suffix = PurePosixPath(one.path).suffix.lower()
    told: dict[str, Any] = {"name": names[one.path], "path": one.path, "format": suffix.lstrip(".") or "bin", "bytes": one.size_bytes,
                            "hash": f"sha256:{one.sha256}"}
    if suffix in _MEDIA:
        told["mediatype"] = _MEDIA[suffix]
    content = contents.get(one.path) if suffix == ".csv" else None
    if content is None:
        return told
    inside = one.path.removeprefix(f"{AS_MEASURED}/")
    schema = schema_of(table_of(inside), content, _targets(one.path, names))
    if schema is None:
        return told
    has_mark = content.startswith(b"\xef\xbb\xbf")
    return {**told, "type": "table", "encoding": "utf-8-sig" if has_mark else "utf-8", "schema": schema}


def _targets(path: str, names: Mapping[str, str]) -> dict[str, str]:
    """Where columns of a table refer to: photos are looked up beside the table itself."""
    beside = f"{AS_MEASURED}/{PHOTOS.file}"
    photos = names.get(beside if path.startswith(f"{AS_MEASURED}/") and beside in names else PHOTOS.file)
    targets = {"unit": _NOUNS["unit"], "measure": _NOUNS["measure"], **({"photo": photos} if photos else {})}
    return {what: name for what, name in targets.items() if names.get(path) != name}


def _nouns(facts: KitFacts) -> list[dict[str, Any]]:
    """The units, arms and measures of trial.toml as small tables, so that every other table can refer to them."""
    plan = facts.plan
    rows: list[tuple[str, str, list[dict[str, Any]]]] = [
        ("arms", "arm", [{"arm": arm.key, "role": arm.role, "name": arm.name} for arm in plan.arms]),
        ("units", "unit", [{"unit": unit.key, "arm": unit.arm, "tank": unit.in_tank, "position": unit.position} for unit in plan.units]),
        ("measures", "measure", [{"measure": one.key, "role": one.role, "summary": one.summary} for one in plan.measures])]
    return [{"name": name, "type": "table", "data": data, "schema": {
        "fields": [{"name": field, "type": "string"} for field in data[0]], "primaryKey": [key],
        **({"foreignKeys": [{"fields": ["arm"], "reference": {"resource": "arms", "fields": ["arm"]}}]} if key == "unit" else {})}}
        for name, key, data in rows]


def _digests_resource(names: Mapping[str, str], columns: Sequence[str]) -> dict[str, Any]:
    """The list of digests, which cannot hold its own."""
    digest = {"pattern": "[0-9a-f]{64}"}
    fields = [{"name": "file", "type": "string", "constraints": {"required": True, "unique": True}}, {"name": "bytes", "type": "integer"},
              {"name": "sha256", "type": "string", "constraints": digest}, {"name": "what", "type": "string",
                                                                            "constraints": {"required": True}},
              {"name": "original_bytes", "type": "integer"}, {"name": "original_sha256", "type": "string", "constraints": digest},
              {"name": RENAMED, "type": "string"}][:len(columns)]
    return {"name": _name(DIGESTS, set(names.values())), "path": DIGESTS, "type": "table", "format": "csv", "mediatype": "text/csv",
            "encoding": "utf-8", "schema": {"fields": fields, "missingValues": [""], "primaryKey": ["file"]}}


def _name(path: str, taken: set[str]) -> str:
    """A name of small letters, digits, dots, hyphens and underscores that no other resource has."""
    stem = re.sub(r"[^a-z0-9._-]+", "-", path.lower().removesuffix(".csv").replace("/", "-")).strip("-.") or "file"
    taken = taken | set(_NOUNS.values())
    return next(name for number in range(1, len(taken) + 3) if (name := stem if number == 1 else f"{stem}-{number}") not in taken)
