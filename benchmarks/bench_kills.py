"""The pages, the worker, or everything at once is killed (SIGKILL) at drawn moments of four kinds of work: what is lost, doubled or left?

    python benchmarks/bench_kills.py [--kills 17] [--seed 1] [--work upload,measure,import,backup] [--record]

A real `fairtank serve` on a small shelf of its own. Each kill has work of its own: 16 photos sent to a round, a trial measured, a
packed trial folder taken in, a backup written. Whatever the client was told is done (an answer of 2xx or 303) is remembered. What was
killed starts again by itself; where everything was killed, this script starts it. When the queue is empty the shelf is checked as
`fairtank check` does, and what was told is counted.
"""

import argparse
import io
import os
import random
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from killing import VICTIMS, Client, Served
from killing_with import folder_made, pictures_made, shelf_filled
from recording import circumstances, told

ROOT = Path(__file__).resolve().parent.parent
WORK = ("upload", "measure", "import", "backup")
PHOTOS, IMPORTED, PATIENCE_S = 16, 12, 200.0
# Of the kills of the pages: those of the process that answers alone; the others kill the one that started it too.
INNER_SHARE = 0.6
WAITS = Path("derived", "work-waits")


@dataclass
class Tally:
    """What was found over the kills of one kind of work and one victim. Every list holds sentences."""

    work: str
    victim: str
    kills: int = 0
    processes_killed: int = 0
    before_the_end: int = 0
    acknowledged: int = 0
    done: int = 0
    told_failed: int = 0
    begun_again: int = 0
    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    hanging: list[str] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    left_behind: list[str] = field(default_factory=list)
    outlived: int = 0
    whole_s: float = 0.0
    starts: int = 0
    beside: str = ""
    longest_settle_s: float = 0.0

    def row(self) -> dict[str, Any]:
        """For the JSON line: counts, and of each list its length and the first three sentences."""
        row: dict[str, Any] = dict(vars(self))
        for name in ("lost", "doubled", "hanging", "findings", "left_behind"):
            row |= {name: len(row[name]), f"{name}_first": row[name][:3]}
        return row


class Shelf:
    """The shelf as this script sees it, beside the processes that serve it."""

    def __init__(self, place: Path, cores: int | None) -> None:
        os.environ.update(FAIRTANK_DATA=str(place / "data"), DJANGO_SETTINGS_MODULE="fairtank.settings")
        sys.path.insert(0, str(ROOT))
        import django

        django.setup()
        from fairtank.records.database import tables_ready

        tables_ready()
        (place / "tmp").mkdir()
        self.place, self.data, self.scratch = place, place / "data", place / "tmp"
        days = {"measure": (0, 3, 6, 9), "import": (0, 2, 4, 6, 8, 10), "upload": (0,)}
        self.folders = {work: folder_made(place / work, those) for work, those in days.items()}
        self.pictures = pictures_made(PHOTOS)
        self.served = Served(self.data, self.scratch, cores)
        self.client = Client(self.served.port)

    def taken_in(self, work: str) -> Any:
        """A fresh trial for one kill."""
        from fairtank.records.services.importing import trial_import
        from fairtank.records.services.trail import KEEPER

        return trial_import(root=self.folders[work], by=KEEPER)

    def worker_wait(self) -> None:
        """A worker is up and has looked for work."""
        until = time.monotonic() + PATIENCE_S
        (self.data / WAITS).touch()
        while not (self.served.found("worker") and not (self.data / WAITS).exists()):
            if time.monotonic() > until:
                raise SystemExit("no worker comes")
            time.sleep(0.05)

    def settled(self) -> list[str]:
        """Wait until no work waits or runs; what does not end is told."""
        from fairtank.records.models import Job

        until = time.monotonic() + PATIENCE_S
        while (left := Job.objects.filter(state__in=("waiting", "running"))).exists():
            if time.monotonic() > until:
                return [f"{job}, attempt {job.attempts}" for job in left]
            time.sleep(0.1)
        return []


# Work: each sends something, is told something, and can say afterwards what of it is there ---------------------------------------------


class Upload:
    """Photos to a round while the worker looks through the shelf; sent again under their keys until each was answered."""

    def __init__(self, shelf: Shelf, number: int) -> None:
        self.shelf, self.trial = shelf, shelf.taken_in("upload")
        self.round = {"key": f"round{number}", "day": "5"}
        self.entries = [f"entry{number}x{one}" for one in range(PHOTOS)]
        self.acknowledged: set[str] = set()
        self.refused: list[str] = []
        shelf.client.post("/settings/job/check/", {})

    def send(self) -> bool:
        """Send what was not answered; whether everything is answered."""
        for number, entry in enumerate(self.entries):
            if entry in self.acknowledged:
                continue
            fields = {**self.round, "late": "sent for a test", "unit": f"T{number % 2 + 1}", "entry": entry, "clock": "round",
                      "at": f"2026-03-06T18:{number:02}", "noted": "2026-03-06T19:00"}
            place = f"/trials/{self.trial.slug}/round/photo/?{urlencode({**fields, 'name': 'a.jpg'})}"
            answer = self.shelf.client.sent(place, self.shelf.pictures[number], "application/octet-stream")
            if answer is None:
                return False
            if answer[0] == 200:
                self.acknowledged.add(entry)
            elif answer[0] < 500:
                self.refused.append(answer[1])
        return len(self.acknowledged) + len(self.refused) >= len(self.entries)

    def is_over(self) -> bool:
        """Whether nothing of it is under way any more."""
        return True

    def told(self, tally: Tally) -> None:
        """What is there of what was answered, and once all was sent again, whether each photo is there once."""
        self.compared(tally)
        until = time.monotonic() + PATIENCE_S
        while not self.send() and time.monotonic() < until:
            time.sleep(0.2)
        tally.lost += [f"refused: {said}" for said in self.refused]
        tally.acknowledged += len(self.acknowledged)
        tally.hanging += self.shelf.settled()
        self.compared(tally)
        tally.done += 1

    def compared(self, tally: Tally) -> None:
        """Rows and files of what was answered so far."""
        from fairtank.records.models import Photo
        from fairtank.records.shelf_photos import photo_files

        rows = list(Photo.everything.filter(trial=self.trial).exclude(entry=None).values_list("entry", "sha256"))
        there, files = [entry for entry, _ in rows], photo_files()
        tally.lost += [f"{entry}: no row" for entry in self.acknowledged if entry not in there]
        tally.lost += [f"{entry}: no file" for entry, sha256 in rows if not files.has(sha256)]
        tally.doubled += [entry for entry in set(there) if there.count(entry) > 1]
        digests = [sha256 for _, sha256 in rows]
        tally.doubled += [digest for digest in set(digests) if digests.count(digest) > 1]


class Handed:
    """A piece of work that a form hands in."""

    kind = ""

    def __init__(self, shelf: Shelf, number: int) -> None:
        from fairtank.records.models import Job

        self.shelf, self.number, self.is_acknowledged = shelf, number, False
        self.before = set(Job.objects.values_list("pk", flat=True))
        self.prepared()

    def prepared(self) -> None:
        """What it needs beforehand."""

    def sent(self) -> tuple[int, str] | None:
        """Send the form."""
        raise NotImplementedError

    def send(self) -> bool:
        """Send the form once; whether it was answered."""
        answer = self.sent()
        self.is_acknowledged = answer is not None and answer[0] in (200, 302, 303)
        return self.is_acknowledged

    def is_over(self) -> bool:
        """Whether the work that was handed in is over."""
        return bool(self.is_acknowledged) and all(job.is_over for job in self.jobs())

    def jobs(self) -> list[Any]:
        """The work that came of it."""
        from fairtank.records.models import Job

        return list(Job.objects.filter(kind=self.kind).exclude(pk__in=self.before))

    def told(self, tally: Tally) -> None:
        """What became of it."""
        tally.hanging += self.shelf.settled()
        jobs = self.jobs()
        tally.acknowledged += self.is_acknowledged
        if self.is_acknowledged and not jobs:
            tally.lost.append(f"{self.kind} {self.number}: answered, and no such work is known")
        if len(jobs) > 1:
            tally.doubled.append(f"{self.kind} {self.number}: {len(jobs)} pieces of work")
        for job in jobs:
            tally.done += job.state == "done"
            tally.begun_again += job.attempts > 1
            if job.state == "failed":
                tally.told_failed += bool(job.reason)
                tally.lost.append(f"{job}: {job.reason or 'no reason'}")
        self.compared(tally, jobs)

    def compared(self, tally: Tally, jobs: list[Any]) -> None:
        """What the work left against what it should."""


class Measured(Handed):
    """A trial of eight small photos measured."""

    kind = "measure"

    def prepared(self) -> None:
        """A trial that was never measured."""
        self.trial = self.shelf.taken_in("measure")

    def sent(self) -> tuple[int, str] | None:
        """Ask for the measuring."""
        return self.shelf.client.post(f"/trials/{self.trial.slug}/work-out/measure/", {})

    def compared(self, tally: Tally, jobs: list[Any]) -> None:
        """Every photo has its quality, every value is there once."""
        if any(job.state == "done" for job in jobs):
            _measured_compared(self.trial, tally)


class Imported(Handed):
    """A packed trial folder taken in."""

    kind = "import"

    def prepared(self) -> None:
        """A ZIP file whose trial has a name of its own."""
        self.title, packed = f"Taken in {self.number}", io.BytesIO()
        with zipfile.ZipFile(packed, "w") as archive:
            for place in sorted(self.shelf.folders["import"].rglob("*")):
                name, content = place.relative_to(self.shelf.folders["import"]).as_posix(), place.read_bytes() if place.is_file() else b""
                if name == "trial.toml":
                    content = content.replace(b"A made-up trial", self.title.encode())
                if content:
                    archive.writestr(name, content)
        self.content = packed.getvalue()

    def sent(self) -> tuple[int, str] | None:
        """Send the file."""
        return self.shelf.client.post("/trials/take-in-file/", {}, {"file": ("trial.zip", self.content)})

    def compared(self, tally: Tally, jobs: list[Any]) -> None:
        """The trial is there once, with all its photos."""
        from fairtank.records.models import Photo, Trial

        trials = list(Trial.everything.filter(title=self.title))
        if len(trials) > 1:
            tally.doubled.append(f"{self.title}: {len(trials)} trials")
        if self.is_acknowledged and not trials and any(job.state == "done" for job in jobs):
            tally.lost.append(f"{self.title}: done, and no trial")
        for trial in trials:
            if (count := Photo.objects.filter(trial=trial).count()) != IMPORTED:
                tally.lost.append(f"{self.title}: {count} of {IMPORTED} photos")
            if not any(job.state == "done" and job.trial_id == trial.pk for job in jobs):
                tally.lost.append(f"{self.title}: there, and no work says so")


class BackedUp(Handed):
    """A backup written."""

    kind = "backup"

    def sent(self) -> tuple[int, str] | None:
        """Ask for one."""
        return self.shelf.client.post("/settings/job/backup/", {})

    def compared(self, tally: Tally, jobs: list[Any]) -> None:
        """One whole file for each piece of work; the file is then deleted."""
        place = self.shelf.data / "backups"
        for job in jobs:
            files = [one for one in place.glob(f"fairtank-*-{job.pk}.zip") if not one.name.startswith(".")]
            if job.state == "done" and job.result["file"] not in [one.name for one in files]:
                tally.lost.append(f"{job}: no file")
            if len(files) > 1:
                tally.doubled.append(f"{job}: {len(files)} files")
            for one in files:
                with zipfile.ZipFile(one) as archive:
                    if archive.testzip() is not None or "backup.json" not in archive.namelist():
                        tally.lost.append(f"{one.name} is not whole")
                one.unlink()


_CLASSES: dict[str, Any] = {"upload": Upload, "measure": Measured, "import": Imported, "backup": BackedUp}


def _measured_compared(trial: Any, tally: Tally) -> None:
    """Every photo was measured, every value is there once."""
    from django.db.models import Count

    from fairtank.records.models import Measurement, Photo

    for photo in Photo.objects.filter(trial=trial, quality=""):
        tally.lost.append(f"{trial.slug}, {photo.path}: not measured")
    twice = Measurement.objects.filter(trial=trial).values("photo", "measure", "zone").annotate(n=Count("pk")).filter(n__gt=1)
    tally.doubled += [f"{trial.slug}: {one}" for one in twice]


# One kill ------------------------------------------------------------------------------------------------------------------------------


def one_run(shelf: Shelf, number: int, tallies: list[Tally], moment_s: float | None, *, inner: bool = False) -> float:
    """Do pieces of work at once, kill at a moment, and compare; how long it took where nothing was killed [s]."""
    shelf.worker_wait()
    doing, begun = [_CLASSES[tally.work](shelf, number) for tally in tallies], time.monotonic()
    senders = [threading.Thread(target=one.send) for one in doing]
    for sender in senders:
        sender.start()
    if moment_s is None:
        for sender in senders:
            sender.join()
        while not all(one.is_over() for one in doing):
            time.sleep(0.02)
        took_s = killed_at = time.monotonic() - begun
    else:
        time.sleep(max(0.0, begun + moment_s - time.monotonic()))
        was_over = [not sender.is_alive() and one.is_over() for sender, one in zip(senders, doing, strict=True)]
        count, killed_at, took_s = shelf.served.killed(tallies[0].victim, inner=inner), time.monotonic(), 0.0
        for tally, is_over in zip(tallies, was_over, strict=True):
            tally.kills, tally.processes_killed = tally.kills + (count > 0), tally.processes_killed + count
            tally.before_the_end += count > 0 and not is_over
        for sender in senders:
            sender.join()
        if tallies[0].victim == "both":
            shelf.served.start()
        shelf.served.answers_wait()
    for one, tally in zip(doing, tallies, strict=True):
        one.told(tally)
        tally.longest_settle_s = max(tally.longest_settle_s, time.monotonic() - killed_at) if moment_s is not None else 0.0
    _checked(shelf, tallies[0])
    print(f"  {'+'.join(tally.work for tally in tallies)} {tallies[0].victim} {number}: moment {moment_s}, over after "
          f"{time.monotonic() - begun:.1f} s", flush=True)
    return took_s


def _checked(shelf: Shelf, tally: Tally) -> None:
    """The shelf checked, what lies about, and who still lives."""
    from fairtank.records.services.checking import shelf_check

    found = shelf_check()
    tally.findings += found.faults
    rooms = ((shelf.scratch, "fairtank-*"), (shelf.data / "derived" / "intake", "*"), (shelf.data / "derived", ".backup-*"),
             (shelf.data / "backups", ".*"), (shelf.data / "derived" / "uploads", "*"), (shelf.data / "photos", ".coming-*"))
    for place in [one for room, names in rooms for one in room.glob(names)]:
        tally.left_behind.append(place.relative_to(shelf.place).as_posix())
        shutil.rmtree(place) if place.is_dir() else place.unlink()
    tally.outlived += shelf.served.outlived()


def case(shelf: Shelf, works: list[str], victims: list[str], kills: int, seed: int, until: float) -> Iterator[Tally]:
    """All kills of kinds of work that go on at once, the victims in turn, until the time is up or the pages do not come back."""
    drawn = {victim: random.Random(f"{seed} {' '.join(works)} {victim}") for victim in victims}
    tallies = {victim: [Tally(work, victim) for work in works] for victim in victims}
    own = (1 + WORK.index(works[0])) * 100_000 + seed * 1000
    whole_s = min(one_run(shelf, own + turn, [Tally(work, "") for work in works], None) for turn in (1, 2))
    try:
        for number in range(kills * len(victims)):
            if time.monotonic() > until:
                break
            victim = victims[(number + seed) % len(victims)]
            chance, starts = drawn[victim], shelf.served.starts
            moment_s, is_inner = chance.uniform(0.0, whole_s), chance.random() < INNER_SHARE
            one_run(shelf, own + 10 + number, tallies[victim], moment_s, inner=is_inner)
            for tally in tallies[victim]:
                tally.whole_s, tally.starts, tally.beside = whole_s, tally.starts + shelf.served.starts - starts, "+".join(works)
    finally:
        for victim in victims:
            yield from tallies[victim]


def main() -> None:
    """Every kind of work that was asked for, a line for each of its victims."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--kills", type=int, default=17, help="for each kind of work and victim")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--work", default=",".join(WORK), help="kinds with commas; with + those that go on at once")
    asked.add_argument("--victims", default=",".join(VICTIMS))
    asked.add_argument("--minutes", type=float, default=600.0, help="begin no kill after so long")
    asked.add_argument("--cores", type=int, help="what the processes are told that this machine has; one measures in the worker itself")
    asked.add_argument("--record", action="store_true")
    options = asked.parse_args()
    until = time.monotonic() + 60.0 * options.minutes
    with tempfile.TemporaryDirectory() as place:
        shelf = Shelf(Path(place), options.cores)
        shelf.served.start()
        shelf.client.known()
        try:
            for works in [one.split("+") for one in options.work.split(",")]:
                if "backup" in works:
                    shelf_filled(shelf.taken_in("upload"))
                before = circumstances()
                for tally in case(shelf, works, options.victims.split(","), options.kills, options.seed, until):
                    told("kills", before, {"seed": options.seed, "cores_told": options.cores, **tally.row()}, record=options.record)
        finally:
            shelf.served.end()
        told_by_command = subprocess.run([sys.executable, "-m", "fairtank.cli", "check"], capture_output=True, text=True, check=False)
        print(f"fairtank check: exit code {told_by_command.returncode}. {told_by_command.stdout.strip()[:300]}")


if __name__ == "__main__":
    main()
