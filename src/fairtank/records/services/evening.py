"""How even the tanks of a trial are, from its folder: read, checked, and drawn where a place is given."""

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.planning.evenness.result import Evenness, FactorCheck
from fairtank.publish.arms import arm_looks
from fairtank.publish.calc_chart import file_svg
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.even_matrix import even_matrix
from fairtank.publish.even_words import even_sentences, factor_sentence
from fairtank.records.evened import folder_even
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder import read_folder
from fairtank.records.services.trials import out_check, result_write
from fairtank.trial import TrialFolder

MATRIX_FILE, PHONE_FILE = "evenness.svg", "evenness-phone.svg"


@dataclass(frozen=True)
class EvenTrial:
    """A folder and how even its tanks are; sentences in order; chart and phone_chart: where the matrix was written, else None.

    caution: why setup.toml could not be worked out, where it could not; empty otherwise.
    """

    folder: TrialFolder
    result: Evenness
    sentences: tuple[str, ...]
    caution: str = ""
    chart: Path | None = None
    phone_chart: Path | None = None


def trial_even(*, root: Path, out: Path | None = None) -> EvenTrial:
    """Check how even the tanks of a folder are; with `out`, write the matrix, wide and narrow.

    Parameters
    ----------
    root : Path
        A folder with trial.toml; everything else that it holds is looked at.
    out : Path or None
        Where the pictures go; None writes nothing. Without anything recorded there is no picture.

    Returns
    -------
    EvenTrial

    Raises
    ------
    FolderError
        If anything in the folder is wrong.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    if out is not None:
        out_check(out, folder)
    result, caution = folder_even(folder)
    looks = arm_looks(folder.plan)
    even = EvenTrial(folder, result, even_sentences(result, looks), caution)
    if out is None or not any(check.values for check in result.checks):
        return even
    for name, width_px in ((MATRIX_FILE, WIDE_PX), (PHONE_FILE, NARROW_PX)):
        picture = even_matrix(result, looks, key="even", width_px=width_px)
        result_write(out / name, file_svg(picture.svg))
    return EvenTrial(folder, result, even.sentences, caution, out / MATRIX_FILE, out / PHONE_FILE)


def even_json(even: EvenTrial) -> str:
    """The check as one JSON object: sentences, then every factor in the same order, with its numbers."""
    looks = arm_looks(even.folder.plan)
    document = {
        "software": f"fairtank {__version__}", "inputs_digest": even.folder.digest,
        "sentences": list(even.sentences), "caution": even.caution or None,
        "design": even.result.design, "primary": even.result.primary, "change_factors": list(even.result.change_factors),
        "units": [{"unit": unit, "arm": arm} for unit, arm in even.result.units],
        "factors": [{**_factor(check), "sentence": factor_sentence(check, even.result, looks)} for check in even.result.checks],
        "chart": None if even.chart is None else str(even.chart),
        "phone_chart": None if even.phone_chart is None else str(even.phone_chart),
    }
    return json_text(document)


def _factor(check: FactorCheck) -> dict[str, Any]:
    """One factor with the names of its fields; values and deviations by unit."""
    return {**asdict(check), "values": dict(check.values), "deviations": dict(check.deviations)}
