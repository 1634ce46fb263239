"""The picture of `bench_uniformity.py`: false alarms between plots of which none was treated, by how the arms were laid out.

    python benchmarks/uniformity_chart.py

Writes docs/images/uniformity.svg and its narrow form from the last recorded line, and prints the table of docs/methods/draw.md.
"""

import json
from pathlib import Path
from typing import Any

from honest_rates import Share

from fairtank.publish.arms import BLUE, GREEN, VERMILLION
from fairtank.publish.charts import FONT, INK, NARROW_PX, WIDE_PX, Spec, framed, is_narrow, svg_of

ROOT = Path(__file__).resolve().parent.parent
LOOKS = {"clumped": (VERMILLION, "square"), "drawn": (GREEN, "triangle-up"), "drawn in blocks": (BLUE, "circle")}
PROMISED_PCT, FARTHEST_PCT = 5, 40


def rows_of(recorded: dict[str, Any]) -> list[dict[str, Any]]:
    """One row for each table and way."""
    rows = []
    for kind, counts in recorded["claims"].items():
        for way, count in counts.items():
            share = Share(count, recorded["reps"])
            low, high = share.limits
            rows.append({"table": kind, "way": way, "pct": 100 * share.share, "low": 100 * low, "high": 100 * high, "words": share.words})
    return rows


def spec(rows: list[dict[str, Any]], *, width_px: int) -> Spec:
    """The chart as a Vega-Lite description."""
    ways = list(LOOKS)
    y = {"field": "table", "type": "nominal", "sort": None, "axis": {"title": None, "grid": False, "ticks": False, "domain": False}}
    offset = {"field": "way", "type": "nominal", "sort": ways}
    x = {"field": "pct", "type": "quantitative", "scale": {"domain": [0, FARTHEST_PCT]},
         "axis": {"title": "of the comparisons claim a difference [%]", "tickCount": 8}}
    legend = {"title": None, "orient": "top", "direction": "vertical" if is_narrow(width_px) else "horizontal", "symbolSize": 70}
    colour = {"field": "way", "type": "nominal", "sort": ways, "legend": legend,
              "scale": {"domain": ways, "range": [LOOKS[way][0] for way in ways]}}
    shape = {"field": "way", "type": "nominal", "sort": ways, "legend": legend,
             "scale": {"domain": ways, "range": [LOOKS[way][1] for way in ways]}}
    layers: list[Spec] = [
        {"data": {"values": [{"pct": PROMISED_PCT}]}, "mark": {"type": "rule", "strokeDash": [4, 3], "strokeWidth": 1.5, "color": INK},
         "encoding": {"x": x}},
        {"data": {"values": rows}, "mark": {"type": "rule", "strokeWidth": 2},
         "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, "y": y, "yOffset": offset, "color": colour}},
        {"data": {"values": rows}, "mark": {"type": "point", "filled": True, "size": 70, "opacity": 1},
         "encoding": {"x": x, "y": y, "yOffset": offset, "color": colour, "shape": shape}},
    ]
    told = "; ".join(f"{row['table']}, {row['way']} {row['pct']:.1f} %" for row in rows)
    made = framed(layers, width_px=width_px, height_px=230, title="No plot was treated: how often a difference is claimed",
                  description=f"False alarms by table and layout, in % of comparisons; promised are at most {PROMISED_PCT} %. {told}.")
    return {**made, "background": "#ffffff"}


def main() -> None:
    """Write both forms and print the table."""
    recorded = json.loads((ROOT / "benchmarks" / "results" / "uniformity.jsonl").read_text(encoding="utf-8").splitlines()[-1])
    rows = rows_of(recorded)
    for name, width_px in (("uniformity", WIDE_PX), ("uniformity-narrow", NARROW_PX)):
        svg = svg_of(spec(rows, width_px=width_px), key=name).replace(f'font-family="{FONT}"', f'font-family="{FONT}, sans-serif"')
        (ROOT / "docs" / "images" / f"{name}.svg").write_text(svg + "\n", encoding="utf-8")
    print(f"| table | {' | '.join(LOOKS)} |\n| --- | {' | '.join('---' for _ in LOOKS)} |")
    for kind in recorded["claims"]:
        print(f"| {kind} | {' | '.join(row['words'] for row in rows if row['table'] == kind)} |")


if __name__ == "__main__":
    main()
