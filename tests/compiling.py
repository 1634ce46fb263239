"""Compile the loops over px once for all processes of a test run: each would else compile the same for half a minute.

The process that hands out the tests starts this file as a process of its own; the workers go on with tests that need no photo, and
wait at the first one that does. Nothing but time depends on it: a loop that is not kept by then is compiled where it is called.
"""

import os
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

SOURCE = Path(__file__).resolve().parent.parent / "src" / "fairtank"
MARK = "FAIRTANK_LOOPS_KEPT"
LONGEST_S = 300.0


def loops_are_kept() -> bool:
    """Whether every file with compiled loops has machine code beside it that is newer than the file."""
    for file in sorted((SOURCE / "vision").rglob("*.py")):
        if "\n@compiled\n" in file.read_text(encoding="utf-8"):
            kept = (file.parent / "__pycache__").glob(f"{file.stem}.*.nbi")
            if not any(one.stat().st_mtime >= file.stat().st_mtime for one in kept):
                return False
    return True


def start() -> subprocess.Popen[bytes] | None:
    """Begin to compile beside the tests; None when there is nothing to compile."""
    if loops_are_kept():
        return None
    mark = Path(tempfile.mkdtemp(prefix="fairtank-loops-")) / "kept"
    os.environ[MARK] = str(mark)
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    return subprocess.Popen([sys.executable, "-m", "tests.compiling", str(mark)], cwd=SOURCE.parent.parent, **quiet)  # type: ignore[call-overload,no-any-return]


def wait() -> None:
    """Until the loops are kept, or the process that compiles them gave up."""
    mark = Path(os.environ.get(MARK, ""))
    until = time.monotonic() + LONGEST_S
    while os.environ.get(MARK) and not mark.exists() and time.monotonic() < until:
        time.sleep(0.1)
    os.environ.pop(MARK, None)


def end(process: subprocess.Popen[bytes]) -> None:
    """Stop it when the tests are over, and clear away what it left."""
    process.kill()
    process.wait()
    mark = Path(os.environ.pop(MARK))
    with suppress(OSError):
        mark.unlink(missing_ok=True)
        mark.parent.rmdir()


def compile_all() -> None:
    """Measure a small made-up trial, registered, zoned and audited, so that the loops that measuring calls are compiled and kept."""
    from tests.records.photo_trials import Shape, photo_trial, read

    from fairtank.records.services.measuring import folder_measure
    from fairtank.records.store import Store
    from fairtank.trial import MeasureChoice

    with tempfile.TemporaryDirectory() as place:
        folder = read(photo_trial(Path(place) / "trial", Shape(days=(0, 7), painted=(("T1", 7),), zones=True, audited=30)))
        more = tuple(MeasureChoice(key) for key in ("canopy_height", "algae_spots", "water_tint", "haze"))
        folder = replace(folder, plan=replace(folder.plan, measures=folder.plan.measures + more))
        folder_measure(folder=folder, store=Store(Path(place) / "store"), workers=1)


if __name__ == "__main__":
    try:
        compile_all()
    finally:
        Path(sys.argv[1]).touch()
