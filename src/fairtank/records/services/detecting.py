"""What a planned trial could show, from its folder: read, worked out, and drawn where a place is given."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.inference.foresight.showing import Design, Prices, Showing, show
from fairtank.planning.care import Care
from fairtank.publish.calc_chart import file_svg
from fairtank.publish.care_words import prices_words, worth_words
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.detect_words import design_words, headline, look_sentences, notes, opening
from fairtank.publish.frontier import frontier_chart
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder import read_folder
from fairtank.records.litres import tank_litres_of
from fairtank.records.services.run_in_values import run_in_measured
from fairtank.records.services.trials import out_check, result_write
from fairtank.records.services.worth import care_document, prices_from, trial_care
from fairtank.trial import TrialFolder

FRONTIER_FILE, PHONE_FILE, USUAL_OUT = "what-could-it-show.svg", "what-could-it-show-phone.svg", "out"


@dataclass(frozen=True, eq=False)
class DetectedTrial:
    """A folder and what its plan could show; chart is where the picture was written, phone_chart its narrow twin; else None.

    care: what the trial takes. prices_told: which prices were taken from setup.toml; empty where none were.
    """

    folder: TrialFolder
    showing: Showing
    care: Care
    prices_told: str = ""
    chart: Path | None = None
    phone_chart: Path | None = None


def trial_detect(*, root: Path, out: Path | None = None, reference: float | None = None, sd: float | None = None, tanks: str = "new",
                 prices: Prices | None = None, progress: Callable[[int, int], None] | None = None) -> DetectedTrial:
    """Work out what a folder's plan could show; writes the picture, wide and narrow, when `out` is given.

    The spread of like tanks is the stated one, else that of spread.csv, else that of the run-in's values in series.csv or in measures.csv
    among the results, else a table's. Without prices those of setup.toml are taken, where it has any.
    """
    folder = read_folder(root)
    if out is not None:
        out_check(out, folder)
    series = (*folder.series, *run_in_measured(folder, out or root / USUAL_OUT))
    care, given = trial_care(folder), prices
    prices = prices_from(care) if given is None else given
    told = prices_words(care.spending) if given is None and prices is not None and care.spending is not None else ""
    showing = show(folder.plan, reference=reference, sd=sd, entries=folder.spread, tank_litres=tank_litres_of(folder), series=series,
                   tanks=tanks, prices=prices, progress=progress)
    if out is None:
        return DetectedTrial(folder, showing, care, told)
    for name, width_px in ((FRONTIER_FILE, WIDE_PX), (PHONE_FILE, NARROW_PX)):
        result_write(out / name, file_svg(frontier_chart(showing, width_px=width_px)))
    return DetectedTrial(folder, showing, care, told, out / FRONTIER_FILE, out / PHONE_FILE)


def takes_told(detected: DetectedTrial) -> list[str]:
    """What the trial takes, what that count leaves out, and where prices came from."""
    return [*worth_words(detected.care), *([detected.prices_told] if detected.prices_told else [])]


def detect_json(detected: DetectedTrial) -> str:
    """What the plan could show as one JSON object; what cannot be found is null."""
    showing = detected.showing
    document = {
        "software": f"fairtank {__version__}", "inputs_digest": detected.folder.digest,
        "sentence": headline(showing), "sentences": list(opening(showing)[1:]), "notes": list(notes(showing)),
        "measure": showing.measure, "title": showing.title, "unit": showing.unit, "scale": showing.scale, "summary": showing.summary,
        "expect": showing.expect, "reference": showing.reference, "is_relative": showing.is_relative, "shape": showing.shape,
        "full_after_d": showing.full_after_d, "power": showing.power, "alpha": showing.alpha, "margin": showing.margin,
        "spread": asdict(showing.spread), "designs": [_design(one) for one in showing.designs],
        "takes": care_document(detected.care), "takes_text": takes_told(detected),
        "looks": [asdict(look) for look in showing.looks], "looks_text": list(look_sentences(showing)),
        "chart": None if detected.chart is None else str(detected.chart),
        "phone_chart": None if detected.phone_chart is None else str(detected.phone_chart),
    }
    return json_text(document)


def _design(design: Design) -> dict[str, Any]:
    return {**asdict(design), "words": design_words(design)}
