"""fairtank serve: with a folder, without one, and what is wrong usage."""

import re
import subprocess
import sys
import time
import urllib.request

import pytest
from tests.cli.running import run_here


def test_without_a_folder_it_shows_the_bench_alone(tmp_path):
    (tmp_path / "secret.txt").write_text("not to be shown", encoding="utf-8")
    called = [sys.executable, "-m", "fairtank.cli", "serve", "--port", "0"]
    server = subprocess.Popen(called, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path)
    try:
        address = re.search(r"http://127\.0\.0\.1:\d+/", server.stdout.readline())[0]
        page = ""
        for _ in range(100):
            try:
                with urllib.request.urlopen(address, timeout=10) as answer:
                    page = answer.read().decode()
                break
            except OSError:
                time.sleep(0.1)
        with urllib.request.urlopen(f"{address}bench/gross_volume_l", timeout=30) as answer:
            bench = answer.read().decode()
    finally:
        server.terminate()
        _, errors = server.communicate(timeout=20)
    assert "No trial folder is shown." in page
    assert "secret.txt" not in page
    assert bench.count("<svg") == 2
    assert errors == ""


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
