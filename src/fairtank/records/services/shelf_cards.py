"""The photo cards of a trial on the shelf: drawn once, kept with the trial, printed as often as somebody asks."""

import tempfile
from pathlib import Path

from fairtank.records.models import Card, Trial
from fairtank.records.services.cards import trial_cards
from fairtank.records.services.trail import By
from fairtank.records.services.working import changing, opened


def cards_sheets(*, trial: Trial, by: By, paper: str = "a4") -> bytes:
    """The sheets of a trial's photo cards, to print; tanks that have no card yet are given one by lot, which is kept.

    Parameters
    ----------
    trial : Trial
        With a plan.
    by : By
    paper : str
        `a4` or `letter`.

    Returns
    -------
    bytes
        A PDF.

    Raises
    ------
    FolderError
        If the plan, or what is recorded beside it, cannot be read.
    InputError
        If there are more tanks than cards, or the paper is not known.

    References
    ----------
    common_practice (keys from sources.py).
    """
    have = set(Card.objects.filter(trial=trial).values_list("unit__key", flat=True))
    lacks = trial.units.exclude(key__in=have).exists()
    with changing(trial=trial, by=by, verb="cards", said="Drew the photo cards.") if lacks else opened(trial) as root, \
            tempfile.TemporaryDirectory(prefix="fairtank-cards-") as place:
        return trial_cards(root=root, out=Path(place), paper=paper).sheets.read_bytes()
