"""Ctrl-C, pressed once at a terminal: the command ends at once, says nothing, and leaves no process and no taken port behind."""

import re
import signal
import socket
import sys
import time
from pathlib import Path

import pytest
from tests.records.photo_trials import Shape, copied, photo_trial

from fairtank.cli.stopping import EXIT_CODE, ctrl_c_watched, workers_hear_no_ctrl_c

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="needs terminals to open and /proc to count processes")
if sys.platform == "linux":
    from tests.cli.terminal import Terminal, fairtank, left_behind

# What a terminal shows of a key, and how it hides, shows and redraws a line.
CONTROL = re.compile(r"\^C|\x1b\[[0-9;?]*[A-Za-z]|\r")
ADDRESS = r"http://127\.0\.0\.1:(\d+)/ \(stop with Ctrl-C\)\."
# run.py as it is, but for the installation, which is not what is tested here.
THROUGH_RUN_PY = f"""
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("bootstrap", {str(Path(__file__).resolve().parents[2] / "run.py")!r})
run = importlib.util.module_from_spec(spec)
spec.loader.exec_module(run)
run.environment_ready, run.PYTHON = (lambda kind: None), pathlib.Path(sys.executable)
sys.exit(run.main(sys.argv[1:]))
"""
SLOW = """
import sys, time
class Slow:
    def find_spec(self, name, path=None, target=None):
        if name == "fairtank.inference":
            open(MARK, "w").close()
            try:
                time.sleep(5)
            except KeyboardInterrupt:
                raise ImportError("the library could not be loaded")
sys.meta_path.insert(0, Slow())
"""


@pytest.fixture
def terminal():
    """Opens terminals; whatever runs in them is ended."""
    opened = []

    def open_one(*words, **variables):
        opened.append(Terminal(*words, **variables))
        return opened[-1]

    yield open_one
    for one in opened:
        one.close()


def assert_ended_well(one, seconds):
    """At once, with the exit code of an interruption, without a word beyond the key itself, and with nothing left."""
    assert seconds < 10  # not a measure of speed: a second Ctrl-C must not be needed
    assert one.code == EXIT_CODE
    assert [line for line in CONTROL.sub("", one.told).splitlines() if line and "━" not in line] == []
    assert left_behind(one) == []


def through_run_py(*words):
    return sys.executable, "-c", THROUGH_RUN_PY, *words


@pytest.mark.parametrize("through", ["command", "run.py"])
def test_serve_ends_with_one_ctrl_c_time_after_time(terminal, tmp_path, through):
    (tmp_path / "trial").mkdir()
    start = fairtank if through == "command" else through_run_py
    for pause in (0,) if through == "command" else (0.3,):
        one = terminal(*start("serve", tmp_path / "trial", "--port", "0"))
        port = int(one.wait_for(ADDRESS)[1])
        time.sleep(pause)
        assert len(one.processes()) == 3, "the command and the two of the pages"
        assert_ended_well(one, one.ctrl_c())
        with socket.socket() as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(("127.0.0.1", port))


def test_serve_ends_while_a_page_is_on_its_way(terminal, tmp_path):
    (tmp_path / "trial").mkdir()
    one = terminal(*fairtank("serve", tmp_path / "trial", "--port", "0"))
    port = int(one.wait_for(ADDRESS)[1])
    with socket.create_connection(("127.0.0.1", port)) as asking:
        asking.sendall(b"GET / HTTP/1.1\r\n")  # never finished
        time.sleep(0.3)
        assert_ended_well(one, one.ctrl_c())


def test_the_pages_of_the_demo_end_in_the_same_way(terminal, tmp_path):
    code = "import fairtank.cli.commands.demo as demo, sys\n"
    code += "demo._made = lambda *_: None\ndemo.trial_run = lambda **_: (None, None)\ndemo.judged_tell = demo.files_tell = print\n"
    code += "demo.demo_shelve = lambda **_: None\n"
    code += "from fairtank.cli import main\nmain()"
    one = terminal(sys.executable, "-c", code, "demo", "--port", "0", "--folder", tmp_path)
    one.wait_for(ADDRESS)
    assert_ended_well(one, one.ctrl_c())


@pytest.mark.parametrize("seconds", [0.0, 0.2, 0.6])
def test_a_command_that_is_still_loading_ends_without_a_word(terminal, tmp_path, seconds):
    place = _slow(tmp_path)
    one = terminal(*through_run_py("run", tmp_path / "nowhere"), PYTHONPATH=str(place))
    waited = time.monotonic() + 30
    while not (place / "loading").exists() and time.monotonic() < waited:
        time.sleep(0.01)
    time.sleep(seconds)
    assert_ended_well(one, one.ctrl_c())


def _slow(folder: Path) -> Path:
    """A place where Python looks first, which makes loading take seconds and turns an interruption into an error of its own."""
    place = folder / "slow"
    place.mkdir()
    (place / "sitecustomize.py").write_text(f"MARK = {str(place / 'loading')!r}\n{SLOW}", encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def forty_photos(tmp_path_factory):
    """A folder with photos enough for some seconds of work."""
    shape = Shape(days=tuple(range(20)), mode="fixed", painted=(("T1", 7),), suffix="png", shrink=2)
    return photo_trial(tmp_path_factory.mktemp("forty") / "trial", shape)


@pytest.mark.parametrize("seconds", [0.0, 0.3, 0.9])
def test_a_run_ends_with_its_worker_processes_whatever_they_are_at(terminal, forty_photos, tmp_path, seconds):
    root = copied(forty_photos, tmp_path / "trial")
    one = terminal(*fairtank("run", root, "--out", tmp_path / "out", "--workers", "2"))
    one.wait_for("Measuring")
    time.sleep(seconds)
    assert_ended_well(one, one.ctrl_c())
    assert not (tmp_path / "out" / "report.html").exists()


def test_inside_a_test_runner_everything_is_as_before_afterwards():
    def state():
        return signal.pthread_sigmask(signal.SIG_BLOCK, set()), signal.getsignal(signal.SIGUSR1), sys.unraisablehook, sys.excepthook

    before = state()
    with ctrl_c_watched() as pressed:
        workers_hear_no_ctrl_c()
        assert signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, set())
        assert not pressed.is_set()
    assert state() == before
