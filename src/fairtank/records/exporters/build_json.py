"""A planned build as one JSON object: lines, facts, costs, side effects and cautions, for other programs."""

import json
import math
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.publish.side_effect_words import side_effect_sentence, side_effect_text
from fairtank.records.services.building import PlannedBuild


def build_json(planned: PlannedBuild) -> str:
    """The build as JSON text; what is not known is null."""
    sheet, rows = planned.sheet, planned.rows
    document = {
        "software": f"fairtank {__version__}", "title": planned.title, "weeks": planned.setup.weeks,
        "lines": sheet.lines, "units": sheet.units, "tanks": sheet.tanks, "courses": sheet.courses, "totals": sheet.totals,
        "cautions": sheet.cautions, "caution_keys": sheet.caution_keys, "shopping": planned.shopping,
        "side_effects": [{**asdict(effect), "sentence": side_effect_sentence(effect)} for effect in planned.effects],
        "side_effects_text": side_effect_text(planned.effects),
        "build_csv": {"is_new": planned.is_new, "added": rows.added, "changed": rows.changed,
                      "unplanned": [{"unit": unit, "material": material} for unit, material in rows.unplanned]},
        "files": planned.files,
    }
    return json.dumps(_plain(document), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    """Data that JSON has words for: frozen results as objects, numbers without end as null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {name: _plain(one) for name, one in vars(value).items()}
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value
