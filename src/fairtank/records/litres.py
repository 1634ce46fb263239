"""How large the tanks of a trial are, from what its folder says of them."""

from fairtank.errors import FairtankError
from fairtank.planning.building.boxes import body_of
from fairtank.trial import TrialFolder


def tank_litres_of(folder: TrialFolder) -> float | None:
    """Water of one unit to the water line: what trial.toml says, else the mean of what setup.toml's glass holds. [L]

    Parameters
    ----------
    folder : TrialFolder

    Returns
    -------
    float or None
        None where neither says it, or the glass cannot be worked out.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if folder.plan.tank_litres is not None:
        return folder.plan.tank_litres
    setup = folder.setup
    if setup is None or not setup.units:
        return None
    try:
        return sum(body_of(setup.tank_of(unit)).gross_l for unit in setup.units) / len(setup.units)
    except FairtankError:
        return None
