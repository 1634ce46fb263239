"""Folders for the tests of the commands."""

from pathlib import Path

import pytest
from tests.records.conftest import FILES, Folder
from tests.records.learnt_once import learnt_once
from tests.records.photo_trials import Shape, photo_trial

UNITS = tuple((f"T{number}", "R" if number % 2 else "C") for number in range(1, 7))


@pytest.fixture(scope="session", autouse=True)
def _same_colours_are_learnt_once():
    with learnt_once():
        yield


def series_csv() -> str:
    """Values of six tanks on seven days; those of the changed arm lie clearly lower, with a spread of their own."""
    lines = ["unit,day,measure,value,se"]
    for number, (unit, arm) in enumerate(UNITS):
        for day in range(0, 43, 7):
            level = (20.0 if arm == "R" else 5.0) * (1 + 0.05 * (number - 2.5)) + 0.1 * day
            lines.append(f"{unit},{day},algae_cover,{level:.2f},")
            lines.append(f"{unit},{day},canopy_height,{10 + 0.2 * day + 0.1 * number:.2f},")
    return "\n".join(lines) + "\n"


def plan_toml() -> str:
    """The small plan of the folder tests, with six tanks."""
    text = FILES["trial.toml"]
    head, rest = text.split("[[unit]]", 1)
    tail = rest[rest.index("[[measure]]") :]
    return head + "".join(f'[[unit]]\nkey = "{unit}"\narm = "{arm}"\n' for unit, arm in UNITS) + tail


@pytest.fixture
def series_only(tmp_path: Path) -> Folder:
    """A valid folder with six tanks and ready-made values, without photos."""
    made = Folder(tmp_path / "series only")
    made.put("trial.toml", plan_toml())
    made.put("series.csv", series_csv())
    return made


@pytest.fixture
def photographed(tmp_path: Path) -> Path:
    """A small folder with four photos and strokes."""
    return photo_trial(tmp_path / "photographed", Shape(days=(0, 7), mode="fixed", painted=(("T1", 7),)))
