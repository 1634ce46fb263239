"""The answer to one set of inputs: worked out, and written for machines."""

import dataclasses
import math
from typing import Any

from fairtank.bench.asking import Asked
from fairtank.planning.claiming.claim import Claim
from fairtank.publish.calc_words import Answer, short_labels, value_text
from fairtank.registry import Entry, ReadingError
from fairtank.science.calling import parts_of
from fairtank.science.uncertainty import Uncertain, interval_of


def answer_of(asked: Asked) -> Answer:
    """What the calculator gives, with the interval that its readings' errors leave."""
    result = asked.entry.function(**asked.given)
    with_interval = asked.errors and not isinstance(result, Claim)  # a claim carries its own ranges
    uncertain = interval_of(asked.entry, asked.given, asked.typed) if with_interval else {}
    return Answer(asked.entry, asked.given, result, asked.errors, uncertain)


def read_as(asked: Asked) -> list[str]:
    """A line about the values that were typed in another unit, so that a slip shows; none without any."""
    labels = short_labels(asked.entry)
    said = [f"{labels[declared.name]} {value_text(asked.given[declared.name], declared.unit)}"
            for declared in asked.entry.inputs if declared.name in asked.converted]
    return [f"Read as: {', '.join(said)}."] if said else []


def answer_json(asked: Asked, answer: Answer) -> dict[str, Any]:
    """The answer for machines. A part that the readings cannot carry is null in `result`; its interval stands in `intervals`."""
    parts = parts_of(answer.result)
    result: Any = {name: None if is_coarse(answer.uncertain.get(name)) else plain(part) for name, part in parts.items()}
    return {
        "calculator": asked.entry.key, "inputs": plain(asked.given), "unit": asked.entry.unit,
        "result": result[""] if list(parts) == [""] else result, "outputs": outputs_json(asked.entry),
        "intervals": {name or "result": {**plain(dataclasses.asdict(known)), "shares": dict(plain(known.shares))}
                      for name, known in answer.uncertain.items()},
        **about_json(asked.entry, asked.errors),
    }  # fmt: skip


def about_json(entry: Entry, errors: dict[str, ReadingError]) -> dict[str, Any]:
    """What is the same for one answer and for a table: reading errors that count, cautions and sources."""
    return {"reading_errors": {name: dataclasses.asdict(error) for name, error in errors.items()}, "cautions": list(entry.cautions),
            "sources": list(entry.sources)}


def outputs_json(entry: Entry) -> list[dict[str, str]]:
    """Label and unit of each declared part of a result."""
    return [dataclasses.asdict(output) for output in entry.outputs]


def is_coarse(known: Uncertain | None) -> bool:
    """Whether the readings are too coarse for a figure."""
    return known is not None and known.value is None


def plain(value: Any) -> Any:
    """A result as numbers, words, lists and mappings; parts that have names keep them, missing numbers are null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if hasattr(value, "_asdict"):
        return plain(value._asdict())
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(part) for part in value]
    if isinstance(value, float):
        return float(f"{value:.10g}") if math.isfinite(value) else None
    return value
