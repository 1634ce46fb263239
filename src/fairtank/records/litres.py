"""How large the tanks of a trial are, from what its folder says of them."""

from fairtank.errors import FairtankError
from fairtank.planning.buildsheet import build_sheet
from fairtank.trial import TrialFolder


def tank_litres_of(folder: TrialFolder) -> float | None:
    """Water of one unit to the water line: what trial.toml says, else the mean of what setup.toml's glass holds. [L]

    Parameters
    ----------
    folder : TrialFolder

    Returns
    -------
    float or None
        None where neither says it, or the setup cannot be worked out.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if folder.plan.tank_litres is not None:
        return folder.plan.tank_litres
    if folder.setup is None:
        return None
    try:
        sheet = build_sheet(folder.setup)
    except FairtankError:
        return None
    return sum(unit.gross_l for unit in sheet.units) / len(sheet.units) if sheet.units else None
