"""The pages start on loopback, find a free port, and stop when asked."""

import http.client
import re
import signal
import socket
import struct
import subprocess
import sys
import urllib.request

import pytest

from fairtank.cli.pages import HOST, Certificate, Listening, free_port


def test_a_free_port_is_taken_as_wished():
    with socket.socket() as trial:
        trial.bind((HOST, 0))
        wished = trial.getsockname()[1]
    assert free_port(wished) == wished


@pytest.mark.parametrize("wished", [-1, 70000])
def test_a_port_that_does_not_exist_is_replaced(wished):
    assert 0 < free_port(wished) < 65536


def test_a_port_at_which_somebody_listens_is_replaced():
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        assert free_port(taken.getsockname()[1]) != taken.getsockname()[1]


def test_the_address_says_whether_the_pages_speak_tls(tmp_path):
    assert Listening(port=8321).address == "http://127.0.0.1:8321/"
    with_tls = Listening(port=8321, certificate=Certificate(tmp_path / "a.pem", tmp_path / "a.key"))
    assert with_tls.address == "https://127.0.0.1:8321/"
    assert with_tls.words == ["127.0.0.1", "8321", str(tmp_path / "a.pem"), str(tmp_path / "a.key")]


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
        process.terminate()
        process.communicate(timeout=20)


def at_a_free_port(served):
    """The pages, started where another program listens; a free port takes its place, and that is said in one line."""
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        process, line = served(port)
        assert line, process.stderr.read()
    told = re.fullmatch(r"Port (\d+) is taken, so the pages are at http://127\.0\.0\.1:(\d+)/ \(stop with Ctrl-C\)\.\n", line)
    assert int(told[1]) == port != int(told[2])
    return process, line


def heads_without_content(port):
    """Only the head is sent where only the head was asked for."""
    for address in ("/folder/", "/folder/photos.csv", "/results/report.pdf"):
        asking = http.client.HTTPConnection(HOST, port, timeout=20)
        asking.request("HEAD", address)
        answer = asking.getresponse()
        assert (answer.status, answer.read()) == (200, b"")
        assert int(answer.headers["Content-Length"]) > 0
        asking.close()
    with socket.create_connection((HOST, port), timeout=20) as raw:
        raw.sendall(b"HEAD /folder/ HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
        content = b"".join(iter(lambda: raw.recv(65536), b""))
    assert content.endswith(b"\r\n\r\n")


def many_at_once(port):
    """Many pictures at once and a silent guest do not hold each other up."""
    from concurrent.futures import ThreadPoolExecutor

    with socket.create_connection((HOST, port)), ThreadPoolExecutor(16) as many:
        def asked(_):
            with urllib.request.urlopen(f"http://{HOST}:{port}/thumbnails/photos/T1-01.jpg", timeout=20) as answer:
                return answer.read()[:2]

        assert set(many.map(asked, range(48))) == {b"\xff\xd8"}


def broken_off(port):
    """Nonsense, and guests who go away without a good-bye."""
    for sent in (b"", b"\x16\x03\x01", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", b"NONSENSE\r\n\r\n", b"GET /%00%ff HTTP/9.9\r\n\r\n"):
        with socket.create_connection((HOST, port)) as guest:
            guest.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            guest.sendall(sent)


def test_the_pages_answer_once_their_address_is_told_say_nothing_of_it_and_stop_when_asked(served, folder):
    process, line = at_a_free_port(served)
    address = re.search(r"http://127\.0\.0\.1:\d+/", line)[0]
    port = int(address.rstrip("/").rsplit(":", 1)[1])
    for asked in (address, f"{address}folder/", f"{address}bench/"):
        with urllib.request.urlopen(asked, timeout=20) as answer:
            assert answer.status == 200
            if asked.endswith("folder/"):
                assert "A dark break at midday" in answer.read().decode()
    with urllib.request.urlopen(f"{address}folder/photos/T1-01.jpg", timeout=20) as answer:
        assert answer.read() == (folder / "photos" / "T1-01.jpg").read_bytes()
    heads_without_content(port)
    many_at_once(port)
    broken_off(port)
    with urllib.request.urlopen(f"{address}folder/", timeout=20) as answer:
        assert answer.status == 200
    process.send_signal(signal.SIGTERM)
    assert process.communicate(timeout=20) == ("", "")
    assert process.returncode == 0
    with socket.socket() as nobody:  # was left behind who listens there
        assert nobody.connect_ex((HOST, port)) != 0
