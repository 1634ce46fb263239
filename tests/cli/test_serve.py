"""fairtank serve: with a folder, without one, what is wrong usage, and what happens when a part of it is killed."""

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from tests.cli.running import run_here

from fairtank.places import WORK_WAITS

_PROCESSES = Path("/proc")


@pytest.fixture
def started(tmp_path):
    """Starts the pages on an empty data folder: the process, its address, and how long it took."""
    running = []

    def start(*words):
        called = [sys.executable, "-m", "fairtank.cli", "serve", "--port", "0", *words]
        variables = {**os.environ, "FAIRTANK_DATA": str(tmp_path / "data")}
        began = time.monotonic()
        running.append(subprocess.Popen(called, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path, env=variables))
        line = running[-1].stdout.readline()
        assert line, running[-1].stderr.read()
        return running[-1], re.search(r"http://127\.0\.0\.1:\d+/", line)[0], time.monotonic() - began

    yield start
    for process in running:
        process.kill()
        process.communicate(timeout=20)


def got(address):
    with urllib.request.urlopen(address, timeout=30) as answer:
        return answer.read().decode()


def below(number):
    """Processes that were started by one, and by those: key of the process -> its words."""
    parents, words = {}, {}
    for place in _PROCESSES.glob("[0-9]*"):
        try:
            parents[int(place.name)] = int((place / "stat").read_text().rpartition(")")[2].split()[1])
            words[int(place.name)] = (place / "cmdline").read_text().replace("\0", " ")
        except (OSError, ValueError):
            continue
    found, ask = {}, [number]
    while ask:
        above = ask.pop()
        mine = [child for child, parent in parents.items() if parent == above]
        found |= {child: words[child] for child in mine}
        ask += mine
    return found


def is_alive(key):
    try:
        return (_PROCESSES / str(key) / "cmdline").read_text() != ""
    except OSError:
        return False


def wait_until(question, longest_s=30.0):
    until = time.monotonic() + longest_s
    while not question():
        assert time.monotonic() < until
        time.sleep(0.05)


def test_an_empty_data_folder_is_ready_at_once_and_ctrl_c_ends_all_of_it_without_a_word(started, tmp_path):
    (tmp_path / "secret.txt").write_text("not to be shown", encoding="utf-8")
    process, address, took_s = started()
    assert took_s < 30, "3 seconds on a quiet machine; tests share theirs"
    assert (tmp_path / "data" / "shelf.sqlite3").is_file()
    pages = [got(address), got(f"{address}folder/")]
    assert not any("secret.txt" in page for page in pages)
    assert "No trial folder is shown." in pages[1]
    assert got(f"{address}bench/gross_volume_l").count("<svg") == 2
    process.send_signal(signal.SIGINT)
    assert "".join(process.communicate(timeout=20)).strip() == ""
    assert process.returncode == 130


@pytest.mark.skipif(not (_PROCESSES / "self" / "stat").exists(), reason="processes cannot be listed here")
def test_what_is_killed_starts_again_and_nothing_outlives_the_command(started, tmp_path):
    process, address, _ = started()

    def worker():
        return [key for key, words in below(process.pid).items() if "worker --with-parent" in words]

    def answering():
        return [key for key, words in below(process.pid).items() if "fairtank.cli.serving" in words]

    def answers():
        try:
            return got(f"{address}folder/") != ""
        except OSError:
            return False

    wait_until(lambda: len(answering()) == 2)
    assert not worker(), "nothing waits for one"
    (tmp_path / "data" / WORK_WAITS).touch()
    wait_until(worker)
    killed = {*worker(), min(answering())}  # of the two that answer the one that started the other
    for key in killed:
        os.kill(key, signal.SIGKILL)
    wait_until(lambda: not killed & below(process.pid).keys())
    wait_until(lambda: len(worker()) == 1 and len(answering()) == 2)
    wait_until(answers)
    left = list(below(process.pid))
    process.kill()
    process.wait(timeout=20)
    wait_until(lambda: not any(is_alive(key) for key in left))


def test_results_without_a_folder_are_wrong_usage(capsys, tmp_path):
    ran = run_here(capsys, "serve", "--out", tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert "--out belongs to a trial folder; name the folder too" in ran.err


@pytest.mark.parametrize(("name", "told"), [("nowhere", "there is no such folder"), ("a file", "this is a file, and a folder is wanted")])
def test_a_folder_that_is_not_there_is_refused(capsys, tmp_path, name, told):
    (tmp_path / "a file").write_text("x", encoding="utf-8")
    ran = run_here(capsys, "serve", tmp_path / name)
    assert (ran.code, ran.out) == (1, "")
    assert told in ran.err
