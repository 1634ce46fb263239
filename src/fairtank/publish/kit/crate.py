"""ro-crate-metadata.json: the kit told in linked data, so that archives and search engines understand it."""

import json
from collections.abc import Sequence
from typing import Any

from fairtank.publish.kit.citation import last_date, seal_code
from fairtank.publish.kit.facts import (
    ABOUT,
    ABSENT,
    LEFT_OUT,
    MEASURED,
    REDUCED,
    RESULT,
    TRIAL,
    VALUES,
    WHOLE,
    WITHOUT_PLACE,
    KitFacts,
    KitFile,
)
from fairtank.publish.kit.licences import LICENCES, OWN

VERSION = "1.2"
FILE = "ro-crate-metadata.json"
_WHATS = {
    TRIAL: "A file of the trial, as it was kept.",
    VALUES: "Values that were measured on photos which this kit holds smaller or not at all.",
    MEASURED: "As it was when the photos were measured.", RESULT: "What was worked out from the trial.", ABOUT: "About this kit.",
    WHOLE: "A photo, as it was kept.", WITHOUT_PLACE: "A photo without the place where it was taken.", REDUCED: "A photo, made smaller.",
    LEFT_OUT: "",
}
_NAMES = {"trial.toml": "The plan", "setup.toml": "What was built", "seal.json": "The seal of the plan",
          "draw.json": "The draw of the arms",
          "results/findings.json": "The findings", "results/report.html": "The report", "results/report.pdf": "The report for print",
          "digests.csv": "Length and SHA-256 of every file", "miappe.json": "Which fields of MIAPPE are filled",
          "software.json": "The software that made the numbers",
          "datapackage.json": "The Data Package that describes every table"}  # fmt: skip
_FORMATS = {"csv": "text/csv", "json": "application/json", "toml": "application/toml", "md": "text/markdown", "txt": "text/plain",
            "html": "text/html", "pdf": "application/pdf", "png": "image/png", "jpg": "image/jpeg", "jpeg": "image/jpeg",
            "webp": "image/webp", "heic": "image/heic", "cff": "application/yaml"}  # fmt: skip


def crate_text(facts: KitFacts, files: Sequence[KitFile]) -> str:
    """RO-Crate metadata as text.

    Parameters
    ----------
    facts : KitFacts
    files : sequence of KitFile
        Every file of the kit; those that were left out are not among the parts.

    Returns
    -------
    str

    References
    ----------
    ro_crate (keys from sources.py).
    """
    parts = [one for one in files if one.what not in ABSENT]
    keeper, licence = _keeper(facts), _licence(facts)
    software = {"@id": "#fairtank", "@type": "SoftwareApplication", "name": "fairtank",
                "softwareVersion": facts.software.removeprefix("fairtank "),
                "version": facts.software.removeprefix("fairtank ")}
    results = [{"@id": one.path} for one in parts if one.what in (RESULT, VALUES)]
    made = {"@id": "#judging", "@type": "CreateAction", "name": "Photos measured and the trial judged",
            "instrument": {"@id": software["@id"]},
            "object": [{"@id": "trial.toml"}], "result": results}
    descriptor = {"@id": FILE, "@type": "CreativeWork", "about": {"@id": "./"},
                  "conformsTo": {"@id": f"https://w3id.org/ro/crate/{VERSION}"}}
    root: dict[str, Any] = {
        "@id": "./", "@type": "Dataset", "name": facts.title, "description": facts.plan.question or facts.title,
        "datePublished": last_date(facts), "license": {"@id": licence["@id"]}, "author": {"@id": keeper["@id"]},
        "identifier": facts.inputs_digest, "temporalCoverage": f"{facts.plan.start.isoformat()}/{last_date(facts)}",
        "hasPart": [{"@id": one.path} for one in parts], "mentions": [{"@id": made["@id"]}],
        **({"isBasedOn": facts.plan.repeats} if facts.plan.repeats else {}),
        **({"alternateName": f"seal {seal_code(facts)}"} if seal_code(facts) else {}),
    }
    graph = [descriptor, root, *(_part(one) for one in parts), keeper,
             *([licence] if licence["@id"] not in {one.path for one in parts} else []), software, *([made] if results else [])]
    if not results:
        del root["mentions"]
    return json.dumps({"@context": f"https://w3id.org/ro/crate/{VERSION}/context", "@graph": graph}, ensure_ascii=False, indent=1) + "\n"


def _part(one: KitFile) -> dict[str, Any]:
    suffix = one.path.rpartition(".")[2].lower()
    return {"@id": one.path, "@type": "File", "name": _NAMES.get(one.path, one.path), "description": _WHATS[one.what],
            "contentSize": str(one.size_bytes), "sha256": one.sha256,
            **({"encodingFormat": _FORMATS[suffix]} if suffix in _FORMATS else {})}


def _keeper(facts: KitFacts) -> dict[str, Any]:
    name = facts.plan.keeper
    return {"@id": "#keeper", "@type": "Person", "name": name or "The keeper, who gave no name"}


def _licence(facts: KitFacts) -> dict[str, Any]:
    if facts.licence == OWN:
        return {"@id": "LICENCE.txt", "@type": ["File", "CreativeWork"], "name": "The keeper's own statement",
                "description": "See the file."}
    one = LICENCES[facts.licence]
    return {"@id": one.address or "#all-rights-remain", "@type": "CreativeWork", "name": one.name, "description": one.short}
