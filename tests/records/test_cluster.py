"""Photos measured on a Dask scheduler with two workers on this computer: equal to the digit, and no photo takes the others with it."""

import dataclasses
import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest
from tests.cli.running import run_here
from tests.records.learnt_once import learnt_once
from tests.records.photo_trials import DeadlyRoot, Shape, photo_trial, read

from fairtank.errors import InputError, JobError
from fairtank.records import cluster as clusters
from fairtank.records.services import measuring
from fairtank.records.services.measuring import folder_measure
from fairtank.records.store import Store

ROOT = Path(__file__).parents[2]


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def answers_within(port: int, scheduler: subprocess.Popen[bytes], longest_s: float = 120.0) -> None:
    """Wait until the scheduler listens: on a busy computer it loads for many seconds."""
    end = time.monotonic() + longest_s
    while time.monotonic() < end:
        assert scheduler.poll() is None, "the scheduler ended by itself"
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1.0):
            return
        time.sleep(0.1)
    raise AssertionError(f"no scheduler listened within {longest_s:g} s")


@pytest.fixture(scope="module")
def cluster(tmp_path_factory):
    """A scheduler and two workers in processes of their own; each worker's nanny replaces it when it dies."""
    port, place = free_port(), tmp_path_factory.mktemp("dask")
    quiet = {"cwd": place, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "start_new_session": True}
    env = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}", "OMP_NUM_THREADS": "1",
           "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "0", "DASK_DISTRIBUTED__WORKER__MEMORY__TARGET": "false"}
    run = [sys.executable, "-m"]
    address = f"tcp://127.0.0.1:{port}"
    begun = [subprocess.Popen([*run, "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard",
                               "--no-show", "--dashboard-address", "127.0.0.1:0"], env=env, **quiet)]
    worker = [*run, "distributed.cli.dask_worker", address, "--nworkers", "2", "--nthreads", "1", "--no-dashboard", "--memory-limit", "0",
              "--host", "127.0.0.1", "--local-directory", str(place)]
    begun.append(subprocess.Popen(worker, env=env, **quiet))
    answers_within(port, begun[0])
    yield address
    for process in begun:
        os.killpg(process.pid, signal.SIGKILL)  # with the workers that their nanny started
        process.wait()


@pytest.fixture(scope="module")
def alone(tmp_path_factory):
    """A folder, and its photos measured in this process."""
    root = photo_trial(tmp_path_factory.mktemp("cluster") / "trial", Shape(days=(0, 7), painted=(("T1", 7),)))
    with learnt_once():
        yield root, folder_measure(folder=read(root), store=Store(root / "alone"), workers=1)


def all_of(measured):
    return measured.measured, measured.qualities, measured.thumbnails, measured.cautions


def test_a_cluster_gives_the_same_digits_whether_it_sees_the_folder_or_is_sent_the_photos(cluster, alone, monkeypatch):
    root, once = alone
    seen = folder_measure(folder=read(root), store=Store(root / "seen"), cluster=cluster)
    assert seen.fresh == 4
    assert all_of(seen) == all_of(once)
    real = measuring.task_of

    def elsewhere(folder, store, versions):
        task, *rest = real(folder, store, versions)
        return dataclasses.replace(task, root=OnlyHere(task.root)), *rest

    monkeypatch.setattr(measuring, "task_of", elsewhere)
    sent = folder_measure(folder=read(root), store=Store(root / "sent"), cluster=cluster)
    assert all_of(sent) == all_of(once)
    assert sorted(path.name for path in (root / "sent" / "prepared").rglob("*.photo")) == sorted(
        path.name for path in (root / "alone" / "prepared").rglob("*.photo"))


class OnlyHere(type(Path())):  # type: ignore[misc]
    """A folder that is another, empty one on every other computer."""

    def __reduce__(self):
        return Path, ("/nowhere",)


def test_a_photo_that_kills_workers_is_named_and_the_rest_is_measured(cluster, alone):
    root, once = alone
    folder = read(root)
    deadly = dataclasses.replace(folder, root=DeadlyRoot(folder.root))
    measured = folder_measure(folder=deadly, store=Store(root / "deadly"), cluster=cluster)
    before = {row.photo: row for row in once.qualities}
    lost = [row for row in measured.qualities if row.reasons != before[row.photo].reasons]
    assert [(row.photo, row.reasons) for row in lost] == [
        (DeadlyRoot.DEADLY, ("The process that did this work was stopped from outside, or ran out of memory.",))]
    assert measured.measured == tuple(row for row in once.measured if row.photo != DeadlyRoot.DEADLY)


@pytest.mark.parametrize(("address", "why"), [
    ("127.0.0.1:1", "Nothing answers there"), ("tcp://nowhere.invalid:8786", "Nothing answers there"), ("8786", "Give host and port"),
    ("tcp://127.0.0.1", "Give host and port"), ("tcp://127.0.0.1:port", "Give host and port"), ("http://127.0.0.1:80", "Give host"),
])  # fmt: skip
def test_an_address_where_no_scheduler_answers_is_refused_in_a_sentence(alone, address, why, tmp_path):
    begin = time.monotonic()
    with pytest.raises(InputError, match=why) as refused:
        folder_measure(folder=read(alone[0]), store=Store(tmp_path), cluster=address)
    assert str(refused.value).startswith(f"--cluster is {address}; accepted: the address of a Dask scheduler that answers")
    assert time.monotonic() - begin < 10


def test_an_address_that_is_none_is_refused_by_the_option_at_once_also_where_nothing_is_left_to_measure(alone, capsys):
    ran = run_here(capsys, "measure", alone[0], "--cluster", "rubbish")
    assert (ran.code, ran.out) == (2, "")
    assert "'rubbish' is not the address of a Dask scheduler" in ran.err
    folder, store = read(alone[0]), Store(alone[0] / "alone")
    with pytest.raises(InputError, match="Give host and port"):
        folder_measure(folder=folder, store=store, cluster="rubbish")
    assert folder_measure(folder=folder, store=store, cluster="127.0.0.1:1").fresh == 0


def test_a_dead_address_is_told_before_any_photo_is_looked_at(alone, tmp_path, monkeypatch):
    monkeypatch.setattr(measuring, "task_of", None)
    with pytest.raises(InputError, match="Nothing answers there"):
        folder_measure(folder=read(alone[0]), store=Store(tmp_path), cluster="127.0.0.1:1")


def test_a_name_that_takes_long_to_look_up_is_given_up(monkeypatch):
    monkeypatch.setattr(clusters, "_LONGEST_S", 0.05)

    def slow(*_, **__):
        time.sleep(0.3)
        raise OSError

    monkeypatch.setattr(socket, "create_connection", slow)
    with pytest.raises(InputError, match="Nothing answers there"):
        clusters.scheduler_check("scheduler:8786")


def test_something_else_at_the_address_is_refused_within_seconds(alone, tmp_path):
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        with pytest.raises(InputError, match="it does not speak like a Dask scheduler"):
            folder_measure(folder=read(alone[0]), store=Store(tmp_path), cluster=f"127.0.0.1:{silent.getsockname()[1]}")


def test_without_the_extra_the_sentence_names_it(alone, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(JobError, match=r"pip install 'fairtank\[cluster\]'"):
        folder_measure(folder=read(alone[0]), store=Store(tmp_path), cluster="127.0.0.1:8786")
