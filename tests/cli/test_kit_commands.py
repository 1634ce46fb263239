"""fairtank kit, verify and repeat: what each prints and with which exit code it ends."""

import json
import zipfile

import pytest
from tests.cli.running import run_here

from fairtank.records.services.examples import example_make


@pytest.fixture
def here(shelf, capsys):
    return lambda *words: run_here(capsys, *words)


@pytest.fixture
def trial(tmp_path):
    example_make(design="side_by_side", root=tmp_path / "trial")
    return tmp_path / "trial"


def test_a_kit_is_written_verified_taken_in_and_judged_to_the_same_digits(here, trial, tmp_path):
    ran = here("kit", trial, "--out", tmp_path / "kit.zip", "--licence", "CC0-1.0")
    assert ran.code == 0
    for said in ("The kit holds 12 files.", "Licence: Creative Commons Zero 1.0 Universal.", "fields of MIAPPE 1.2", "The plan is not "
                                                                                                                     "sealed", "Written: "):
        assert said in ran.out, ran.out
    verified = here("verify", tmp_path / "kit.zip", "--json")
    told = json.loads(verified.out)
    assert (verified.code, told["in_order"], told["is_sealed"], told["kit"]) == (
        0, True, False, {"form": 1, "files": 11, "is_whole": True, "faults": []})
    before = json.loads(here("judge", trial, "--json").out)
    slug = json.loads(here("import", tmp_path / "kit.zip", "--json").out)["trial"]
    assert here("export", slug, tmp_path / "back").code == 0
    after = json.loads(here("judge", tmp_path / "back", "--json").out)
    assert after["findings"] == before["findings"]
    assert {path.name for path in (tmp_path / "back").iterdir()} == {path.name for path in trial.iterdir()} | {"LICENCE.txt"}


def test_one_altered_byte_is_named_and_the_exit_code_says_so(here, trial, tmp_path):
    here("kit", trial, "--out", tmp_path / "kit.zip")
    zipfile.ZipFile(tmp_path / "kit.zip").extractall(tmp_path / "kit")
    root = next((tmp_path / "kit").iterdir())
    content = bytearray((root / "series.csv").read_bytes())
    content[-2] ^= 1
    (root / "series.csv").write_bytes(bytes(content))
    ran = here("verify", root)
    assert (ran.code, ran.out.splitlines()[:2]) == (1, ["The kit is not as it was written.", "series.csv was altered after the kit was "
                                                                                             "written."])
    refused = here("import", root)
    assert refused.code == 1
    assert "series.csv was altered after the kit was written" in refused.err
    assert "delete digests.csv and datapackage.json" in refused.err


def test_wrong_usage_and_places_that_are_taken(here, trial, tmp_path):
    assert here("kit", trial, "--photos", "small").code == 2
    (tmp_path / "there.zip").write_text("mine", encoding="utf-8")
    ran = here("kit", trial, "--out", tmp_path / "there.zip")
    assert (ran.code, ran.out) == (1, "")
    assert "there already" in ran.err
    assert here("repeat", trial, tmp_path / "mine", "--tank", "60x30x36").code == 2, "the glass must be said"
    assert "length x width x height in cm" in here("repeat", trial, tmp_path / "mine", "--tank", "60", "--glass", "6").err


def test_a_repeated_trial_can_be_drawn_at_once(here, trial, tmp_path):
    ran = here("repeat", trial, tmp_path / "mine", "--tank", "60x30x36", "--glass", "6", "--start", "2027-03-01")
    assert ran.code == 0
    assert "Yours to decide:" in ran.out
    assert "day 0: " in ran.out
    assert here("draw", tmp_path / "mine", "--seed", "3").code == 0
    told = json.loads(here("repeat", trial, tmp_path / "other", "--tank", "60x30x36", "--glass", "6", "--json").out)
    assert told["repeats"].startswith("Floating plants over half the water (invented example); plan sha256:")
