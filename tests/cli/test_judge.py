"""fairtank judge: a sentence for people, one JSON object for machines, the same bytes each time."""

import json
import shutil
from types import SimpleNamespace

import pytest
from tests.cli.running import run_apart, run_here
from tests.publish.invented_trials import finding
from tests.records.photo_trials import listing

from fairtank.cli.telling import judged_tell


def test_people_read_the_sentence_first_then_the_other_measures_then_the_files(capsys, series_only):
    ran = run_here(capsys, "judge", series_only.root)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    document = json.loads((series_only.root / "out" / "findings.json").read_text(encoding="utf-8"))
    assert lines[0].replace("\u00a0", " ") == document["findings"][0]["sentence"]
    assert lines[1].startswith("  Canopy height: ")
    assert lines[-2:] == [f"Findings: {series_only.root / 'out' / 'findings.json'}",
                          f"How far its like tanks ended up apart, for later trials: {series_only.root / 'out' / 'spread.csv'}"]
    assert (series_only.root / "out" / "spread.csv").read_text(encoding="utf-8").startswith("measure,scale,summary,")


def test_json_is_one_object_on_standard_output_and_nothing_else_and_nothing_is_written(capsys, series_only):
    before = listing(series_only.root)
    ran = run_here(capsys, "judge", series_only.root, "--json")
    assert (ran.code, ran.err) == (0, "")
    document = json.loads(ran.out)
    assert set(document) == {"software", "inputs_digest", "findings"}
    assert [finding["measure"] for finding in document["findings"]] == ["algae_cover", "canopy_height"]
    assert document["findings"][0]["n"] == {"reference": 3, "changed": 3}
    assert listing(series_only.root) == before


def test_a_clear_difference_is_told_as_one_with_its_interval(capsys, series_only):
    """The changed tanks hold about a quarter of the algae of the others: 5 % against 20 %, ln(5/95) - ln(20/80) = -1.56."""
    finding = json.loads(run_here(capsys, "judge", series_only.root, "--json").out)["findings"][0]
    assert finding["low"] < -1.3 < -1.0 < 0
    assert finding["high"] < -0.5
    assert finding["estimate"] == pytest.approx(-1.35, abs=0.15)
    assert finding["grade"] == "matters"


def test_json_with_an_output_folder_prints_what_it_writes(capsys, series_only, tmp_path):
    ran = run_here(capsys, "judge", series_only.root, "--json", "--out", tmp_path / "out")
    assert (tmp_path / "out" / "findings.json").read_bytes() == ran.out.encode()


def test_the_bytes_are_the_same_on_every_run_in_every_place_and_with_every_hash_seed(series_only, tmp_path):
    elsewhere = shutil.copytree(series_only.root, tmp_path / "elsewhere")
    first = run_apart("judge", series_only.root, "--json", PYTHONHASHSEED="1")
    assert first.code == 0
    assert first == run_apart("judge", series_only.root, "--json", PYTHONHASHSEED="1")
    assert first == run_apart("judge", elsewhere, "--json", PYTHONHASHSEED="4711", LC_ALL="C", TZ="Pacific/Auckland")


def test_photos_that_are_not_measured_yet_are_measured_first_and_json_stays_alone(capsys, photographed):
    first = run_here(capsys, "judge", photographed, "--json", "--workers", "1")
    assert first.code == 0
    assert first.err.splitlines() == [f"Measuring: {done} of 4 photos" for done in range(5)]
    assert len(list((photographed / ".fairtank" / "photos").rglob("*.json"))) == 4
    second = run_here(capsys, "judge", photographed, "--json", "--workers", "2")
    assert (second.code, second.out, second.err) == (0, first.out, "")
    assert [finding["measure"] for finding in json.loads(first.out)["findings"]] == ["plant_cover", "algae_cover"]


def test_a_column_that_is_not_known_is_named(capsys, series_only):
    text = (series_only.root / "series.csv").read_text(encoding="utf-8").splitlines()
    series_only.put("series.csv", "\n".join([f"{text[0]},mood", *(f"{line},fine" for line in text[1:])]) + "\n")
    assert run_here(capsys, "judge", series_only.root).out.startswith("Kept but not used: mood (series.csv).\n")
    ran = run_here(capsys, "judge", series_only.root, "--json")
    assert ran.err == "Kept but not used: mood (series.csv).\n"
    assert set(json.loads(ran.out)) == {"software", "inputs_digest", "findings"}


def test_a_misspelt_key_is_refused_and_nothing_is_judged(capsys, series_only):
    series_only.swap("trial.toml", "days = 42\n", "dasy = 42\n")
    ran = run_here(capsys, "judge", series_only.root)
    assert (ran.code, ran.out) == (1, "")
    assert "trial.toml, [design] dasy: the key is not known (did you mean days?)" in ran.err


def test_what_was_probably_not_meant_is_told_first(capsys, series_only):
    text = (series_only.root / "series.csv").read_text(encoding="utf-8").splitlines()
    first = text[1].split(",")
    series_only.put("series.csv", "\n".join([text[0], ",".join([*first[:4], "1000"]), *text[2:]]) + "\n")
    told = run_here(capsys, "judge", series_only.root).out
    assert told.startswith("Look once more: series.csv, row 2, column se: the standard error of ")


def judged_of(*findings):
    """A judged trial of which nothing but its findings is known."""
    return SimpleNamespace(findings=findings, measured=SimpleNamespace(cautions=()),
                           folder=SimpleNamespace(unknown_columns=(), unknown_keys=(), cautions=()))


def test_the_cautions_of_the_primary_measure_are_told_one_line_each(capsys):
    first = finding(cautions=("Values end on day 35 of 42.", "The plan was changed."))
    second = finding(role="secondary", cautions=("Not told here.",))
    judged_tell(judged_of(first, second))
    lines = capsys.readouterr().out.splitlines()
    assert lines[2:] == ["Caution: Values end on day 35 of 42.", "Caution: The plan was changed."]


def test_what_two_changes_do_together_is_told_once(capsys):
    facts = (("interaction", -0.27), ("interaction_low", -3.2), ("interaction_high", 2.7))
    both = tuple(finding(design="two_changes", comparisons=2, facts=facts, changed_label=f"with {name}", reference_label=f"without {name}")
                 for name in ("light", "food"))
    judged_tell(judged_of(*both))
    assert capsys.readouterr().out.count("Whether the two changes help or hinder each other") == 1
