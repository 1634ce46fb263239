"""The guide to calculating: each command in it works, and the answer it prints is the one that comes."""

import re
import shlex
from pathlib import Path

import pytest
from tests.cli.running import run_here

GUIDE = (Path(__file__).resolve().parents[2] / "docs" / "guide" / "calculate.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```\n(.*?)```", GUIDE, flags=re.DOTALL)
COMMANDS = [line for block in BLOCKS for line in block.splitlines() if line.startswith("fairtank calc")]


def test_the_guide_shows_many_commands():
    assert len(COMMANDS) >= 10


@pytest.mark.parametrize("line", COMMANDS)
def test_a_command_of_the_guide_works(capsys, tmp_path, monkeypatch, line):
    monkeypatch.chdir(tmp_path)
    ran = run_here(capsys, *shlex.split(line)[1:])
    assert (ran.code, ran.err) == (0, "")
    assert len(list(tmp_path.glob("*.svg"))) == line.count("--plot")


def test_the_printed_answer_is_the_one_that_comes(capsys):
    command = next(line for line in COMMANDS if line.endswith("--ph 6.6"))
    (printed,) = (block for block in BLOCKS if block.startswith("Dissolved CO2"))
    assert run_here(capsys, *shlex.split(command)[1:]).out.startswith(printed)


def test_each_way_to_type_a_reading_error_works(capsys):
    typed = re.findall(r"`--ph (6\.6[^`]*)`", GUIDE)
    assert {"6.6", "6.6±0.02", "6.6 sd 0.02", "6.6 exact"} <= set(typed)
    for text in typed:
        assert run_here(capsys, "calc", "carbonate", "--temp-c", "25", "--alkalinity-dkh", "4", "--ph", text).code == 0
