"""The bootstrap `run.py`: what it installs and when, what it refuses, and what it hands on. Nothing is installed here."""

import ast
import importlib.util
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

REPOSITORY = Path(__file__).resolve().parent.parent
LOCKS = sorted((REPOSITORY / "requirements").glob("*.txt"))


@pytest.fixture
def run(tmp_path, monkeypatch):
    """run.py as a module whose environment and locks lie in the test's folder; what it would install is noted instead."""
    spec = importlib.util.spec_from_file_location("bootstrap", REPOSITORY / "run.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    requirements, venv = tmp_path / "requirements", tmp_path / ".venv"
    requirements.mkdir()
    for name in ("bootstrap", "base", "dev"):
        (requirements / f"{name}.txt").write_text(f"{name}==1\n", encoding="utf-8")
    places = {"REQUIREMENTS": requirements, "VENV": venv, "STAMP": venv / "fairtank-stamp.txt", "PYTHON": venv / "python"}
    for name, place in places.items():
        monkeypatch.setattr(module, name, place)
    module.done = []

    def made():
        module.done.append("venv")
        venv.mkdir(exist_ok=True)
        module.PYTHON.touch()

    monkeypatch.setattr(module, "venv_make", made)
    monkeypatch.setattr(module, "requirements_install", module.done.append)
    monkeypatch.setattr(module, "site_packages_link", lambda: module.done.append("link"))
    return module


def test_a_fresh_machine_gets_environment_requirements_and_link_in_this_order(run):
    run.environment_ready("base")
    assert run.done == ["venv", "base", "link"]
    assert run.stamped() == {"base": run.lock_digest("base")}


def test_nothing_is_done_when_the_stamp_fits(run):
    run.environment_ready("base")
    run.done.clear()
    run.environment_ready("base")
    assert run.done == []


def test_the_test_set_holds_the_base_set_but_not_the_other_way_round(run):
    run.environment_ready("dev")
    run.done.clear()
    run.environment_ready("base")
    assert run.done == []
    run.STAMP.unlink()
    run.environment_ready("base")
    run.done.clear()
    run.environment_ready("dev")
    assert run.done == ["dev", "link"]


def test_a_changed_lock_is_installed_into_the_environment_that_is_there(run):
    run.environment_ready("base")
    run.done.clear()
    (run.REQUIREMENTS / "base.txt").write_text("base==2\n", encoding="utf-8")
    run.environment_ready("base")
    assert run.done == ["base", "link"]


def test_an_environment_without_its_python_is_made_anew(run):
    run.environment_ready("base")
    run.done.clear()
    run.PYTHON.unlink()
    assert run.stamped() == {}
    run.environment_ready("base")
    assert run.done == ["venv", "base", "link"]


def test_an_installation_that_failed_leaves_no_stamp(run, monkeypatch, capsys):
    def broken(kind):
        raise subprocess.CalledProcessError(2, ["pip"])

    monkeypatch.setattr(run, "requirements_install", broken)
    assert run.main(["demo"]) == 1
    told = capsys.readouterr()
    assert "Setting up the environment failed" in told.err
    assert told.out == ""
    assert not run.STAMP.exists()


def test_the_digest_of_a_lock_follows_the_lock_the_bootstrap_and_the_python(run, monkeypatch):
    digests = {run.lock_digest("base"), run.lock_digest("dev")}
    (run.REQUIREMENTS / "bootstrap.txt").write_text("bootstrap==2\n", encoding="utf-8")
    digests.add(run.lock_digest("base"))
    monkeypatch.setattr(run, "sys", SimpleNamespace(version="3.99.0 (invented)"))
    digests.add(run.lock_digest("base"))
    assert len(digests) == 4
    assert all(re.fullmatch("[0-9a-f]{64}", digest) for digest in digests)


def test_an_older_python_is_refused_with_a_sentence_before_anything_is_made(run, monkeypatch, capsys):
    older = SimpleNamespace(version_info=(3, 10, 12, "final", 0), version="3.10.12 (main) [GCC]", stderr=sys.stderr)
    monkeypatch.setattr(run, "sys", older)
    assert run.main(["demo"]) == 1
    assert capsys.readouterr().err == "fairtank needs Python 3.11 or newer; this is 3.10.12.\n"
    assert run.done == []


def test_an_older_python_gets_as_far_as_that_sentence():
    """Annotations such as `str | None` stop Python 3.9 at the definition, unless they are left unread."""
    tree = ast.parse((REPOSITORY / "run.py").read_text(encoding="utf-8"), feature_version=(3, 8))
    imported = [(node.module, [alias.name for alias in node.names]) for node in tree.body if isinstance(node, ast.ImportFrom)]
    assert ("__future__", ["annotations"]) in imported


def test_it_imports_the_standard_library_only():
    tree = ast.parse((REPOSITORY / "run.py").read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert {name.split(".")[0] for name in names} <= sys.stdlib_module_names


APART = f"""
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("bootstrap", {str(REPOSITORY / "run.py")!r})
run = importlib.util.module_from_spec(spec)
spec.loader.exec_module(run)
run.PYTHON = pathlib.Path(sys.executable)
"""


def apart(code, *words):
    """run.py in a process of its own, after some lines that change it."""
    return subprocess.run([sys.executable, "-c", APART + code, *words], capture_output=True, text=True, check=False, timeout=60)


@pytest.mark.parametrize(("words", "code", "told"), [
    (["calc", "gross_volume_l", "--length-mm=600", "--width-mm=300", "--water-mm=330", "--glass-mm=6"], 0, "Gross water volume: 55.9 L"),
    (["grow"], 2, ""), (["judge", "there is none"], 1, ""),
])  # fmt: skip
def test_any_other_word_goes_to_the_fairtank_command_with_its_exit_code(words, code, told):
    done = apart("run.environment_ready = lambda kind: print(kind, flush=True)\nsys.exit(run.main(sys.argv[1:]))", *words)
    assert done.returncode == code
    assert done.stdout.startswith(f"base\n{told}")


def test_the_command_is_told_that_run_py_started_it(run, monkeypatch):
    handed = []
    monkeypatch.setattr(run, "environment_ready", run.done.append)
    monkeypatch.setattr(run, "hand_over", lambda command, variables, hold: handed.append((command[1:], variables, hold)) or 7)
    assert run.main(["serve", "x"]) == 7
    (command, variables, hold), = handed
    assert command == ["-m", "fairtank.cli", "serve", "x"]
    assert variables["FAIRTANK_STARTED_BY"] == "run.py"
    assert hold is True


def test_what_the_installers_say_is_kept_and_shown_only_where_they_failed(run, monkeypatch, capfd):
    loud = "import sys; print('Resolved 40 packages'); print('warning: noise', file=sys.stderr); sys.exit(int(sys.argv[1]))"
    monkeypatch.setattr(run, "requirements_install", lambda kind: run.quietly([sys.executable, "-c", loud, "0"]))
    run.environment_ready("base")
    told = capfd.readouterr()
    assert told.out == ""
    assert told.err == "Installing what fairtank needs into .venv. This happens once and takes a minute or two and about 1 GB.\n"
    monkeypatch.setattr(run, "requirements_install", lambda kind: run.quietly([sys.executable, "-c", loud, "3"]))
    assert run.main(["test"]) == 1
    lines = capfd.readouterr().err.splitlines()
    assert lines[0].startswith("Installing what fairtank and its tests need into .venv. ")
    assert sorted(lines[1:3]) == ["Resolved 40 packages", "warning: noise"]
    assert lines[3].startswith("Setting up the environment failed: ")


@pytest.mark.skipif(sys.platform == "win32", reason="sends the signal of Ctrl-C")
def test_ctrl_c_while_installing_ends_without_a_word_and_with_130():
    """The installer is interrupted together with run.py, as at a terminal, and complains about it."""
    code = APART + f"""
import os, signal
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever starts the tests in the background has it ignored
loud = "import time; print('installing'); time.sleep(30)"
def ready(kind):
    print("begun", flush=True)
    run.quietly([sys.executable, "-c", loud])
run.environment_ready = ready
sys.argv[0] = {str(REPOSITORY / "run.py")!r}
try:
    sys.exit(run.main(["demo"]))
except KeyboardInterrupt:
    sys.exit(130)
"""
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen([sys.executable, "-c", code], start_new_session=True, **pipes) as process:
        assert process.stdout.readline() == "begun\n"
        time.sleep(1.5)  # the installer has to be there to be interrupted
        os.killpg(process.pid, signal.SIGINT)
        out, err = process.communicate(timeout=20)
    assert (process.returncode, out, err) == (130, "", "")


def test_test_takes_the_test_set_and_hands_its_words_to_pytest(run, monkeypatch):
    called = []
    monkeypatch.setattr(run, "environment_ready", run.done.append)
    monkeypatch.setattr(run, "chromium_path", lambda: "/a/chromium")
    monkeypatch.setattr(run, "hand_over", lambda words, env: called.append((words[1:], Path.cwd(), env)) or 5)
    monkeypatch.chdir("/")
    assert run.main(["test", "-x", "tests/cli"]) == 5
    assert run.done == ["dev"]
    (words, place, variables), = called
    assert (words, place) == (["-m", "pytest", "-x", "tests/cli"], run.HERE)
    assert variables["FAIRTANK_CHROMIUM"] == "/a/chromium"
    assert "FAIRTANK_STARTED_BY" not in variables


@pytest.fixture
def machine(run, tmp_path, monkeypatch):
    """A machine with apt whose programs are noted in `has`; what is asked of apt is noted, and `gives` is what it has to give."""
    made = SimpleNamespace(has={"apt-get", "chromium"}, gives=set(), asked=[], lists=tmp_path / "lists")

    def told(command, **_):
        made.asked.append(command[-1])
        made.has |= {command[-1]} & made.gives

    made.lists.mkdir()
    (made.lists / "main_Packages.lz4").touch()
    monkeypatch.setattr(run, "APT_LISTS", made.lists)
    monkeypatch.setattr(run.os, "geteuid", lambda: 0, raising=False)
    monkeypatch.setattr(run.shutil, "which", lambda name: f"/bin/{name}" if name in made.has else None)
    monkeypatch.setattr(run.subprocess, "run", told)
    monkeypatch.setenv("CI", "true")
    return made


@pytest.mark.skipif(sys.platform == "win32", reason="apt is Debian's")
def test_on_a_machine_of_a_user_no_second_chromium_is_installed(run, machine, monkeypatch):
    monkeypatch.delenv("CI")
    machine.gives = {"chromium-headless-shell"}
    assert run.chromium_path() == "/bin/chromium"
    assert machine.asked == []


@pytest.mark.skipif(sys.platform == "win32", reason="apt is Debian's")
def test_the_chromium_without_a_window_is_taken_and_asked_for_once(run, machine):
    machine.gives = {"chromium-headless-shell"}
    assert run.chromium_path() == "/bin/chromium-headless-shell"
    assert run.chromium_path() == "/bin/chromium-headless-shell"
    assert machine.asked == ["chromium-headless-shell"]


@pytest.mark.skipif(sys.platform == "win32", reason="apt is Debian's")
def test_where_it_cannot_be_had_the_chromium_that_is_there_is_taken(run, machine):
    assert run.chromium_path() == "/bin/chromium"
    assert machine.asked == ["chromium-headless-shell"]
    machine.lists.joinpath("main_Packages.lz4").unlink()
    assert run.chromium_path() == "/bin/chromium"
    assert machine.asked[1:] == ["update", "chromium-headless-shell"]


@pytest.mark.skipif(sys.platform == "win32", reason="apt is Debian's")
def test_without_any_chromium_the_whole_one_is_the_last_to_be_asked_for(run, machine):
    machine.has, machine.gives = {"apt-get"}, {"chromium"}
    assert run.chromium_path() == "/bin/chromium"
    assert machine.asked == ["chromium-headless-shell", "update", "chromium"]
    machine.has, machine.gives = {"apt-get"}, set()
    assert run.chromium_path() is None


@pytest.mark.parametrize("lacks", ["root", "apt-get"])
def test_nothing_is_installed_where_it_may_not_or_there_is_no_apt(run, machine, monkeypatch, lacks):
    if lacks == "root":
        monkeypatch.setattr(run.os, "geteuid", lambda: 1000, raising=False)
    machine.has -= {lacks}
    assert run.chromium_path() == "/bin/chromium"
    assert machine.asked == []


def test_it_starts_in_well_under_a_second_when_nothing_has_to_be_done(run):
    run.environment_ready("base")
    began = time.perf_counter()
    run.environment_ready("base")
    assert time.perf_counter() - began < 0.2


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_a_lock_pins_every_package_with_its_hashes_and_names_no_host(lock):
    text = lock.read_text(encoding="utf-8")
    assert not re.search(r"https?:|//|@|--(?:index|extra|find|trusted)", text)
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    packages = [line for line in lines if not line.startswith((" ", "\t"))]
    assert packages
    assert all(re.match(r"[A-Za-z0-9._-]+(\[[a-z,]+\])?==[^ ]+( ;.*)? \\$", line) for line in packages)
    hashes = [line for line in lines if line.startswith((" ", "\t"))]
    assert all(re.fullmatch(r"\s+--hash=sha256:[0-9a-f]{64}( \\)?", line) for line in hashes)
    assert len(hashes) >= len(packages)


def test_there_are_the_three_locks_that_the_bootstrap_reads():
    assert [lock.stem for lock in LOCKS] == ["base", "bootstrap", "dev"]
