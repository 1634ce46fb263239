"""The pages start on loopback, find a free port, and stop when asked."""

import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

import pytest

from fairtank.cli.pages import HOST, free_port


def test_a_free_port_is_taken_as_wished():
    with socket.socket() as trial:
        trial.bind((HOST, 0))
        wished = trial.getsockname()[1]
    assert free_port(wished) == wished


@pytest.mark.parametrize("wished", [-1, 70000])
def test_a_port_that_does_not_exist_is_replaced(wished):
    assert 0 < free_port(wished) < 65536


def test_a_taken_port_is_replaced_by_a_free_one():
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        assert free_port(taken.getsockname()[1]) != taken.getsockname()[1]


def test_the_pages_are_served_and_stop_when_asked(folder, out):
    code = "import sys, pathlib, fairtank.cli.pages as s; s.serve(pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), 0)"
    command = [sys.executable, "-c", code, str(folder), str(out)]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        address = re.search(r"http://127\.0\.0\.1:\d+/", server.stdout.readline())[0]
        page = None
        for _ in range(100):
            try:
                with urllib.request.urlopen(address, timeout=5) as answer:
                    page = answer.read().decode()
                break
            except OSError:
                time.sleep(0.1)
        assert page is not None
        assert "A dark break at midday" in page
        with urllib.request.urlopen(address + "folder/photos/T1-01.jpg", timeout=5) as answer:
            assert answer.read() == (folder / "photos" / "T1-01.jpg").read_bytes()
    finally:
        server.send_signal(signal.SIGTERM)
        output, errors = server.communicate(timeout=20)
    assert server.returncode in {0, -signal.SIGTERM}
    assert errors == ""
    assert "Traceback" not in output
