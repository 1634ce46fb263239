"""The tables of the shelf: made, or brought up to this version, before anything else is done with them."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, connections
from django.db.migrations.executor import MigrationExecutor

from fairtank.errors import JobError
from fairtank.records.locks import locked

# Held by whoever shows the pages of this data folder.
PAGES_LOCK = Path("derived", "pages.lock")
_HINT = "Is another fairtank at work on it, or was it made by a newer one? `fairtank check` tells more."


def tables_ready() -> None:
    """Make the tables of the shelf, or bring them up to this version; does nothing where they are as they should be.

    Raises
    ------
    JobError
        If the database cannot be reached or changed.

    References
    ----------
    common_practice (keys from sources.py).
    """
    with database_told():
        if not _steps_left():
            return
        with locked(Path(settings.DATA) / "derived" / "tables.lock"):  # of two that start at once the second finds nothing to do
            if not connection.introspection.table_names():
                _made_at_once()
            elif _steps_left():
                call_command("migrate", verbosity=0, interactive=False)


@contextlib.contextmanager
def database_told() -> Iterator[None]:
    """Inside, what a database says becomes a sentence; afterwards nobody holds a connection, unless it is in the middle of something."""
    try:
        yield
    except DatabaseError as error:
        first = (str(error).strip().splitlines() or ["it gave no reason"])[0]
        raise JobError(f"The database of the shelf did not do what was asked ({first}). {_HINT}") from error
    finally:
        if not connection.in_atomic_block:
            connections.close_all()


def _steps_left() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _made_at_once() -> None:
    """All tables as the rows are now: the steps of all earlier versions lead to the same, and take ten times as long."""
    executor = MigrationExecutor(connection)
    executor.recorder.ensure_schema()
    with connection.schema_editor() as editor:
        for model in apps.get_models():
            if model._meta.managed and not model._meta.proxy:
                editor.create_model(model)
        for step in executor.loader.graph.nodes:
            executor.recorder.record_applied(*step)
