"""One JSON line per run of a benchmark: what was found, at which commit, on which machine, and how busy it was."""

import json
import os
import platform
import subprocess
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

RESULTS = Path(__file__).parent / "results"


def circumstances() -> dict[str, Any]:
    """When, at which commit, on which machine, and its load just before the run."""
    said = subprocess.run(["git", "describe", "--always", "--dirty"], capture_output=True, text=True, check=False, cwd=RESULTS.parent)
    return {
        "at": datetime.now(UTC).strftime("%Y-%m-%dT%H:%MZ"), "commit": said.stdout.strip(), "machine": platform.machine(),
        "cores": os.cpu_count(), "python": platform.python_version(), "load_1min": round(os.getloadavg()[0], 2),
    }  # fmt: skip


def rounded(value: Any) -> Any:
    """The same with every float at four significant digits."""
    if isinstance(value, float):
        return float(f"{value:.4g}")
    if isinstance(value, dict):
        return {key: rounded(part) for key, part in value.items()}
    return [rounded(part) for part in value] if isinstance(value, list | tuple) else value


def told(name: str, before: dict[str, Any], row: dict[str, Any], *, record: bool) -> None:
    """Print the run's JSON line; with `record` also add it to results/NAME.jsonl."""
    line = json.dumps({"bench": name, **before, **rounded(row)})
    print(line)
    if record:
        RESULTS.mkdir(exist_ok=True)
        with (RESULTS / f"{name}.jsonl").open("a", encoding="utf-8") as file:
            file.write(line + "\n")
