"""carried.json: the measures whose values a kit carries in series.csv, in place of the photos that they were taken from."""

import json
from collections.abc import Sequence
from typing import Any

from fairtank.publish.kit.facts import form_of
from fairtank.records.folder.carried_eyes import document_from_eyes, eyes_from_document
from fairtank.records.folder.kit_files import CARRIED
from fairtank.records.folder.problems import Problems
from fairtank.trial import CarriedValues

_ACCEPTED = "the file as the kit wrote it, or none, with series.csv of your own"
_FAULTS = (ValueError, KeyError, TypeError, AttributeError, RecursionError)


def text_from_carried(carried: Sequence[CarriedValues], photos: str, inputs_digest: str, software: str, folder_digest: str = "") -> str:
    """carried.json as text.

    inputs_digest: over everything that was judged, photos and all, before the kit was made. folder_digest: over what the kit's folder holds
    but this file, by which is known later whether anything in it was changed.
    """
    eyes = {one.measure: document_from_eyes(one.eyes) for one in carried if one.eyes is not None}
    document = {"form": form_of(carried), "software": software, "photos": photos, "inputs_digest": inputs_digest,
                "folder_digest": folder_digest, "measures": {
        one.measure: [{"reference_arm": reference, "changed_arm": changed, "told": list(words)} for reference, changed, words in one.told]
        for one in carried}, **({"eyes": eyes} if eyes else {})}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def carried_from_text(text: str, problems: Problems) -> tuple[CarriedValues, ...]:
    """What carried.json says; one that cannot be read is noted."""
    try:
        document = json.loads(text)
        eyes = {measure: eyes_from_document(one) for measure, one in document.get("eyes", {}).items()}
        return tuple(CarriedValues(str(measure), tuple(_comparison(one) for one in told), eyes.get(measure))
                     for measure, told in document["measures"].items())
    except _FAULTS:
        problems.add(CARRIED, None, None, "it is not as a kit writes it", _ACCEPTED)
        return ()


def carried_facts(text: str) -> tuple[str, str]:
    """Which photos the kit kept (`reduced` or `none`), and the digest over everything that was judged; empty where it does not say so."""
    try:
        document = json.loads(text)
        return str(document["photos"]), str(document["inputs_digest"])
    except _FAULTS:
        return "", ""


def _comparison(one: dict[str, Any]) -> tuple[str, str, tuple[str, ...]]:
    told = one["told"]
    if not isinstance(told, list) or not all(isinstance(words, str) for words in told):
        raise ValueError("no list of sentences")
    return str(one["reference_arm"]), str(one["changed_arm"]), tuple(told)
