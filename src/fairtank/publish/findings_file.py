"""findings.json: all findings as one JSON document, the same to the byte wherever it is written."""

import json
import math
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from fairtank import __version__
from fairtank.finding import Finding
from fairtank.publish.assumptions import assumptions
from fairtank.publish.explain import how_computed
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.words import cautions_text

_FIGURES = 12


def findings_document(findings: Iterable[Finding], inputs_digest: str) -> dict[str, Any]:
    """The findings as plain mappings, lists, numbers and words, in the order in which they were handed over.

    Numbers keep 12 significant figures, so that the last bits of a processor never show; a number that is not finite becomes null.

    Parameters
    ----------
    findings : iterable of Finding
        In the plan's order.
    inputs_digest : str
        `sha256:` and the digest of everything that was judged.

    Returns
    -------
    dict
        Fit for `json.dumps`.

    Examples
    --------
    >>> findings_document((), "sha256:00")["findings"]
    []
    """
    return {"software": f"fairtank {__version__}", "inputs_digest": inputs_digest, "findings": [_finding(finding) for finding in findings]}


def findings_text(findings: Iterable[Finding], inputs_digest: str) -> str:
    """The same document as JSON text with a line end: indented, not escaped, stable to the byte.

    Parameters and order are those of `findings_document`.

    References
    ----------
    rfc8259 (keys from sources.py): numbers that are not finite have no place in JSON.

    Examples
    --------
    >>> findings_text((), "sha256:00").endswith("}\\n")
    True
    """
    return json.dumps(findings_document(findings, inputs_digest), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _finding(finding: Finding) -> dict[str, Any]:
    natural = finding.natural
    document = {
        "measure": finding.measure, "role": finding.role, "summary": finding.summary, "scale": finding.scale,
        "estimate": finding.estimate, "low": finding.low, "high": finding.high, "level": finding.level, "df": finding.df,
        "p_value": finding.p_value, "shuffle_p": finding.shuffle_p, "arrangements": finding.arrangements, "grade": finding.grade,
        "tags": list(finding.tags), "basis": finding.basis, "margin": finding.margin,
        "n": {"reference": finding.n_reference, "changed": finding.n_changed}, "tipping_spread": finding.tipping_spread,
        "units": [{"unit": unit.unit, "arm": unit.arm, "z": unit.z, "days": unit.days, "spoilt": unit.spoilt,
                   "treated_mean": unit.treated_mean, "clipped_days": unit.clipped_days,
                   "reached": None if unit.reached is None else list(unit.reached)} for unit in finding.units],
        "natural": None if natural is None else {"reference": natural.reference, "changed": natural.changed, "low": natural.low,
                                                 "high": natural.high, "unit": natural.unit},
        "cautions": [plain_text(text) for text in cautions_text(finding)], "sentence": plain_text(sentence(finding)),
        "title": finding.title, "window": list(finding.window), "reference_label": finding.reference_label,
        "changed_label": finding.changed_label, "holm_p": finding.holm_p, "spoilt_reason": finding.spoilt_reason,
        "shuffle_gate_refused": finding.shuffle_gate_refused,
        "alternatives": [{"analysis": name, "grade": grade} for name, grade in finding.alternatives], "sources": list(finding.sources),
        "run_in": None if finding.run_in is None else list(finding.run_in), "reading_day": finding.reading_day,
        "design": finding.design, "facts": dict(finding.facts),
        "reference_arm": finding.reference_arm, "changed_arm": finding.changed_arm, "comparisons": finding.comparisons,
        "earlier": None if finding.earlier is None else asdict(finding.earlier), "looks": [asdict(look) for look in finding.looks],
        "ranking": [asdict(arm) for arm in finding.ranking], "settle": plain_text(settling_words(finding)),
        "settling": None if finding.settling is None else asdict(finding.settling), "how_computed": plain_text(how_computed(finding)),
        "assumptions": [plain_text(text) for text in assumptions(finding)],
        "eyes": None if finding.eyes is None else asdict(finding.eyes),
        "below_detection": None if finding.below_detection is None else asdict(finding.below_detection),
    }
    return _settled(document)


def _settled(value: Any) -> Any:
    """Floats to 12 figures, without a negative zero; what is not finite becomes None; the rest as it is."""
    if isinstance(value, dict):
        return {key: _settled(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_settled(item) for item in value]
    if isinstance(value, bool) or value is None or isinstance(value, (int, str)):
        return value
    if not math.isfinite(value):
        return None
    return float(f"{float(value):.{_FIGURES}g}") + 0.0
