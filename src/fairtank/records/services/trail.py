"""The trail: who changed what, as a sentence; and what a change does to the trial it belongs to."""

from dataclasses import dataclass
from typing import Any

from django.db.models import F
from django.utils import timezone

from fairtank.records.models import Change, Document, Trial
from fairtank.records.rows.kinds import KINDS


@dataclass(frozen=True)
class By:
    """Whose hands: a name as the trail tells it, and the account where there is one."""

    name: str
    user: Any = None


KEEPER = By("keeper")
ITSELF = By("fairtank")


def noted(*, by: By, verb: str, said: str, trial: Trial | None = None, tables: tuple[str, ...] = (), row: Any = None,
          before: dict[str, Any] | None = None) -> Change:  # fmt: skip
    """Write down a change, inside the transaction that makes it.

    Parameters
    ----------
    by : By
    verb : str
        What was done in one word: `add`, `change`, `remove`, `bring back`, `import` ...
    said : str
        The same as a sentence for people.
    trial : Trial, optional
        Its revision rises.
    tables : tuple of str
        Fields of `TrialFolder` whose rows were changed: their text is then written anew.
    row : row, optional
        The row that was changed.
    before : mapping, optional
        What the row said before.

    Returns
    -------
    Change

    References
    ----------
    common_practice (keys from sources.py).
    """
    if trial is not None:
        Trial.everything.filter(pk=trial.pk).update(revision=F("revision") + 1, changed_at=timezone.now())
        trial.refresh_from_db(fields=["revision", "changed_at"])
        if tables:
            Document.objects.filter(trial=trial, is_table=True, path__in=[KINDS[field].table.file for field in tables]).delete()
    kind = "" if row is None else row._meta.model_name
    return Change.objects.create(trial=trial, by=by.name[:100], user=by.user, verb=verb, said=said, kind=kind,
                                 row=None if row is None else row.pk, before=before or {})
