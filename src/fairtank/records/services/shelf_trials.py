"""Trials on the shelf as a whole: begun, renamed, called finished, taken away and brought back; and a finished one to look at."""

import json
import re
import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.jobs.judge import judged_keep
from fairtank.records.models import Trial
from fairtank.records.rows.plan import plan_from_text
from fairtank.records.services.examples import example_make
from fairtank.records.services.importing import free_slug, trial_import
from fairtank.records.services.trail import By, noted
from fairtank.records.services.trials import trial_judge
from fairtank.records.services.working import changing, opened, out_of
from fairtank.records.writing import text_write

LONGEST_TITLE = 120
NAMELESS = "A new trial"
UNDO_DAYS = 30
DEMO = "run_in"


def title_checked(title: str) -> str:
    """A title on one line; refused where it is empty or too long."""
    plain = " ".join(title.split())
    if not plain or len(plain) > LONGEST_TITLE or not plain.isprintable():
        long = f"{len(plain)} characters long" if plain.isprintable() else "one with a character that cannot be shown"
        what = long if plain else "empty"
        raise InputError("The title", what, f"one to {LONGEST_TITLE} characters that can be shown")
    return plain


def trial_begin(*, by: By, title: str = "", owner: Any = None) -> Trial:
    """Put a trial on the shelf that has no plan yet.

    Parameters
    ----------
    by : By
    title : str
        Empty until the questions give it one.
    owner : account, optional

    Returns
    -------
    Trial

    Raises
    ------
    InputError
        If the title is too long.

    References
    ----------
    common_practice (keys from sources.py).
    """
    plain = title_checked(title) if title.strip() else NAMELESS
    with transaction.atomic():
        trial = Trial.objects.create(title=plain, slug=free_slug(plain), owner=owner or by.user)
        noted(by=by, verb="add", said=f"Began the trial “{plain}”.", trial=trial, row=trial)
    return trial


def trial_rename(*, trial: Trial, by: By, title: str) -> None:
    """Give a trial another title; where there is a plan, the title in its text is changed, and nothing else of it.

    Raises
    ------
    InputError
        If the title is empty or too long, or the text of the plan does not show its title on one line.
    """
    plain, before = title_checked(title), trial.title
    if plain == before:
        return
    said = f"Renamed it from “{before}” to “{plain}”."
    if trial.planned:
        with changing(trial=trial, by=by, verb="change", said=said) as root:
            text_write(root / PLAN_FILE, retitled((root / PLAN_FILE).read_text(encoding="utf-8-sig"), plain))
        return
    with transaction.atomic():
        trial.title = plain
        trial.save(update_fields=["title", "changed_at"])
        noted(by=by, verb="change", said=said, trial=trial, row=trial, before={"title": before})


def retitled(text: str, title: str) -> str:
    """The text of a plan with another title, and everything else as it was."""
    line = f"title = {json.dumps(title, ensure_ascii=False)}"
    new = re.sub(r"(?m)^title[ \t]*=[^\n]*$", lambda _: line, text, count=1)
    if replace(plan_from_text(text), title=title) != plan_from_text(new):
        raise InputError("The title", "not on a line of its own in the text of the plan", "a change of that text")
    return new


def trial_close(*, trial: Trial, by: By, is_closed: bool = True) -> None:
    """Call a trial finished, or take it up again."""
    with transaction.atomic():
        trial.closed_at = timezone.now() if is_closed else None
        trial.save(update_fields=["closed_at", "changed_at"])
        said = "Called it finished." if is_closed else "Took it up again."
        noted(by=by, verb="close" if is_closed else "open", said=said, trial=trial, row=trial)


def trial_remove(*, trial: Trial, by: By) -> None:
    """Take a trial off the shelf; it can be brought back for 30 days."""
    with transaction.atomic():
        trial.removed_at = timezone.now()
        trial.save(update_fields=["removed_at", "changed_at"])
        noted(by=by, verb="remove", said=f"Took “{trial.title}” off the shelf.", trial=trial, row=trial)


def trial_bring_back(*, trial: Trial, by: By) -> None:
    """Put a trial that was taken away back on the shelf."""
    with transaction.atomic():
        trial.removed_at = None
        trial.save(update_fields=["removed_at", "changed_at"])
        noted(by=by, verb="bring back", said=f"Brought “{trial.title}” back.", trial=trial, row=trial)


def demo_take_in(*, by: By, design: str = DEMO) -> Trial:
    """A finished invented trial on the shelf, with values and no photos, to look around in; the one that is there already, if it is.

    Parameters
    ----------
    by : By
    design : str
        As `fairtank example` names it.

    Returns
    -------
    Trial

    References
    ----------
    common_practice (keys from sources.py).
    """
    there = Trial.objects.filter(is_example=True, origin=design, owner=by.user).first()
    if there is not None:
        return there
    with tempfile.TemporaryDirectory(prefix="fairtank-example-") as place:
        root = Path(place) / design
        example_make(design=design, root=root)
        trial = trial_import(root=root, by=by, is_example=True, owner=by.user)
    with opened(trial, "jobs") as root:  # no photo is to be measured, so it is judged at once
        today = date.today()
        judged_keep(trial, trial_judge(root=root, out=out_of(trial), today=today), trial.revision, today)
    return trial
