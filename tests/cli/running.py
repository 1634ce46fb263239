"""Ways to run the fairtank command in a test: in this process, or as people do, in one of its own."""

import os
import subprocess
import sys
from dataclasses import dataclass

import pytest

from fairtank.cli import main


@dataclass(frozen=True)
class Ran:
    """What a command left: its exit code and what it printed."""

    code: int
    out: str
    err: str


def run_here(capsys: pytest.CaptureFixture[str], *words: object) -> Ran:
    """Run a command in this process."""
    capsys.readouterr()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["fairtank", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            main()
    told = capsys.readouterr()
    assert "Traceback" not in told.out + told.err
    return Ran(int(ended.value.code or 0), told.out, told.err)


def run_apart(*words: object, **variables: str) -> Ran:
    """Run a command in a process of its own, with further environment variables."""
    called = [sys.executable, "-m", "fairtank.cli", *map(str, words)]
    done = subprocess.run(called, capture_output=True, encoding="utf-8", env={**os.environ, **variables}, timeout=120, check=False)
    assert "Traceback" not in done.stdout + done.stderr
    return Ran(done.returncode, done.stdout, done.stderr)
