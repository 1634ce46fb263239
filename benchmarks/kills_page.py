"""Write the figures of all recorded runs of bench_kills.py into docs/why/what-survives-a-kill.md.

    python benchmarks/kills_page.py
"""

import json
from pathlib import Path
from typing import Any

from recording import RESULTS

PAGE = Path(__file__).parent.parent / "docs" / "why" / "what-survives-a-kill.md"
BEGIN, END = "<!-- figures from benchmarks/bench_kills.py; benchmarks/kills_page.py writes them anew -->", "<!-- end of figures -->"
WORK = {"upload": "photos sent to a round", "measure": "photos measured", "import": "a packed trial taken in", "backup": "a backup written"}
VICTIMS = {"server": "the pages", "worker": "the worker", "both": "everything"}
COUNTED = ("kills", "before_the_end", "begun_again", "acknowledged", "lost", "doubled", "hanging", "findings", "outlived", "left_behind")


def figures(rows: list[dict[str, Any]]) -> str:
    """A line for each kind of work and victim, and one for each kind of work."""
    lines = ["| work | killed | kills | before it was over | begun again | answered as done or handed in | lost | doubled | never ended "
             "| faults told by the check | processes that outlived | half files |", f"|---|---|{'--:|' * len(COUNTED)}"]
    for work, called in WORK.items():
        own = [row for row in rows if row["work"] == work]
        for victim, name in VICTIMS.items():
            lines.append(_line(called, name, [row for row in own if row["victim"] == victim]))
        lines.append(_line(f"**{called}**", "in all", own))
    longest_s, loads = max(row["longest_settle_s"] for row in rows), [row["load_1min"] for row in rows]
    lines += ["", f"Longest wait until everything was done again: {longest_s:.0f} s, on a machine with two cores and {min(loads):.0f} to "
              f"{max(loads):.0f} programs that wanted them."]
    return "\n".join(lines)


def _line(called: str, name: str, rows: list[dict[str, Any]]) -> str:
    return f"| {called} | {name} | {' | '.join(str(sum(row[one] for row in rows)) for one in COUNTED)} |"


def main() -> None:
    """Replace what stands between the two marks."""
    rows = [json.loads(line) for line in (RESULTS / "kills.jsonl").read_text(encoding="utf-8").splitlines()]
    head, rest = PAGE.read_text(encoding="utf-8").split(BEGIN)
    tail = rest.split(END)[1]
    PAGE.write_text(f"{head}{BEGIN}\n\n{figures(rows)}\n\n{END}{tail}", encoding="utf-8")


if __name__ == "__main__":
    main()
