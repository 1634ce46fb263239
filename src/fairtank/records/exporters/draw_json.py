"""What a draw did, and what working it out again gave, as JSON for other programs."""

import json

from fairtank import __version__
from fairtank.records.services.drawing import CheckedDraw, DrawnTrial


def draw_json(made: DrawnTrial) -> str:
    """What a draw did as one JSON object."""
    draw = made.draw
    document = {
        "software": f"fairtank {__version__}", "done": made.done, "seed": draw.seed, "seed_from": draw.seed_from, "at": draw.at.isoformat(),
        "procedure": draw.procedure, "arms": dict(draw.arms), "blocks": dict(draw.blocks), "blocked_by": list(draw.blocked_by),
        "possible": draw.possible, "drawn_day": draw.drawn_day, "places": dict(draw.places), "planting_order": list(draw.planting),
        "scoring_order": list(draw.scoring), "witness": draw.witness or None, "reason": draw.reason or None,
        "earlier_draws": len(made.before),
        "numbers": [{"text": one.text, "digits": one.digits, "of": one.of, "result": one.result}
                    for lot in made.drawn.lots for one in lot.used],
        "files": {name: str(path) for name, path in (("record", made.record), ("sheet", made.sheet), ("sealed_list", made.sealed_list),
                                                     ("scoring_sheet", made.scoring)) if path is not None},
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def check_json(checked: CheckedDraw) -> str:
    """What working out the draws again gave, as one JSON object."""
    document = {"software": f"fairtank {__version__}", "agrees": not checked.wrong, "wrong": list(checked.wrong),
                "draws": len(checked.draws), "seed": checked.draws[-1].seed, "arms": dict(checked.drawn.arms),
                "possible": checked.drawn.possible}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"
