"""A sealed and stamped trial, made once for each file of tests, and copies of it to be changed."""

import shutil

import pytest
from tests.records.kits import make_kit
from tests.records.services.sealed_trials import READINGS, seal, stamp


@pytest.fixture(scope="module")
def recorded(tmp_path_factory):
    """A trial with values and readings, made once and copied."""
    root = make_kit(tmp_path_factory.mktemp("kit") / "trial", title="Dimmed", sd=0.05)
    (root / "readings.csv").write_text(READINGS, encoding="utf-8")
    return root


@pytest.fixture(scope="module")
def stamped(tmp_path_factory, recorded):
    """The same, sealed before there was data, then stamped."""
    root = tmp_path_factory.mktemp("stamped") / "trial"
    root.mkdir()
    shutil.copy(recorded / "trial.toml", root)
    seal(root)
    for file in ("series.csv", "readings.csv"):
        shutil.copy(recorded / file, root)
    stamp(root)
    return root


@pytest.fixture
def trial(tmp_path, stamped):
    """A copy of it to be changed."""
    shutil.copytree(stamped, tmp_path / "trial")
    return tmp_path / "trial"


@pytest.fixture
def planned(tmp_path, recorded):
    """The plan alone."""
    (tmp_path / "planned").mkdir()
    shutil.copy(recorded / "trial.toml", tmp_path / "planned")
    return tmp_path / "planned"
