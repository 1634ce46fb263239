"""The command as such: its list, its help, its exit codes; no stack trace reaches anybody."""

import re
import subprocess
import sys

import pytest
from tests.cli.running import run_here

from checking import every
from fairtank import __version__
from fairtank.cli.main import _ORDER, Commands, app, command_title

NAMES = Commands().list_commands(None)
FIRST = ("demo", "example", "plan", "even", "detect", "draw", "build", "schedule", "seal", "verify", "run",
         "measure", "judge", "report", "serve", "calc")


def test_the_commands_stand_in_the_order_in_which_a_keeper_meets_them():
    assert [name for name in NAMES if name in FIRST] == list(FIRST)
    assert set(NAMES) <= set(_ORDER)


def test_help_lists_every_command_with_its_title(capsys):
    ran = run_here(capsys, "--help")
    assert (ran.code, ran.err) == (0, "")
    told = " ".join(ran.out.split())
    for name in NAMES:
        assert f"{name} {command_title(name)}".replace("read-only", "read- only") in told


@every("name", NAMES)
def test_help_of_a_command_begins_with_its_title_and_carries_an_example_that_calls_it(capsys, name):
    ran = run_here(capsys, name, "--help")
    assert (ran.code, ran.err) == (0, "")
    told = " ".join(ran.out.split())
    assert command_title(name).rstrip(".") in told
    example = re.search(r"Example: fairtank (\S+)", told)
    assert example is not None
    assert example.group(1) == name


@every("name", NAMES)
def test_the_options_in_a_commands_example_are_options_that_it_has(name):
    command = app.get_command(None, name)
    example = command.help.split("Example: fairtank ")[1].split()
    options = {option for parameter in command.params for option in parameter.opts}
    if name != "calc":  # its options are the inputs of the calculator; test_calc.py runs its example
        assert {word for word in example if word.startswith("--")} <= options


def test_help_loads_no_heavy_library():
    code = "import sys; sys.argv = ['fairtank', '--help']\nfrom fairtank.cli import main\ntry: main()\nexcept SystemExit: pass\n"
    code += "print(sorted({'numpy', 'scipy', 'cv2', 'PIL', 'django', 'typst', 'rich', 'fairtank.vision'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_version_is_the_packages(capsys):
    assert run_here(capsys, "--version").out == f"fairtank {__version__}\n"


def test_without_a_command_the_list_is_shown_and_the_usage_counts_as_wrong(capsys):
    ran = run_here(capsys)
    assert ran.code == 2
    assert "measure" in ran.out


@pytest.mark.parametrize(("words", "told"), [
    (["grow"], "No such command 'grow'. The commands: demo, example, plan,"),
    (["judg"], "No such command 'judg'. Did you mean 'judge'?"),
    (["."], "No such command '.'. It is a folder or a file: a command stands before it, such as fairtank judge ."),
    (["example", "swp"], "Did you mean 'swap'?"),
    (["judge", "a", "--dya", "3"], "No such option '--dya'. Did you mean '--day'?"),
    (["judge", "a", "--day", "-1"], "-1 is out of range; accepted: a whole number of 0 or more."),
    (["detect", "a", "--sd", "0,5"], "Invalid value for '--sd': '0,5' is not a number (with a decimal point: 0.5)."),
    (["detect", "a", "--sd", "nan"], "Invalid value for '--sd': nan is out of range; accepted: a number."),
    (["judge"], "Missing argument 'FOLDER'"),
    (["run", "a", "b"], "Got unexpected extra argument (b)"),
    (["measure", "a", "--speed", "3"], "No such option"),
    (["measure", "a", "--workers", "0"], "Invalid value for '--workers': 0 is out of range; accepted: a whole number from 1 to 64."),
    (["measure", "a", "--workers", "many"], "'many' is not a whole number from 1 to 64."),
    (["serve", "a", "--port", "70000"], "70000 is out of range; accepted: a whole number from 0 to 65535."),
])  # fmt: skip
def test_wrong_usage_exits_with_2_and_says_what_is_wrong_on_standard_error(capsys, words, told):
    ran = run_here(capsys, *words)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err


@pytest.mark.parametrize("name", ["run", "measure", "judge", "report", "serve"])
def test_a_missing_folder_and_a_file_in_its_place_are_refused_with_one_sentence(capsys, tmp_path, name):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for place in ("missing", "file"):
        ran = run_here(capsys, name, tmp_path / place, *(["--out", tmp_path / "out"] if name != "serve" else []))
        assert (ran.code, ran.out) == (1, "")
        what = "there is no such folder" if place == "missing" else "this is a file, and a folder is wanted"
        assert ran.err == f"{place}: {what}; accepted: a folder that holds trial.toml.\n"
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


@pytest.mark.parametrize("name", ["run", "measure", "judge", "report"])
def test_a_file_in_the_place_of_the_output_folder_is_refused_with_a_sentence(capsys, series_only, tmp_path, name):
    out = tmp_path / "taken"
    out.write_text("mine", encoding="utf-8")
    ran = run_here(capsys, name, series_only.root, "--out", out)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == f"the folder for results is {out}, but {out} is a file; accepted: a folder. Choose another one with --out.\n"
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_mistake_of_its_own_is_told_in_a_sentence_and_where_only_on_request(capsys, monkeypatch):
    from fairtank.cli.commands import judge

    def broken(**_):
        raise RuntimeError("the dog ate it")

    monkeypatch.setattr(judge, "trial_judge", broken)
    ran = run_here(capsys, "judge", "x")
    assert ran.code == 1
    assert ran.err.startswith("fairtank stopped because of a mistake of its own (RuntimeError: the dog ate it).")
    monkeypatch.setenv("FAIRTANK_DEBUG", "1")
    monkeypatch.setattr(sys, "argv", ["fairtank", "judge", "x"])
    from fairtank.cli import main

    with pytest.raises(RuntimeError, match="the dog ate it"):
        main()


def test_ctrl_c_ends_without_a_word(capsys, monkeypatch):
    from fairtank.cli.commands import judge

    def stopped(**_):
        raise KeyboardInterrupt

    monkeypatch.setattr(judge, "trial_judge", stopped)
    ran = run_here(capsys, "judge", "x")
    assert ran.code == 130
    assert ran.err.strip() in ("", "Aborted!")


def test_a_reader_that_closes_the_pipe_early_gets_no_stack_trace(series_only):
    called = [sys.executable, "-m", "fairtank.cli", "calc"]
    with subprocess.Popen(called, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        process.stdout.close()
        assert "Traceback" not in process.stderr.read()
        assert "Exception" not in process.stderr.read()
