"""Photos that people scored or compared, and water tests: a folder taken all the way, without frames or strokes."""

import json
from datetime import datetime, timedelta

import numpy as np
import pytest
from tests.records.conftest import picture_bytes

from fairtank.errors import FolderError
from fairtank.records.services.trials import trial_judge, trial_run

START = datetime(2026, 3, 1, 18)
UNITS = ("R1", "R2", "R3", "C1", "C2", "C3")
DAYS = range(0, 29, 4)
PLAN = """[trial]
title = "By eye"
[design]
kind = "side_by_side"
start = 2026-03-01
days = 28
drawn = true
blinded = true
[[arm]]
key = "R"
role = "reference"
[[arm]]
key = "C"
role = "changed"
""" + "".join(f'[[unit]]\nkey = "{unit}"\narm = "{unit[0]}"\n' for unit in UNITS)


def folder(root, measure, **tables):
    """A folder with one measure, and photos of every unit where a table speaks of them."""
    (root / "photos").mkdir(parents=True)
    (root / "trial.toml").write_text(f"{PLAN}[[measure]]\nrole = \"primary\"\n{measure}", encoding="utf-8")
    if "readings" not in tables:
        rows = ["photo,unit,taken_at"]
        for unit in UNITS:
            for day in DAYS:
                (root / f"photos/{unit}-{day}.jpg").write_bytes(picture_bytes())
                rows.append(f"photos/{unit}-{day}.jpg,{unit},{(START + timedelta(days=day)).isoformat()}")
        (root / "photos.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    for name, rows in tables.items():
        (root / f"{name}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return root


def scores(level=lambda unit: 3 if unit[0] == "C" else 7, off=0):
    rows = ["photo,measure,rater,value"]
    for place, unit in enumerate(UNITS):
        rows += [f"photos/{unit}-{day}.jpg,by_eye,{who},{level(unit) + place % 3 + day // 14 + off * (who == 'Q') * (day % 8 - 2)}"
                 for day in DAYS for who in "PQ"]
    return rows


def test_photos_that_are_only_scored_are_judged_and_reported_without_frames(tmp_path):
    root = folder(tmp_path / "trial", 'key = "by_eye"\ntitle = "Algae by eye"\nmargin = 0.5\n', scores=scores())
    judged, files = trial_run(root=root, out=tmp_path / "out")
    (found,) = judged.findings
    assert (found.grade, found.eyes.use, found.eyes.photos) == ("matters", "use", 48)
    assert judged.measured.qualities == ()
    assert "2 people" in files.html.read_text(encoding="utf-8")
    assert json.loads((tmp_path / "out" / "findings.json").read_text(encoding="utf-8"))["findings"][0]["eyes"]["raters"] == 2


def test_people_who_do_not_agree_still_get_a_report_that_shows_what_they_said(tmp_path):
    root = folder(tmp_path / "trial", 'key = "by_eye"\ntitle = "Algae by eye"\n', scores=scores(off=5))
    judged, files = trial_run(root=root, out=tmp_path / "out")
    assert judged.findings[0].eyes.use == "display only"
    html = files.html.read_text(encoding="utf-8")
    assert "that is too little to judge by" in html
    assert "Algae by eye over the days" in html


def test_choices_are_judged_and_the_report_holds_the_order_with_its_places(tmp_path):
    draw = np.random.default_rng(4)
    rows = ["measure,rater,photo_a,photo_b,more"]
    for who in "PQR":
        for one in range(6):
            for other in range(one + 1, 6):
                for day in (20, 24, 28):
                    ahead = 1.5 * ((UNITS[one][0] == "R") - (UNITS[other][0] == "R"))
                    more = "a" if draw.random() < 1 / (1 + np.exp(-ahead)) else "b"
                    rows.append(f"more,{who},photos/{UNITS[one]}-{day}.jpg,photos/{UNITS[other]}-{day}.jpg,{more}")
    root = folder(tmp_path / "trial", 'key = "more"\ntitle = "Algae"\n', pairs=rows)
    judged, files = trial_run(root=root, out=tmp_path / "out")
    (found,) = judged.findings
    assert (found.eyes.kind, found.eyes.answers, found.basis) == ("choices", 135, "own tanks")
    assert "with every place that each may hold" in files.html.read_text(encoding="utf-8")


def test_water_tests_in_two_units_are_judged_and_a_report_says_how_those_below_detection_were_taken(tmp_path):
    rows = ["unit,taken_at,quantity,value,unit_of_measure,method,below_detection"]
    for place, unit in enumerate(UNITS):
        for turn, day in enumerate(DAYS):
            value = (10 if unit[0] == "R" else 4) * (1 + 0.1 * (place % 3)) * (1.2 if turn % 2 else 0.8)
            below = value < 4
            told = (4 if below else value) / (62.0049 / 14.0067 if unit == "R2" else 1)
            unit_of_measure = "mg/L N" if unit == "R2" else "mg/L NO3"
            rows.append(f"{unit},{(START + timedelta(days=day)).isoformat()},nitrate,{told:.6f},{unit_of_measure},,{str(below).lower()}")
    root = folder(tmp_path / "trial", 'key = "nitrate"\nunit_of_measure = "mg/L NO3"\nscale = "log"\n', readings=rows)
    judged, files = trial_run(root=root, out=tmp_path / "out")
    (found,) = judged.findings
    assert found.natural.reference == pytest.approx(11 * 0.98, rel=0.02)
    assert found.below_detection.below == 12
    assert "limit divided by the square root of 2" in files.html.read_text(encoding="utf-8")


def test_what_cannot_be_meant_is_refused_all_at_once(tmp_path):
    root = folder(tmp_path / "trial", 'key = "by_eye"\n', scores=[*scores(), "photos/R1-0.jpg,by_eye,,4", "photos/none.jpg,by_eye,P,4"])
    with pytest.raises(FolderError) as refused:
        trial_judge(root=root)
    assert [(problem.row, problem.column) for problem in refused.value.problems] == [(98, "rater"), (99, "photo")]
