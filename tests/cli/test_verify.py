"""fairtank verify, and seal with --data, --sign and --make-key: what people are told, and the exit code."""

import json
import shutil

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit


@pytest.fixture
def planned(tmp_path):
    """A plan before the start."""
    return make_kit(tmp_path / "planned", values=False)


def test_a_sealed_folder_is_in_order_until_one_number_is_changed(capsys, planned):
    assert run_here(capsys, "seal", planned).code == 0
    ran = run_here(capsys, "verify", planned)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("Nothing of the sealed plan was changed.\nSealed ")
    plan = planned / "trial.toml"
    plan.write_text(plan.read_text(encoding="utf-8").replace("margin = 0.5", "margin = 0.3"), encoding="utf-8")
    ran = run_here(capsys, "verify", planned)
    assert ran.code == 1
    assert ran.out.startswith("Not all is as it was sealed.\nThe smallest difference that matters for algae cover was 0.5 when ")


def test_an_unsealed_folder_says_that_nothing_can_be_verified(capsys, planned):
    ran = run_here(capsys, "verify", planned)
    assert (ran.code, ran.err) == (1, "")
    assert "so nothing can be verified" in ran.out


def test_json_is_one_object_also_where_something_was_changed(capsys, planned):
    run_here(capsys, "seal", planned)
    ran = run_here(capsys, "verify", planned, "--json")
    assert (ran.code, json.loads(ran.out)["in_order"]) == (0, True)
    (planned / "seal.json").write_text("{", encoding="utf-8")
    ran = run_here(capsys, "verify", planned, "--json")
    assert (ran.code, json.loads(ran.out)["in_order"]) == (1, False)
    assert json.loads(ran.out)["tampered"][0]["what"] == "unreadable"


def test_what_is_not_there_is_refused(capsys, tmp_path):
    ran = run_here(capsys, "verify", tmp_path / "nowhere")
    assert (ran.code, ran.out) == (1, "")
    assert "there is no such folder" in ran.err


def test_data_are_stamped_and_signed_with_a_key_of_ones_own(capsys, planned, tmp_path):
    ran = run_here(capsys, "seal", "--make-key", tmp_path / "my.key")
    code = ran.out.splitlines()[1].split("The code of the key is ")[1][:11]
    assert (ran.code, ran.out.splitlines()[0].startswith("A new key lies in ")) == (0, True)
    shutil.copy(make_kit(tmp_path / "trial") / "series.csv", planned)
    ran = run_here(capsys, "seal", planned, "--data", "--sign", tmp_path / "my.key")
    assert (ran.code, ran.err) == (0, "")
    assert f"It is signed with the key {code}." in ran.out
    assert "90 rows of 1 table and 1 file of settings." in ran.out
    assert f"List of the rows: {planned / 'stamps' / '1.json'}" in ran.out
    ran = run_here(capsys, "seal", planned, "--data")
    assert "The data are stamped already, " in ran.out
    assert run_here(capsys, "verify", planned, "--key", code).code == 0
    ran = run_here(capsys, "verify", planned, "--key", "AAAAA-AAAAA")
    assert (ran.code, "Nothing in seal.json is signed with the key AAAAA-AAAAA." in ran.out) == (1, True)


def test_signing_what_is_sealed_already_says_how(capsys, planned, tmp_path):
    run_here(capsys, "seal", planned)
    run_here(capsys, "seal", "--make-key", tmp_path / "my.key")
    assert "the stamp is signed, which covers the seal" in run_here(capsys, "seal", planned, "--sign", tmp_path / "my.key").out


def test_a_key_that_others_may_read_is_told(capsys, planned, tmp_path):
    run_here(capsys, "seal", "--make-key", tmp_path / "my.key")
    (tmp_path / "my.key").chmod(0o644)
    ran = run_here(capsys, "seal", planned, "--sign", tmp_path / "my.key")
    assert ran.code == 0
    assert ran.err.startswith(f"Other people of this computer may read {tmp_path / 'my.key'}")


@pytest.mark.parametrize(("words", "told"), [
    ((), "Missing argument 'FOLDER'"), (("--make-key", "a.key", "--data"), "--make-key stands alone"),
    (("--make-key", "a.key", "--json"), "--make-key stands alone"),
])
def test_wrong_usage_is_told(capsys, words, told):
    ran = run_here(capsys, "seal", *words)
    assert (ran.code, told in ran.err) == (2, True)


def test_a_key_in_the_trial_folder_is_refused(capsys, planned):
    ran = run_here(capsys, "seal", "--make-key", planned / "my.key")
    assert (ran.code, "outside every trial folder" in ran.err) == (1, True)
    assert not (planned / "my.key").exists()
