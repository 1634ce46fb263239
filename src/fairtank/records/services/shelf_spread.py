"""What finished trials of the shelf tell of like tanks, handed to a trial that did not begin."""

from collections.abc import Sequence
from datetime import date

from fairtank.errors import DesignError, InputError
from fairtank.publish.spread_words import merged_words
from fairtank.records.folder.reader import read_folder
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.models import Result, Trial
from fairtank.records.selectors.spread import entries_in, takes_earlier
from fairtank.records.selectors.trial_state import folder_of_rows
from fairtank.records.services.spreading import Merged, entries_merge, newest
from fairtank.records.services.trail import By
from fairtank.records.services.working import changing

NOTHING_NEW = "Nothing to write: the trial has all of it already."


def spread_take(*, trial: Trial, sources: Sequence[Trial], by: By, today: date | None = None) -> str:
    """Merge what some trials tell of like tanks into a trial's list of earlier tanks, as `fairtank spread --into` does.

    Parameters
    ----------
    trial : Trial
        With a plan, before day 0.
    sources : sequence of Trial
        Finished and judged.
    by : By
    today : date, optional

    Returns
    -------
    str
        What became of it, in sentences.

    Raises
    ------
    DesignError
        If the trial began.
    InputError
        If no trial was chosen, or none of them tells anything.

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    if not takes_earlier(trial, today):
        raise DesignError("Earlier tanks are taken in before day 0: later the choice could follow from what was seen.")
    if not sources:
        raise InputError("Earlier trials", "none chosen", "at least one that is finished and judged")
    results = Result.objects.filter(trial__in=[one.pk for one in sources], kind="spread").order_by("trial__start", "trial")
    entries, _older = newest([entry for result in results for entry in entries_in(result.content)])
    if not entries:
        raise InputError("Earlier trials", "trials that tell nothing of like tanks", "finished trials whose finding was worked out here",
                         "Open the finding of each and have it worked out again.")
    if not entries_merge(folder_of_rows(trial), entries, writes=False).is_written:
        return NOTHING_NEW
    with changing(trial=trial, by=by, verb="take", said="Earlier tanks were taken in.") as root:
        merged = entries_merge(read_folder(root, reworded=with_arms), entries)
    return _told(merged)


def _told(merged: Merged) -> str:
    lines = merged_words("Earlier tanks", added=merged.added, replaced=merged.replaced, unchanged=merged.unchanged, kept=merged.kept,
                         removed=merged.removed, left_out=merged.left_out)
    return " ".join(line.strip() for line in lines)
