"""How even the tanks of a folder that was read are, with the sheet of its build where it has one."""

from fairtank.errors import FairtankError
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.evenness.check import evenness
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.result import Evenness
from fairtank.planning.sheet import BuildSheet
from fairtank.records.by_round import by_round
from fairtank.trial import TrialFolder


def folder_even(folder: TrialFolder) -> tuple[Evenness, str]:
    """The evenness check of a folder, and why its setup could not be worked out, where it could not.

    Parameters
    ----------
    folder : TrialFolder
        A checked folder.

    Returns
    -------
    Evenness, str
        The sentence is empty where there is nothing to say.

    References
    ----------
    common_practice (keys from sources.py).
    """
    sheet: BuildSheet | None = None
    caution = ""
    if folder.setup is not None:
        try:
            sheet = build_sheet(by_round(folder.setup, folder.plan))
        except FairtankError as error:
            caution = f"setup.toml cannot be worked out, so depths, net water and side effects are not looked at: {error}"
    return evenness(Known(folder, sheet)), caution
