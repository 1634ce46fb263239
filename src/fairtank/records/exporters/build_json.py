"""A planned build as one JSON object: lines, facts, costs, side effects and cautions, for other programs."""

from dataclasses import asdict

from fairtank import __version__
from fairtank.publish.side_effect_words import side_effect_sentence, side_effect_text
from fairtank.records.exporters.json_text import json_text
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
    return json_text(document)
