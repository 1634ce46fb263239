"""A database for tests: made once per process, every test's changes undone."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

# Where the shelf's data lie during tests; each process has its own. It must be known before the settings are read.
DATA = Path(tempfile.mkdtemp(prefix="fairtank-tests-"))
os.environ["FAIRTANK_DATA"] = str(DATA)
os.environ["DJANGO_SETTINGS_MODULE"] = "fairtank.settings"
os.environ["FAIRTANK_AHEAD"] = "0"  # servers that tests start make nothing ahead


@pytest.fixture(scope="session")
def _static_files_found_once() -> Iterator[None]:
    """Every test client loads the layers of the pages anew; the files of the same installation are looked for by the first alone."""
    from whitenoise.middleware import WhiteNoiseMiddleware

    search, found = WhiteNoiseMiddleware.add_files_from_finders, {}

    def searched_once(self: WhiteNoiseMiddleware) -> None:
        if not found:
            search(self)
            found.update(self.files)
        self.files.update(found)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", searched_once)
        yield


@pytest.fixture(scope="session")
def _database(_static_files_found_once: None) -> Iterator[None]:
    import django
    from django.conf import settings
    from django.contrib.auth.hashers import Argon2PasswordHasher
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases, teardown_test_environment

    django.setup()
    setup_test_environment()
    # The same way of keeping passwords, made quick: how dear a guess is, is not what tests ask.
    Argon2PasswordHasher.time_cost, Argon2PasswordHasher.memory_cost, Argon2PasswordHasher.parallelism = 1, 64, 1
    # Tables are made from the models as they are now; that the migrations lead to the same is a test of its own.
    settings.MIGRATION_MODULES = dict.fromkeys(("records", "auth", "contenttypes", "sessions", "django_tasks_database"))
    made = setup_databases(verbosity=0, interactive=False)
    yield
    teardown_databases(made, verbosity=0)
    teardown_test_environment()


@pytest.fixture
def shelf(_database: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty shelf with a data folder of its own; what a test stores is gone afterwards."""
    from django.conf import settings
    from django.db import transaction

    monkeypatch.setattr(settings, "DATA", tmp_path / "data")
    for folder in ("photos", "derived"):
        (tmp_path / "data" / folder).mkdir(parents=True)
    with transaction.atomic():
        yield tmp_path / "data"
        transaction.set_rollback(True)


@pytest.fixture
def asked(shelf: Path) -> object:
    """Django's test client on an empty shelf, as the keeper on this machine; it needs no token in a form."""
    from django.test import Client

    return Client(headers={"host": "127.0.0.1"})
