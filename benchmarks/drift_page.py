"""Write the figures of the last recorded run of bench_drift.py into docs/methods/drift.md.

    python benchmarks/drift_page.py
"""

import json
from pathlib import Path
from typing import Any

from recording import RESULTS

PAGE = Path(__file__).parent.parent / "docs" / "methods" / "drift.md"
BEGIN, END = "<!-- figures from benchmarks/bench_drift.py; benchmarks/drift_page.py writes them anew -->", "<!-- end of figures -->"


def figures(row: dict[str, Any]) -> str:
    """Two tables: trials called out where nothing drifts, and days until a drift is found."""
    lines = ["| 42 days, nothing drifts | trials | with an alarm | 95 % interval |", "|---|---|---|---|"]
    for name, found in row["false_alarms"].items():
        low, high = 100 * found["low"], 100 * found["high"]
        lines.append(f"| {name} | {found['trials']} | {100 * found['alarm']:.1f} % | {low:.1f} to {high:.1f} % |")
    lines += ["", "| one arm, from day 21 on | found by day 42 | days until half are found | until 80 of 100 |", "|---|---|---|---|"]
    for name, found in row["delays"].items():
        days = ["not by day 42" if found[key] is None else f"{found[key]:g}" for key in ("median_d", "by_80_d")]
        lines.append(f"| {name} | {100 * found['found']:.0f} % | {days[0]} | {days[1]} |")
    return "\n".join(lines)


def main() -> None:
    """Replace what stands between the two marks."""
    row = json.loads((RESULTS / "drift.jsonl").read_text(encoding="utf-8").splitlines()[-1])
    head, rest = PAGE.read_text(encoding="utf-8").split(BEGIN)
    tail = rest.split(END)[1]
    PAGE.write_text(f"{head}{BEGIN}\n\n{figures(row)}\n\n{END}{tail}", encoding="utf-8")


if __name__ == "__main__":
    main()
