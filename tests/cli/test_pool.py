"""fairtank pool: the sentence first, then the table, what it rests on, what was left out, and where the picture lies."""

import json
import shutil
import zipfile

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit, make_kits


@pytest.fixture
def four(tmp_path):
    """Four trials of one question, and one of another."""
    make_kits(tmp_path / "trials", 4)
    make_kit(tmp_path / "trials" / "height", title="Height", key="canopy_height", scale="log", margin=None)
    return tmp_path / "trials"


def test_people_read_the_sentence_first_then_the_table_then_the_picture(capsys, four):
    ran = run_here(capsys, "pool", four)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0].startswith("4 trials taken together. ")
    assert any(line.startswith("A  Trial 1") and line.endswith(" %") for line in lines)
    assert any(line.startswith("A further trial would probably lie between ") for line in lines)
    assert "Left out, height: It asks another question: its measure is Canopy height, that of the others Algae cover." in lines
    assert lines[-3] == f"Picture: {four / 'out' / 'trials-together.svg'}"


def test_json_is_one_object_and_writes_only_where_it_is_told_to(capsys, four, tmp_path):
    ran = run_here(capsys, "pool", four, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["chart"] is None
    assert not (four / "out").exists()
    told = run_here(capsys, "pool", four, "--json", "--out", tmp_path / "place").out
    assert (tmp_path / "place" / "pooled.json").read_text(encoding="utf-8") == told


def test_a_place_without_trials_is_refused_in_a_sentence(capsys, tmp_path):
    ran = run_here(capsys, "pool", tmp_path / "nowhere")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith("the folder of trials is ")


def test_where_no_trial_can_be_taken_the_reasons_are_told_and_no_picture_is_drawn(capsys, tmp_path):
    make_kit(tmp_path / "trials" / "empty", values=False)
    ran = run_here(capsys, "pool", tmp_path / "trials")
    assert ran.code == 0
    assert ran.out.splitlines()[0] == "No trial could be taken: see the reasons."
    assert "Picture" not in ran.out


def test_an_arm_that_no_trial_has_ends_with_1_and_the_names_there_are(capsys, four):
    ran = run_here(capsys, "pool", four, "--arm", "foo")
    assert (ran.code, ran.out) == (1, "")
    assert "arm is foo; accepted: one of those in these trials: dimmed." in ran.err


def test_kits_in_zip_files_count_as_folders_do_and_a_twin_is_named_and_taken_once(capsys, tmp_path):
    place = tmp_path / "trials"
    kits = make_kits(tmp_path / "made", 3)
    place.mkdir()
    for kit in kits:
        shutil.make_archive(str(place / kit.name), "zip", tmp_path / "made", kit.name)
    shutil.copytree(kits[0], place / "twin")
    (place / "broken.zip").write_bytes(b"PK no zip")
    ran = run_here(capsys, "pool", place)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0].startswith("3 trials taken together. ")
    assert "Left out, twin: It is the same trial as a-trial.zip (the same files), which counts once." in lines
    assert any(line.startswith("Left out, broken.zip: It cannot be judged: ") for line in lines)
    assert f"Report: {place / 'out' / 'pooled-report.html'}" in lines
    assert (place / "out" / "pooled-report.pdf").read_bytes().startswith(b"%PDF")


def test_a_kit_in_which_one_byte_was_altered_is_left_out_and_the_file_is_named(capsys, tmp_path):
    place = tmp_path / "trials"
    place.mkdir()
    for kit in make_kits(tmp_path / "made", 2):
        assert run_here(capsys, "kit", kit, "--out", place / f"{kit.name}.zip").code == 0
    with zipfile.ZipFile(place / "b-trial.zip") as kit:
        files = {name: bytearray(kit.read(name)) for name in kit.namelist()}
    altered = next(name for name in files if name.endswith("series.csv"))
    files[altered][-2] ^= 1
    with zipfile.ZipFile(place / "b-trial.zip", "w") as kit:
        for name, content in files.items():
            kit.writestr(name, bytes(content))
    lines = run_here(capsys, "pool", place).out.splitlines()
    assert lines[0] == "There is one trial; its own finding stands."
    assert any(line.startswith("Left out, b-trial.zip: It cannot be read: ") and "series.csv was altered after the kit was written" in line
               for line in lines)
