"""How even a folder's tanks are: from the folder to sentences, one JSON object and pictures."""

import json
import time

import pytest

from fairtank.errors import FolderError, InputError
from fairtank.records.services.evening import MATRIX_FILE, PHONE_FILE, even_json, trial_even

PLAN = """[trial]
title = "Unfair on purpose (invented)"
change = "half the feeding"
change_factors = ["doses"]
[design]
kind = "side_by_side"
start = 2026-03-01
days = 42
[[arm]]
key = "R"
role = "reference"
[[arm]]
key = "H"
role = "changed"
""" + "".join(f'[[unit]]\nkey = "T{number}"\narm = "{"R" if number < 4 else "H"}"\n' for number in range(1, 7)) + """[[measure]]
key = "algae_cover"
role = "primary"
"""
HEAD = "unit,factor,value,unit_of_measure,note\n"


@pytest.fixture
def unfair(tmp_path):
    """A folder in which the lamps of one arm are old and hang near the window."""
    (tmp_path / "trial.toml").write_text(PLAN, encoding="utf-8")
    rows = [f"T{number},lamp_age,{3 if number < 4 else 28},months,\nT{number},window_side,{'away' if number < 4 else 'near'},,\n"
            for number in range(1, 7)]
    (tmp_path / "factors.csv").write_text(HEAD + "".join(rows), encoding="utf-8")
    return tmp_path


def test_a_folder_with_a_plan_alone_gets_a_short_answer(tmp_path):
    (tmp_path / "trial.toml").write_text(PLAN, encoding="utf-8")
    even = trial_even(root=tmp_path, out=tmp_path / "out")
    assert even.sentences[0].startswith("Nothing is recorded by which the tanks could be compared")
    assert even.chart is None
    assert not (tmp_path / "out").exists()


def test_what_goes_along_with_the_arms_is_found_and_drawn(unfair):
    even = trial_even(root=unfair, out=unfair / "out")
    assert [check.key for check in even.result.with_verdict("confounded")] == ["window_side", "lamp_age"]
    assert all((unfair / "out" / name).read_text(encoding="utf-8").startswith("<svg") for name in (MATRIX_FILE, PHONE_FILE))


def test_the_json_holds_every_factor_with_its_sentence(unfair):
    document = json.loads(even_json(trial_even(root=unfair)))
    assert len(document["factors"]) >= 62
    first = document["factors"][0]
    assert (first["key"], first["verdict"]) == ("window_side", "confounded")
    assert first["values"]["T6"] == "near"
    assert document["sentences"][1] == first["sentence"]
    assert document["chart"] is None


def test_nothing_is_written_into_the_trial_folder_itself(unfair):
    with pytest.raises(InputError, match="the trial folder itself"):
        trial_even(root=unfair, out=unfair)


def test_a_folder_with_problems_is_refused_whole(unfair):
    (unfair / "factors.csv").write_text(HEAD + "T1,lampage,3,,\n", encoding="utf-8")
    with pytest.raises(FolderError, match="did you mean lamp_age"):
        trial_even(root=unfair)


def test_twelve_tanks_and_forty_factors_take_less_than_a_fifth_of_a_second(tmp_path):
    from fairtank.planning.evenness.check import evenness
    from fairtank.planning.evenness.known import Known
    from fairtank.records.folder import read_folder
    from fairtank.registry import entries

    units = [f"T{number}" for number in range(1, 13)]
    plan = PLAN.split("[[unit]]")[0] + "".join(f'[[unit]]\nkey = "{unit}"\narm = "{"RH"[index % 2]}"\n' for index, unit in enumerate(units))
    (tmp_path / "trial.toml").write_text(plan + '[[measure]]\nkey = "algae_cover"\nrole = "primary"\n', encoding="utf-8")
    rows = [f"{unit},{entry.key},{'kind ' + str(index % 3) if entry.unit == 'word' else 10 + index / 7},,\n"
            for entry in entries("factor")[:40] for index, unit in enumerate(units)]
    (tmp_path / "factors.csv").write_text(HEAD + "".join(rows), encoding="utf-8")
    known = Known(read_folder(tmp_path))
    before = time.process_time()
    result = evenness(known)
    assert time.process_time() - before < 0.2
    assert sum(bool(check.values) for check in result.checks) >= 40
