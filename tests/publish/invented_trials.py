"""Invented trials for the tests of this room: seeded, small, and marked as invented in their own text."""

import math
from datetime import date, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import numpy as np
from scipy import stats

from fairtank.finding import Finding, Natural, UnitSummary
from fairtank.publish.content import ReportContent, ReportFiles, UnitPictures
from fairtank.publish.report import write_report
from fairtank.trial import Arm, BuildLine, Event, MeasureChoice, Photo, PhotoQuality, Plan, Reading, Series, TrialFolder, Unit

START = date(2026, 3, 1)
FORWARD = {"logit": lambda value: math.log(value / (100 - value)), "log": math.log, "identity": float}
BACK = {"logit": lambda z: 100 / (1 + math.exp(-z)), "log": math.exp, "identity": float}


def finding(**given) -> Finding:
    """A finding whose fields are those of a quiet, open, six-tank trial unless they are given."""
    fields = {
        "measure": "algae_cover", "title": "Algae cover", "role": "primary", "summary": "mean", "scale": "logit", "window": (0, 37),
        "estimate": -0.41, "low": -0.9, "high": 0.08, "level": 0.95, "df": 3.1, "p_value": 0.08, "shuffle_p": 0.2, "arrangements": 20,
        "grade": "open", "tags": (), "basis": "own tanks", "margin": 0.5, "n_reference": 3, "n_changed": 3, "tipping_spread": None,
        "units": (), "natural": Natural(12.0, 8.3, 5.2, 12.9, "%"), "cautions": (), "reference_label": "8 h block",
        "changed_label": "dark break", "unit_of_measure": "%",
    }
    return Finding(**{**fields, **given})


def judged(plan: Plan, series: list[Series], choice: MeasureChoice, title: str, unit: str, **given) -> Finding:
    """A finding by Welch's interval on the units' plain means: enough for a report to be tried on."""
    scale = choice.scale or "identity"
    groups: dict[str, list[float]] = {"reference": [], "changed": []}
    units = []
    for one in series:
        z = float(np.mean([FORWARD[scale](value) for value in one.values]))
        arm = plan.arm_of(one.unit)
        groups[arm.role].append(z)
        units.append(UnitSummary(one.unit, arm.key, z, len(one.values), None, z, 0))
    means = {role: float(np.mean(values)) for role, values in groups.items()}
    estimate, low, high, df, p_value = means["changed"] - means["reference"], None, None, None, None
    if min(len(values) for values in groups.values()) > 1:
        result = stats.ttest_ind(groups["changed"], groups["reference"], equal_var=False)
        bounds = result.confidence_interval()
        low, high, df, p_value = float(bounds.low), float(bounds.high), float(result.df), float(result.pvalue)
    back = BACK[scale]
    natural = Natural(back(means["reference"]), back(means["reference"] + estimate), None if low is None
                      else back(means["reference"] + low),
                      None if high is None else back(means["reference"] + high), unit)
    fields = {"measure": choice.key, "title": title, "role": choice.role, "summary": choice.summary, "scale": scale,
              "window": (0, plan.days),
              "estimate": estimate, "low": low, "high": high, "df": df, "p_value": p_value, "shuffle_p": None, "arrangements": 20,
              "margin": choice.margin, "n_reference": len(groups["reference"]), "n_changed": len(groups["changed"]), "units": tuple(units),
              "natural": natural, "reference_label": plan.arm_with("reference").label, "changed_label": plan.arm_with("changed").label,
              "unit_of_measure": unit}
    return finding(**{**fields, **given})


def dark_break(*, with_photos: bool = True, title: str = "A dark break at midday") -> ReportContent:
    """Six tanks, 38 days, three measures, a few events and unusable photos: the report at its fullest."""
    rng = np.random.default_rng(11)
    arms = (Arm("R", "reference", "8 h block"), Arm("D", "changed", "dark break"))
    units = tuple(Unit(f"T{i}", "RDDRRD"[i - 1], f"T{i}", block=f"shelf {1 + (i - 1) // 2}", position=str(i)) for i in range(1, 7))
    choices = (MeasureChoice("algae_cover", "primary", "mean", "logit", 0.5), MeasureChoice("plant_cover", "secondary", "mean", "logit"),
               MeasureChoice("canopy_height", "secondary", "mean", "log"))
    plan = Plan(title, START, 37, "side_by_side", arms, units, choices,
                question="Does a dark break at midday leave less algae on the glass and the plants?",
                change="Two times four hours of light with a dark break of three hours, instead of eight hours in one block.",
                reference="Eight hours of light in one block.", rationale="", keeper="Mira Olm (invented)", place="Talbach (invented)",
                disclosure="", drawn=True, seed=7, expect="less")
    series = []
    for index, unit in enumerate(units):
        level = rng.normal(0, 0.35)
        for choice in choices:
            days = [day for day in range(38) if not (unit.key == "T5" and 16 <= day <= 25) and rng.random() > 0.04]
            changed = plan.arm_of(unit.key).role == "changed"
            t = np.array(days) / 37
            noise = rng.normal(0, 0.12, len(days))
            if choice.key == "algae_cover":
                values = 100 / (1 + np.exp(-(-3.6 + 2.4 * t + level - 0.5 * changed * t + noise)))
            elif choice.key == "plant_cover":
                values = 100 / (1 + np.exp(-(-1.0 + 2.2 * t + 0.4 * level + noise / 2)))
            else:
                values = 9 * np.exp(0.7 * t + 0.1 * level + noise / 4)
            series.append(Series(unit.key, choice.key, tuple(days), tuple(float(value) for value in values)))
        assert index < 6
    by_measure = {choice.key: [one for one in series if one.measure == choice.key] for choice in choices}
    findings = (
        judged(plan, by_measure["algae_cover"], choices[0], "Algae cover", "%", tags=("fragile",), shuffle_p=0.2,
               sources=("matthews1990", "welch1947"),
               cautions=("The cover carries the measurer's unknown bias: no audit points were answered.",),
               alternatives=(("with the units kept in which photos are missing", "open"),
                             ("on the scale of values as they are", "differs"))),
        judged(plan, by_measure["plant_cover"], choices[1], "Plant cover", "%", holm_p=1.0),
        judged(plan, by_measure["canopy_height"], choices[2], "Canopy height", "cm", holm_p=0.84),
    )
    noon = datetime(2026, 3, 1, 12)
    events = (
        Event(("T5",), noon + timedelta(days=16), noon + timedelta(days=25), 16, 25, "camera",
              "The clamp had slipped, the photos show the wall.", "keep"),
        Event((), noon + timedelta(days=12), None, 12, 12, "water change", "Tap water 3 °C colder than usual.", "keep"),
        Event(("T2",), noon + timedelta(days=30), None, 30, 30, "glass wiped", "By mistake, left pane only.", "exclude_window"),
    )
    photos, qualities, pictures = (), (), ()
    if with_photos:
        photos = tuple(Photo(f"photos/{unit.key}-{day:02d}.jpg", unit.key, noon + timedelta(days=day), day) for unit in units
                       for day in range(38) if not (unit.key == "T5" and 17 <= day <= 24))
        bad = {("T1", 9), ("T5", 16), ("T5", 25), ("T3", 21)}
        qualities = tuple(
            PhotoQuality(photo.path, photo.unit, photo.day, "not usable" if (photo.unit, photo.day) in bad else "doubtful"
                         if photo.day == 12 else "usable",
                         ("The frame could not be found.",) if (photo.unit, photo.day) in bad else ("The photo is blurred.",)
                         if photo.day == 12 else (),
                         None, 0.4, 0.01, 45.0, 0.1, "frame 1") for photo in photos)
        pictures = tuple(pictures_of(unit.key, {photo.day: photo for photo in photos if photo.unit == unit.key},
                                     plan.arm_of(unit.key).role == "changed", rng) for unit in units)
    readings = tuple(Reading(unit.key, noon + timedelta(days=day), day, "nitrate", float(round(8 + rng.normal(0, 1.5), 1)), "mg/L",
                             "drop test")
                     for unit in units for day in (0, 7, 14, 21, 28, 35)) if with_photos else ()
    build = tuple(BuildLine(unit.key, "baked clay 2-3 mm", "substrate", 4.0, float(round(4 + rng.normal(0, 0.02), 2)), "kg")
                  for unit in units)
    folder = TrialFolder(Path("invented"), plan, "sha256:" + "ab" * 32, photos=photos, readings=readings, events=events, build=build,
                         unknown_columns=(("photos.csv", "mood"),))
    return ReportContent(folder, findings, tuple(series), qualities, "sha256:" + "cd" * 32, pictures)


def one_cover_glass() -> ReportContent:
    """Two tanks, one for each arm: must be `alone`."""
    arms = (Arm("R", "reference", "bare"), Arm("C", "changed", "one cover glass more"))
    plan = Plan("One cover glass more (invented)", START, 28, "side_by_side", arms, (Unit("left", "R"), Unit("right", "C")),
                (MeasureChoice("algae_cover", "primary", "mean", "logit", 0.5),),
                question="Does a cover glass change how much algae grows?",
                change="A cover glass.", reference="No cover glass.", rationale="The lamp is strong.", keeper="Mira Olm (invented)",
                disclosure="None.")
    rng = np.random.default_rng(5)
    series = [Series(key, "algae_cover", tuple(range(0, 29, 2)), tuple(float(value)
                                                                       for value in 5 + shift + np.arange(15) * 0.4 + rng.normal(0, 0.4,
                                                                           15)))
              for key, shift in (("left", 1.5), ("right", 0.0))]
    alone = judged(plan, series, plan.measures[0], "Algae cover", "%", grade="alone", basis="none", tipping_spread=0.086,
                   tags=("not by lot",), shuffle_p=None,
                   arrangements=2)
    folder = TrialFolder(Path("invented"), plan, "sha256:" + "12" * 32, series=tuple(series))
    return ReportContent(folder, (alone,), tuple(series), (), "sha256:" + "34" * 32)


def weights() -> ReportContent:
    """Series only, a measure of the keeper's own in grams, twelve tanks with two weighings each: no photo anywhere."""
    arms = (Arm("S", "reference", "sand"), Arm("C", "changed", "baked clay"))
    units = tuple(Unit(f"K{i:02d}", "SC"[i % 2]) for i in range(1, 13))
    choice = MeasureChoice("weight", "primary", "mean", "identity", 5.0, title="Weight of the plants", unit_of_measure="g")
    plan = Plan("Sand against baked clay (invented)", START, 60, "side_by_side", arms, units, (choice,),
                question="Which bed grows more plant?",
                change="Baked clay as bed.", reference="Sand as bed.", drawn=True, seed=3)
    rng = np.random.default_rng(8)
    series = [Series(unit.key, "weight", (56, 60), tuple(float(value) for value in rng.normal(20 + 6 * (unit.arm == "C"), 2.5, 2)),
                     ready_made=True)
              for unit in units]
    folder = TrialFolder(Path("invented"), plan, "sha256:" + "56" * 32, series=tuple(series))
    return ReportContent(folder, (judged(plan, series, choice, "Weight of the plants", "g", grade="differs", arrangements=924,
                                         shuffle_p=0.004),),
                         tuple(series), (), "sha256:" + "78" * 32)


def pictures_of(unit: str, photos: dict[int, Photo], changed: bool, rng: np.random.Generator) -> UnitPictures:
    """Painted stand-ins for rectified photos of a tank that grows in."""
    days = sorted(photos)
    stems = rng.uniform(0.05, 0.95, 26)
    paint = {day: painted(stems, day / 37, 0.5 + 0.5 * (not changed), width=150, seed=day) for day in days}
    first, last = (painted(stems, day / 37, 0.5 + 0.5 * (not changed), width=900, seed=day) for day in (days[0], days[-1]))
    return UnitPictures(unit, first, days[0], last, days[-1], tuple(paint.items()))


def painted(stems: np.ndarray, growth: float, algae: float, *, width: int, seed: int) -> bytes:
    """A painted tank as JPEG bytes: water, bed, stems, spots."""
    return _painted(tuple(stems.tolist()), growth, algae, width, seed)


@lru_cache(maxsize=2048)
def _painted(stems: tuple[float, ...], growth: float, algae: float, width: int, seed: int) -> bytes:
    """Painted once for all tests that ask for the same trial."""
    import io

    from PIL import Image, ImageDraw

    rng = np.random.default_rng(seed)
    height = width * 9 // 16
    picture = Image.new("RGB", (width, height), (198, 214, 222))
    draw = ImageDraw.Draw(picture)
    for y in range(height):
        draw.line([(0, y), (width, y)], fill=(206 - 40 * y // height, 222 - 30 * y // height, 230 - 22 * y // height))
    draw.rectangle([0, int(height * 0.82), width, height], fill=(88, 74, 62))
    for index, stem in enumerate(stems):
        tall = (0.12 + 0.5 * growth * (0.7 + 0.3 * math.sin(index))) * height
        x, foot = stem * width, height * 0.83
        for step in range(8):
            y = foot - tall * step / 8
            leaf = width * 0.018
            draw.ellipse([x - leaf, y - leaf * 0.7, x + leaf, y + leaf * 0.7], fill=(50 + 12 * (index % 4), 110 + 10 * (index % 5), 58))
    for _ in range(int(60 * growth * algae)):
        x, y, size = rng.uniform(0, width), rng.uniform(0, height * 0.8), width * rng.uniform(0.003, 0.01)
        draw.ellipse([x - size, y - size, x + size, y + size], fill=(96, 120, 60))
    held = io.BytesIO()
    picture.save(held, "JPEG", quality=80)
    return held.getvalue()


_REPORT: list[tuple[ReportContent, ReportFiles]] = []


def dark_break_report(places) -> tuple[ReportContent, ReportFiles]:
    """The fullest trial and its report, written once for all tests that ask about it; places: pytest's `tmp_path_factory`."""
    if not _REPORT:
        content = dark_break()
        _REPORT.append((content, write_report(content, places.mktemp("report"))))
    return _REPORT[0]
