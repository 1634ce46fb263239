"""How a trial is to be cited, as CITATION.cff."""

import json
from datetime import timedelta

from fairtank.publish.kit.facts import KitFacts
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.numbers import shown

NAMELESS = "the keeper of this trial, who gave no name"


def last_date(facts: KitFacts) -> str:
    """The last day that counts, as a date."""
    return (facts.plan.start + timedelta(days=facts.plan.days)).isoformat()


def seal_code(facts: KitFacts) -> str:
    """The code of the last seal; empty where the plan is not sealed."""
    seal = facts.folder.seal
    return seal.last.code if seal is not None else ""


def citation_text(facts: KitFacts) -> str:
    """CITATION.cff: title, keeper, licence, the code of the seal and the digest of what was judged.

    Parameters
    ----------
    facts : KitFacts

    Returns
    -------
    str

    References
    ----------
    citation_file_format (keys from sources.py).
    """
    plan, code = facts.plan, seal_code(facts)
    marks = [("digest of everything that was judged", facts.inputs_digest), *([("code of the sealed plan", code)] if code else [])]
    lines = [
        "cff-version: 1.2.0", "message: If you use or repeat this trial, please cite it as below.", "type: dataset",
        f"title: {_quoted(facts.title)}", "authors:", f"  - name: {_quoted(plan.keeper or NAMELESS)}", "version: "
                                                                                                       f"{_quoted(facts.inputs_digest)}",
        f"date-released: {last_date(facts)}",
        *([f"license: {facts.licence}"] if facts.licence in LICENCES and facts.licence != "none" else []),
        *([f"abstract: {_quoted(plan.question)}"] if plan.question else []),
        "identifiers:", *(line for what, value in marks for line in ("  - type: other", f"    value: {_quoted(value)}",
                                                                   f"    description: {_quoted(what)}")),
    ]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A text that stands in a YAML file: a JSON string is one."""
    return json.dumps(shown(text), ensure_ascii=False)
