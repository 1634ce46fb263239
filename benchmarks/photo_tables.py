"""The tables of the page on photographs, each from one recorded line; a line or a number that is not there is told as such."""

import ast
from pathlib import Path
from typing import Any

from honest_page import table

MISSING = "not recorded yet"
Run = dict[str, Any] | None
HERE = Path(__file__).resolve().parent


def limits_of(script: str, name: str) -> dict[str, Any]:
    """A table of limits that a benchmark holds, read without running it."""
    for node in ast.parse((HERE / script).read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name) and node.targets[0].id == name:
            held: dict[str, Any] = ast.literal_eval(node.value)
            return held
    raise ValueError(f"{script} holds no {name}")


def told(run: dict[str, Any], key: str, digits: int, unit: str = "") -> str:
    """A number of a line with its unit, or that it is missing."""
    return f"{run[key]:.{digits}f}{unit}" if run.get(key) is not None else MISSING


def met(value: float, limit: float, *, at_least: bool = False) -> str:
    """Whether a target was met, in a word."""
    return "yes" if (value >= limit if at_least else value <= limit) else "**no**"


_MEASURES = {"plant_cover": ("plant cover", "points"), "algae_cover": ("algae cover", "points"), "carpet_cover": ("carpet cover", "points"),
             "canopy_height": ("canopy height", "cm"), "water_tint": ("water tint", ""), "haze": ("haze", "points")}  # fmt: skip


def measures_table(run: Run) -> str:
    """Error of each measure on renders beside its target and beside always answering the median; spots apart."""
    if run is None:
        return f"{MISSING}.\n"
    targets = limits_of("bench_measures.py", "TARGETS")
    rows = []
    for key, (word, unit) in _MEASURES.items():
        row, aims = run["errors"].get(key), targets.get(key, {})
        if row is None:
            continue
        aim = ", ".join(f"{'nine in ten' if name == 'p90' else name} {limit:g}" for name, limit in aims.items()) or "none was set"
        reached = met(max(row[name] / limit for name, limit in aims.items()), 1) if aims else "–"
        rows.append((f"{word}{f' ({unit})' if unit else ''}", str(row["photos"]), aim, f"**{row['mean']:.2f}**", f"{row['bias']:+.2f}",
                     f"{row['p90']:.2f}", f"{row['worst']:.2f}", f"{row['constant']:.1f}", reached))
    head = ("measure", "photos", "aim", "mean error", "bias", "nine in ten within", "worst", "always the median", "met")
    text = ("Rendered photos of six tanks that nobody painted strokes on; the truth is known and comes from code that the measurer does "
            "not share. "
            f"{run['usable']} of {run['photos']} photos were usable.\n\n{table(head, rows)}")
    spots = run["errors"].get("spots")
    if spots is not None:
        aims = targets["spots"]
        text += (f"\nSpots on the glass: of {spots['true']} that two photos of successive days both show, {100 * spots['recall']:.0f} % "
                 f"were "
                 f"confirmed (aim {100 * aims['recall']:.0f} %); {100 * spots['precision']:.0f} % of the {spots['kept']} confirmed dots "
                 f"are "
                 f"spots (aim {100 * aims['precision']:.0f} %). Their density was off by {spots['density_mean']:.2f} per 100 cm² on "
                 f"average "
                 f"(worst {spots['density_worst']:.2f}; true mean {spots['density_true_mean']:.1f}).\n")
    return text


def framing_table(run: Run) -> str:
    """How far the worst corner was off."""
    if run is None:
        return f"{MISSING}.\n"
    limits = run["limits"]
    words = {"blocks, as taken": "fairtank, camera as it was", "blocks, moved": "fairtank, camera moved",
             "features, as taken": "image features first, camera as it was", "features, moved": "image features first, camera moved"}
    rows = [(words.get(key, key), str(row["photos"]), f"{row['median_px']:.2f}", f"{row['p90_px']:.2f}", f"{row['worst_px']:.2f}",
             f"{row['ms']:.0f} ({row['decode_ms']:.0f})") for key, row in run["placing"].items()]
    head = ("way", "photos", "median", "nine in ten within", "worst", "ms (decoding alone)")
    return (f"Error of the worst of the four corners, in px of a photo 2016 px wide; aim: worst {limits['worst_px']:g}, median "
            f"{limits['median_px']:g}. Plants had grown for up to 37 days; \"moved\" is a shift of up to 45 px, a turn, and 4 % nearer "
            f"or farther.\n\n"
            f"{table(head, rows)}")


def bad_framing_table(run: Run) -> str:
    """What becomes of bad photos; nothing where the line is missing."""
    if run is None:
        return ""
    rows = []
    for name, row in run["bad"].items():
        sure = "–" if not row["found"] else "refused" if row.get("checked") is False else "yes" if row["sure"] else "no"
        rows.append((name, "yes" if row["found"] else "no", f"{row['error_px']:.2f}" if row["found"] else "–", sure, f"{row['ms']:.0f}"))
    return (f"{table(('one bad photo each', 'frame found', 'worst corner [px]', 'called sure', 'ms'), rows)}\n"
            "Another tank at the same place has a frame too. That it is the wrong tank is told by its card and by what stands in it.\n")


_WAYS = {
    "nothing": "no correction", "plain gain": "one gain per channel, from the card's greys", "grey-world": "grey-world",
    "card": "fairtank's card", "grey-world of the photo": "grey-world, whole photo", "grey-world of the tank": "grey-world, tank only",
}  # fmt: skip


def colour_table(run: Run) -> str:
    """The same photo through another phone, brought back."""
    if run is None:
        return f"{MISSING}.\n"
    rows = []
    for change in ("gains", "gains and curve"):
        for way, row in run[change].items():
            if way != "residual":
                rows.append(("light and white" if change == "gains" else "and tone curve, saturation", _WAYS.get(way, way),
                             f"{row['delta_e']:.2f}", f"{row['lightness']:.2f}", f"{row['redness']:.2f}", f"{row['yellowness']:.2f}",
                             f"{row['worst_lightness']:.1f}"))
    head = ("what another phone changed", "way", "median CIEDE2000", "mean shift L*", "a*", "b*", "worst L*")
    return (f"The same rendered photo as another phone would store it ({run['cases']} cases), corrected and held against the original:"
            f"\n\n{table(head, rows)}")


def gains_table(run: Run) -> str:
    """Photos of other days with known gains; nothing where the line is missing."""
    if run is None:
        return ""
    rows = [(_WAYS.get(way, way), f"{row['mean']:.1f}", f"{row['worst']:.1f}") for way, row in run["gain_error_pct"].items()]
    ours = run["gain_error_pct"]["card"]["mean"]
    limit = run["limits"]["gain_error_pct"]
    return ("On the very same picture grey-world looks good. On photos of later days, when plants have grown, it takes growth for "
            "light, which is why fairtank never uses it. "
            f"Error of the gains that each way finds, in % (aim for the card: mean {limit:g}; met: {met(ours, limit)}):\n\n"
            f"{table(('way', 'mean', 'worst'), rows)}")


_HARD_CASES = ", also where plants grew for weeks, were cut, or algae took half the glass from one photo to the next."


def quality_table(run: Run) -> str:
    """How often each mishap is told, named and left out; false alarms first."""
    if run is None:
        return f"{MISSING}.\n"
    good = [row for name, row in run["table"].items() if name.startswith("good")]
    photos, alarms = sum(row["photos"] for row in good), sum(round(row["photos"] * row["told"]) for row in good)
    rows = []
    for name, row in run["table"].items():
        if not name.startswith("good"):
            count = row["photos"]
            rows.append((name, *(f"{round(count * row[key])} of {count}" for key in ("told", "named", "not_usable"))))
    return (f"Mishaps done to rendered photos, and good photos in between. **False alarms: {alarms} of "
            f"{photos} good photos**{_HARD_CASES if len(good) > 1 else '.'} "
            "\"Told\": the photo is not called usable. \"Named right\": the verdict is the one for this mishap. \"Left out\": it gives "
            "no number. "
            "Where no row says otherwise a photo card stands beside the tank; it brings exposure back, so that half the light is no "
            "fault.\n\n"
            f"{table(('mishap and its strength', 'told', 'named right', 'left out'), rows)}")


def audit_table(run: Run) -> str:
    """Coverage of the audit's intervals, and how many points they ask for."""
    if run is None:
        return f"{MISSING}.\n"
    rows = [(f"{100 * row['cover']:.0f} %", row["map"], str(row["asked"]["points"]), f"±{row['asked']['half_width_points']:.1f}",
             str(row["formula"])) for row in run["asked"]]
    return (f"{run['cells']} kinds of simulated audit, {run['trials']} times each. The 95 % interval of an arm's error held the truth "
            f"in {100 * run['mean_arm']:.1f} % on average, "
            f"{100 * run['lowest_arm']:.1f} % at the lowest; that of the difference between arms in "
            f"{100 * run['lowest_difference']:.1f} % at the lowest. "
            f"{run['below_94_pct']} of the kinds lay below 94 % (few points, poor map).\n\nPoints per arm that the program asks for to "
            f"know an arm's error to ±2 points, what "
            "they reach, and what the usual formula would have asked for:\n\n"
            f"{table(('true cover', 'map', 'points asked', 'reached', 'usual formula'), rows)}")


def alike_table(run: Run) -> str:
    """Two cameras on one tank: differences that are none."""
    text = ("One tank, photographed by two cameras that differ in exposure, white, place and zoom, as if it were two arms: whatever "
            "differs was made by photographing and measuring.")
    if run is None:
        return f"{text}\n\n{MISSING}.\n"
    rows = []
    for key, row in run["measures"].items():
        drift = f"{row['slope_per_week']:+.3f} ± {1.96 * row['slope_se']:.3f}"
        rows.append((key.replace("_", " "), str(row["seeds"]), f"{row['typical']:.1f}", f"{row['difference']:+.2f}",
                     f"{row['difference_sd']:.2f}", f"{row['difference_worst']:.2f}", drift, f"{100 * row['called_by_days']:.0f} %"))
    head = ("measure", "tanks", "typical value", "mean difference", "its standard deviation", "worst", "drift of the difference per week",
            "called by days")
    return (f"{text}\n\n{table(head, rows)}\n\"Called by days\": how often a t-test that takes days for tanks would have seen a "
            f"difference. fairtank "
            "never judges so; it is the strictest question to the photographs alone.\n")


def speed_table(run: Run) -> str:
    """CPU time and memory beside the limits."""
    if run is None:
        return f"{MISSING}.\n"
    limits = limits_of("bench_photo.py", "LIMITS")
    times = " times"
    rows = [
        ("decoding the file alone", told(run, "decode_ms", 0, " ms"), "–"),
        ("the whole chain with all measures", told(run, "chain_ms", 0, " ms"), "–"),
        ("the same, against decoding", told(run, "chain_per_decode", 2, times), f"at most {limits['chain_per_decode']:g}"),
        ("again with other strokes, from what was kept", told(run, "again_ms", 0, " ms"), f"at most {limits['again_ms']:g} ms"),
        ("24 megapixels against 12", told(run, "large_per_chain", 2, times), f"at most {limits['large_per_chain']:g}"),
        ("memory of a worker", told(run, "worker_mb", 0, " MB"), f"at most {limits['worker_mb']:g} MB"),
        ("two workers against one", told(run, "two_workers", 2, times), f"at least {limits['two_workers']:g} on free cores"),
        ("(plain counting at that moment)", told(run, "two_workers_counting", 2, times), "–"),
        ("kept of each photo on disk", told(run, "kept_kb", 0, " kB"), "–"),
    ]
    more = ""
    if "baselines" in run:
        ways = run["baselines"]
        more = (f"\nPlain ways on the same photos: fixed limits of hue {ways['hsv']['ms']:.0f} ms, excess green "
                f"{ways['excess_green']['ms']:.0f} ms. They know no algae; all that "
                f"grows was off by {ways['hsv']['living_error']:.1f} and {ways['excess_green']['living_error']:.1f} points, by fairtank "
                f"{ways['fairtank']['living_error']:.1f}.\n")
    return (f"One photo of 12 megapixels ({run['photo']}), CPU time of one core; each photo is decoded alone right before."
            f"\n\n{table(('what', 'found', 'limit'), rows)}{more}")


_STEPS = {
    "load": "open and decode", "placed": "find the frame", "placing": "find the frame", "correction_of": "card and colour",
    "rectified_in_colour": "straighten, in the trial's colours", "rectify": "straighten", "look_of": "look for blur, glare and the like",
    "quality": "judge quality", "with_look": "compare with the reference", "spot_candidates": "look for dots", "classified": "classes",
    "classify": "classes", "jpeg": "small picture", "thumbnail": "small picture", "spot_note": "dots in open water",
    "verdicts_of": "verdicts", "as_kept": "pack for keeping", "measures": "all measures", "_measured": "all measures",
}  # fmt: skip


def steps_table(run: Run) -> str:
    """Where the time goes; nothing where the line is missing."""
    if run is None:
        return ""
    steps = sorted(run["steps_ms"].items(), key=lambda item: -item[1])
    rows = [(_STEPS.get(step, step.replace("_", " ")), f"{took:.1f}") for step, took in steps if took >= 0.05]
    return table(("step", "ms"), rows)


def many_words(run: Run) -> str:
    """Photos killed in the middle and resumed."""
    if run is None:
        return f"{MISSING}.\n"
    lost, doubled = run["photos"] - run["different"], run["rows"] - run["different"]
    (parent_early, parent_late), (worker_early, worker_late) = run["parent_mb"], run["worker_mb"]
    return (f"{run['photos']} photos of {run['size'][0]} × {run['size'][1]} px, {run['workers']} workers. The run was killed with "
            f"{run['killed_with']} results kept, and started again with "
            f"{run['resumed_with']}: **{lost} lost, {doubled} doubled**, {run['drafts_left']} half-written files and "
            f"{run['workers_left']} processes left behind. Memory early and late in "
            f"the run: {parent_early:.0f} and {parent_late:.0f} MB (program), {worker_early:.0f} and {worker_late:.0f} MB (a worker). "
            f"{run['photos_per_s']:.1f} photos a second beside other "
            f"work; {run['kb_per_photo']:.0f} kB a photo on disk; a run with nothing left to measure took {run['rerun_s']:.0f} s.\n")


def fuzz_words(run: Run) -> str:
    """Spoilt files, counted."""
    if run is None:
        return f"{MISSING}.\n"
    return (f"{run['cases']} spoilt files of {len(run['formats'])} kinds (cut off, bytes flipped, sizes and profiles made nonsense): "
            f"{run['px']} gave a picture, {run['sentence']} a sentence that "
            f"says what is wrong. Answered otherwise: {run['other']}; crashed: {run['died']}; hung: {run['hung']}; above the time "
            f"limit: {run['slow']}. The slowest took "
            f"{run['slowest_s']:.1f} s, the most memory in use was {run['peak_mb']:.0f} MB (limit {run['memory_limit_mb']}).\n")
