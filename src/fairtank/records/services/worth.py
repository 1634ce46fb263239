"""What a trial takes beside what it can show: work by its schedule, money by its build, and the prices that designs are compared by."""

from dataclasses import asdict
from typing import Any

from fairtank.inference.foresight.showing import Prices, Showing
from fairtank.planning.care import Care, care_of
from fairtank.planning.schedule.proposing import default_chores
from fairtank.publish.care_words import worth_words
from fairtank.trial import TrialFolder


def trial_care(folder: TrialFolder) -> Care:
    """What a folder's trial takes: by its schedule, else by the one that would be proposed; and by its build, where it has one.

    Parameters
    ----------
    folder : TrialFolder

    Returns
    -------
    Care

    References
    ----------
    common_practice, arithmetic (keys from sources.py).
    """
    chores = folder.chores or default_chores(folder.plan, folder.setup)
    return care_of(folder.plan, chores, folder.setup, is_proposed=not folder.chores)


def prices_from(care: Care) -> Prices | None:
    """What one more tank and one more day cost by a build: its purchases shared out over the tanks, and its electricity of a day.

    Parameters
    ----------
    care : Care

    Returns
    -------
    Prices or None
        None where nothing has a price, or all that would have one is there already.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    spending = care.spending
    if spending is None or not spending.has_prices or spending.per_tank + spending.per_day <= 0:
        return None
    return Prices(spending.per_tank, spending.per_day)


def worth_told(folder: TrialFolder, showing: Showing | None = None) -> list[str]:
    """Sentences for a plan or a schedule: what it takes, what it would notice for that, and what the count leaves out."""
    return worth_words(trial_care(folder), showing)


def care_document(care: Care) -> dict[str, Any]:
    """What a trial takes, as part of a JSON object."""
    return {"work": None if care.work is None else asdict(care.work),
            "spending": None if care.spending is None else asdict(care.spending), "reason": care.reason or None}
