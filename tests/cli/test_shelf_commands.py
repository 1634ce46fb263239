"""fairtank import, export, backup, restore and check: what each prints, and what each refuses."""

import json
import zipfile

import pytest
from tests.cli.running import run_apart, run_here
from tests.web.conftest import PLAN

READINGS = "unit,taken_at,quantity,value,colour\nT1,2026-03-02T18:00:00,ph,6.8,blue\n"


@pytest.fixture
def trial_folder(tmp_path):
    root = tmp_path / "my trial"
    root.mkdir()
    (root / "trial.toml").write_text("# mine\n" + PLAN, encoding="utf-8")
    (root / "readings.csv").write_text(READINGS, encoding="utf-8")
    return root


@pytest.fixture
def here(shelf, capsys):
    """Runs a command on an empty shelf of its own."""
    return lambda *words: run_here(capsys, *words)


def test_a_folder_goes_onto_the_shelf_and_comes_back_to_the_byte(here, trial_folder, tmp_path):
    taken = here("import", trial_folder, "--json")
    told = json.loads(taken.out)
    assert (taken.code, told["title"]) == (0, "A dark break at midday (invented)")
    assert here("export", told["trial"], tmp_path / "back").code == 0
    assert {path.name: path.read_bytes() for path in (tmp_path / "back").iterdir()} == {
        path.name: path.read_bytes() for path in trial_folder.iterdir()}


def test_a_packed_folder_is_taken_in_too(here, trial_folder, tmp_path):
    with zipfile.ZipFile(tmp_path / "trial.zip", "w") as packed:
        for path in trial_folder.iterdir():
            packed.write(path, f"inside/{path.name}")
    ran = here("import", tmp_path / "trial.zip")
    assert ran.code == 0
    assert "On the shelf: A dark break at midday" in ran.out
    assert list((tmp_path / "data" / "derived").rglob("trial.toml")) == []


def _zip(place, *entries):
    with zipfile.ZipFile(place, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content, mode in entries:
            entry = zipfile.ZipInfo(name)
            entry.external_attr, entry.compress_type = mode << 16, zipfile.ZIP_DEFLATED
            packed.writestr(entry, content)


@pytest.mark.parametrize(("name", "mode", "told"), [
    ("../out.toml", 0o600, "leads out of the folder"), ("/etc/out.toml", 0o600, "starts at the root of the disk"),
    ("a\\..\\b.toml", 0o600, "backslash"), ("C:out.toml", 0o600, "names a drive"), ("link.toml", 0o120777, "is a link to another place"),
])  # fmt: skip
def test_a_packed_folder_whose_names_lead_elsewhere_is_refused(here, tmp_path, name, mode, told):
    _zip(tmp_path / "evil.zip", ("trial.toml", PLAN, 0o600), (name, "x", mode))
    ran = here("import", tmp_path / "evil.zip")
    assert (ran.code, ran.out) == (1, "")
    assert told in ran.err
    assert not (tmp_path.parent / "out.toml").exists()


def test_what_unpacks_to_far_more_than_it_is_is_refused_unread(here, tmp_path):
    _zip(tmp_path / "bomb.zip", ("trial.toml", PLAN, 0o600), *((f"{number}.csv", b"0" * 30_000_000, 0o600) for number in range(2)))
    ran = here("import", tmp_path / "bomb.zip")
    assert ran.code == 1
    assert "would unpack to 60 MB" in ran.err


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 and then nothing", b"no zip at all"])
@pytest.mark.parametrize("command", ["import", "restore"])
def test_a_file_that_is_no_archive_is_refused_with_a_sentence(here, tmp_path, command, content):
    (tmp_path / "broken.zip").write_bytes(content)
    ran = here(command, tmp_path / "broken.zip")
    assert (ran.code, ran.out) == (1, "")
    assert "broken.zip" in ran.err


def test_a_trial_that_is_not_there_is_answered_with_those_that_are(here, trial_folder, tmp_path):
    assert "the shelf, which is empty" in here("export", "nothing", tmp_path / "x").err
    here("import", trial_folder)
    ran = here("export", "nothing", tmp_path / "x")
    assert (ran.code, ran.out) == (1, "")
    assert "a-dark-break-at-midday-invented" in ran.err


def test_nothing_is_written_over(here, trial_folder, tmp_path):
    slug = json.loads(here("import", trial_folder, "--json").out)["trial"]
    assert "a new or an empty folder" in here("export", slug, trial_folder).err
    (tmp_path / "there.zip").write_text("mine", encoding="utf-8")
    assert "not there yet" in here("backup", tmp_path / "there.zip").err
    assert (tmp_path / "there.zip").read_text(encoding="utf-8") == "mine"


def test_a_folder_with_problems_is_not_taken_in(here, trial_folder):
    (trial_folder / "readings.csv").write_text(READINGS.replace("T1", "T9"), encoding="utf-8")
    ran = here("import", trial_folder)
    assert ran.code == 1
    assert "T9" in ran.err
    assert json.loads(here("check", "--json").out)["trials"] == 0


def test_a_clean_shelf_is_said_to_be_clean(here, trial_folder):
    here("import", trial_folder)
    ran = here("check")
    assert (ran.code, ran.out) == (0, "All is as it was kept: 1 trials, 0 photos.\n")


@pytest.mark.parametrize("command", ["import", "export", "backup", "restore", "check", "worker", "serve"])
def test_each_command_has_help_with_an_example(capsys, command):
    ran = run_here(capsys, command, "--help")
    assert ran.code == 0
    assert f"fairtank {command}" in ran.out


def test_the_list_of_commands_is_there_without_a_data_folder(tmp_path):
    ran = run_apart("--help", FAIRTANK_DATA=str(tmp_path / "none"))
    assert ran.code == 0
    assert all(f"  {name} " in ran.out for name in ("import", "export", "backup", "restore", "check", "worker"))
    assert not (tmp_path / "none").exists()


def test_a_data_folder_that_cannot_be_made_is_a_sentence(tmp_path):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    ran = run_apart("check", FAIRTANK_DATA=str(tmp_path / "file" / "data"))
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.count("\n") == 1
