"""The shelf for commands: importing this file sets it up, so that services which work on rows may be imported after it.

A command that needs the shelf imports this file before those services; commands that work on folders alone never load it.
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
from fairtank.errors import InputError
from fairtank.records.database import database_told, tables_ready
from fairtank.records.models import Trial

MOST_NAMES = 30


def trial_named(slug: str) -> Trial:
    """The trial of that word in its address; an unknown one is answered with those that there are."""
    tables_ready()
    with database_told():
        found: Trial | None = Trial.objects.filter(slug=slug).first()
        if found is None:
            known = list(Trial.objects.values_list("slug", flat=True)[:MOST_NAMES])
            raise InputError("the trial", slug, f"one of {', '.join(known)}" if known else "a trial of the shelf, which is empty")
    return found
