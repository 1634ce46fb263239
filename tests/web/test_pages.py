"""The pages start on loopback, find a free port, and stop when asked."""

import http.client
import re
import signal
import socket
import struct
import subprocess
import sys
import time
import urllib.request

import pytest

from fairtank.cli.pages import HOST, bound


def port_given(wished):
    with bound(wished) as server:
        assert server.server_address[0] == HOST
        return server.server_port


def test_a_free_port_is_taken_as_wished():
    with socket.socket() as trial:
        trial.bind((HOST, 0))
        wished = trial.getsockname()[1]
    assert port_given(wished) == wished


@pytest.mark.parametrize("wished", [-1, 70000])
def test_a_port_that_does_not_exist_is_replaced(wished):
    assert 0 < port_given(wished) < 65536


@pytest.fixture
def served(folder, out):
    """Starts the pages in a process of their own: the process and the first line it said."""
    started = []

    def start(port=0):
        code = "import sys, pathlib, fairtank.cli.pages as s; s.serve(*map(pathlib.Path, sys.argv[1:3]), int(sys.argv[3]))"
        command = [sys.executable, "-c", code, str(folder), str(out), str(port)]
        started.append(subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True))
        return started[-1], started[-1].stdout.readline()

    yield start
    for process in started:
        process.kill()
        process.communicate(timeout=20)


def test_a_taken_port_is_replaced_by_a_free_one_and_that_is_said_in_one_line(served):
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        line = served(port)[1]
    told = re.fullmatch(r"Port (\d+) is taken, so the pages are at http://127\.0\.0\.1:(\d+)/ \(stop with Ctrl-C\)\.\n", line)
    assert int(told[1]) == port != int(told[2])


def test_only_the_head_is_sent_where_only_the_head_was_asked_for(served):
    port = int(re.search(r":(\d+)/", served()[1])[1])
    for address in ("/", "/folder/photos.csv", "/results/report.pdf"):
        asking = http.client.HTTPConnection(HOST, port, timeout=20)
        asking.request("HEAD", address)
        answer = asking.getresponse()
        assert (answer.status, answer.read()) == (200, b"")
        assert int(answer.headers["Content-Length"]) > 0
        asking.close()
    with socket.create_connection((HOST, port), timeout=20) as raw:
        raw.sendall(b"HEAD / HTTP/1.0\r\n\r\n")
        content = b"".join(iter(lambda: raw.recv(65536), b""))
    assert content.endswith(b"\r\n\r\n")


def test_many_pictures_at_once_and_a_silent_guest_do_not_hold_each_other_up(served):
    from concurrent.futures import ThreadPoolExecutor

    address = re.search(r"http://\S+/", served()[1])[0]
    with socket.create_connection((HOST, int(address.rstrip("/").rsplit(":", 1)[1]))), ThreadPoolExecutor(16) as many:
        def asked(_):
            with urllib.request.urlopen(address + "thumbnails/photos/T1-01.jpg", timeout=20) as answer:
                return answer.read()[:2]

        assert set(many.map(asked, range(48))) == {b"\xff\xd8"}


def test_a_server_says_nothing_about_what_was_asked_or_broken_off(served):
    process, line = served()
    port = int(re.search(r":(\d+)/", line)[1])
    for sent in (b"", b"\x16\x03\x01", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", b"NONSENSE\r\n\r\n", b"GET /%00%ff HTTP/9.9\r\n\r\n"):
        with socket.create_connection((HOST, port)) as guest:
            guest.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))  # goes away without a good-bye
            guest.sendall(sent)
    with urllib.request.urlopen(f"http://{HOST}:{port}/", timeout=20) as answer:
        assert answer.status == 200
    process.terminate()
    assert process.communicate(timeout=20) == ("", "")


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
