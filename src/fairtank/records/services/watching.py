"""The drift watch of a trial folder: read, compared, and drawn where a place is given."""

from dataclasses import asdict, dataclass
from pathlib import Path

from fairtank import __version__
from fairtank.planning.drift.watch import Watch
from fairtank.planning.drift.watching import watch
from fairtank.publish.calc_chart import file_svg
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.watch_chart import watch_chart
from fairtank.publish.watch_words import factor_sentences, headline, notes
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder import read_folder
from fairtank.records.services.trials import out_check, result_write
from fairtank.trial import TrialFolder

CHART_FILE, PHONE_FILE = "drift.svg", "drift-phone.svg"


@dataclass(frozen=True, eq=False)
class WatchedTrial:
    """A folder and its drift watch; chart and phone_chart are where the picture was written, else None."""

    folder: TrialFolder
    watch: Watch
    chart: Path | None = None
    phone_chart: Path | None = None


def trial_watch(*, root: Path, out: Path | None = None) -> WatchedTrial:
    """Compare the tanks of a running trial in all that its diary tells; writes the picture, wide and narrow, when `out` is given."""
    folder = read_folder(root)
    if out is not None:
        out_check(out, folder)
    found = watch(folder)
    if out is None or not any(factor.charts for factor in found.factors):
        return WatchedTrial(folder, found)
    for name, width_px in ((CHART_FILE, WIDE_PX), (PHONE_FILE, NARROW_PX)):
        result_write(out / name, file_svg(watch_chart(found, folder.plan, width_px=width_px)))
    return WatchedTrial(folder, found, out / CHART_FILE, out / PHONE_FILE)


def watch_json(watched: WatchedTrial) -> str:
    """The drift watch as one JSON object; what cannot be found is null."""
    found, plan = watched.watch, watched.folder.plan
    factors = [{**asdict(factor), "sentences": list(factor_sentences(factor, found, plan))} for factor in found.factors]
    document = {
        "software": f"fairtank {__version__}", "inputs_digest": watched.folder.digest, "sentence": headline(found, plan),
        "false_alarm_share": found.false_alarm_share, "charts": found.charts, "days": found.days, "last_day": found.last_day,
        "change_day": found.change_day, "absent": list(found.absent), "factors": factors, "notes": list(notes(found)),
        "chart": None if watched.chart is None else str(watched.chart),
        "phone_chart": None if watched.phone_chart is None else str(watched.phone_chart),
    }
    return json_text(document)
