"""How long a report takes: a whole cold process of `fairtank report`, and the report alone of what was read and judged already.

    python benchmarks/bench_report.py [--folder FOLDER] [--repeats 3] [--record]

The made-up folder is that of bench_judge.py: 6 tanks, 60 days, 8 measures as ready-made values, so that nothing is measured. FOLDER,
when given, is a trial folder whose photos have been measured before (`fairtank demo --folder D` leaves D/midday); it is read and
never written to. `command` is the wall time from the start of the process until report.html, and report.pdf, lie there; `alone` the
same from the moment on which the findings are known, in a process that has imported what judging needs and drawn no chart. Processes
find the modules compiled, as after an installation: in a folder of this run, whatever the environment says about writing them.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from bench_judge import made_up_folder
from recording import circumstances, told

LIMITS_S = {"html_s": 2.0, "pdf_s": 4.0}
COMPILED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
FILES = {"html_s": "report.html", "one_page_html_s": "one-page.html", "pdf_s": "report.pdf", "one_page_pdf_s": "one-page.pdf"}


def command_run(folder: Path) -> dict[str, float]:
    """Seconds until each file of the report lies there, by the clock of the files, in a process of its own."""
    with tempfile.TemporaryDirectory() as out:
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.time()
        subprocess.run([sys.executable, "-m", "fairtank.cli", "report", str(folder), "--out", out], check=True, capture_output=True,
                       env=COMPILED)
        end, after = time.time(), resource.getrusage(resource.RUSAGE_CHILDREN)
        found = {name: (Path(out) / file).stat().st_mtime - start for name, file in FILES.items()}
    spent = sum(getattr(after, name) - getattr(before, name) for name in ("ru_utime", "ru_stime"))
    return {**found, "whole_s": end - start, "cpu_s": spent}


def alone_run(folder: Path) -> dict[str, float]:
    """The same, from the moment on which the findings are known."""
    found = subprocess.run([sys.executable, __file__, "--alone", str(folder)], check=True, stdout=subprocess.PIPE, text=True,
                           env=COMPILED)
    row: dict[str, float] = json.loads(found.stdout.splitlines()[-1])
    return row


def _alone(folder: Path) -> None:
    from fairtank.records.services.trials import judged_report, trial_judge

    judged = trial_judge(root=folder)
    with tempfile.TemporaryDirectory() as name:
        out, start, cpu = Path(name), time.time(), os.times()
        judged_report(judged=judged, out=out)
        spent = os.times()
        row = {name: (out / file).stat().st_mtime - start for name, file in FILES.items()}
        row["cpu_s"] = sum(after - before for before, after in zip(cpu[:4], spent[:4], strict=True))
    print(json.dumps(row))


def middle(rows: list[dict[str, float]]) -> dict[str, float]:
    """The median of each number."""
    return {name: float(np.median([row[name] for row in rows])) for name in rows[0]}


def main() -> None:
    """Print the times, and the run's JSON line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, help="a trial folder whose photos are measured already")
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/report.jsonl")
    parser.add_argument("--alone", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.alone:
        _alone(options.alone)
        return
    before, row = circumstances(), dict[str, Any]()
    with tempfile.TemporaryDirectory() as temporary:
        made_up, COMPILED["PYTHONPYCACHEPREFIX"] = Path(temporary) / "trial", str(Path(temporary) / "compiled")
        made_up_folder(made_up)
        for name, folder in (("made_up", made_up), *([("given", options.folder)] if options.folder else [])):
            command_run(folder)  # the first compiles, and does not count
            for way, run in (("command", command_run), ("alone", alone_run)):
                found = middle([run(folder) for _ in range(options.repeats)])
                row[f"{name}_{way}"] = found
                print(f"{name:8} {way:8} " + ", ".join(
                    f"{key} {value:.2f}" + (f" (limit {LIMITS_S[key]:g})" if key in LIMITS_S else "") for key, value in found.items()))
    told("report", before, row, record=options.record)


if __name__ == "__main__":
    main()
