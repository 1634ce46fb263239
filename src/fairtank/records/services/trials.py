"""A trial folder taken all the way: checked, measured, judged, reported. Each step is a service; `trial_run` takes all of them."""

import os
import tempfile
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.finding import Finding
from fairtank.inference import judge
from fairtank.inference.earlier.borrowing import entries_of
from fairtank.inference.looks import goes_on
from fairtank.publish.content import PAPERS, ReportContent, ReportFiles
from fairtank.publish.findings_file import findings_text
from fairtank.publish.report import write_report
from fairtank.records.audited import audit_told
from fairtank.records.drawn import draw_told
from fairtank.records.evened import folder_even
from fairtank.records.exporters.measures import measures_text, quality_text
from fairtank.records.folder import read_folder, text_of
from fairtank.records.litres import tank_litres_of
from fairtank.records.sealed import seal_told, sealed_plan
from fairtank.records.services.measuring import MeasuredTrial, Progress, folder_measure
from fairtank.records.services.pictures import unit_pictures
from fairtank.records.snapshot import series_of
from fairtank.records.store import store_of
from fairtank.records.writing import bytes_write
from fairtank.trial import Plan, Series, SpreadEntry, TrialFolder

_OUT, _OTHER = "the folder for results", "Choose another one with --out."
MEASURES_FILE, QUALITY_FILE, FINDINGS_FILE, SPREAD_FILE = "measures.csv", "photos_quality.csv", "findings.json", "spread.csv"


@dataclass(frozen=True, eq=False)
class JudgedTrial:
    """A folder with its values and findings, before anything is written. entries: what the trial adds to the library of like tanks."""

    folder: TrialFolder
    measured: MeasuredTrial
    series: tuple[Series, ...]
    findings: tuple[Finding, ...]
    entries: tuple[SpreadEntry, ...] = ()


def trial_measure(*, root: Path, out: Path, workers: int | None = None, progress: Progress | None = None, cluster: str | None = None,
                  ) -> MeasuredTrial:
    """Measure a folder's photos and write measures.csv and photos_quality.csv."""
    folder = read_folder(root)
    out_check(out, folder)
    measured = folder_measure(folder=folder, store=store_of(root, out), workers=workers, progress=progress, cluster=cluster)
    _measures_write(out, measured)
    return replace(measured, cautions=(*folder.cautions, *measured.cautions))


def trial_judge(*, root: Path, out: Path | None = None, workers: int | None = None, progress: Progress | None = None,
                day: int | None = None, today: date | None = None, cluster: str | None = None) -> JudgedTrial:
    """Measure what is not measured yet and judge; writes findings.json, and what the trial adds to spread.csv, when `out` is given.

    day: a planned look, to judge as of that day. today: the date on which the trial is read, the clock's where it is not given: before its
    reading day is over a trial is not judged by the way. A trial that goes on adds nothing to spread.csv yet.
    """
    folder = read_folder(root)
    if out is not None:
        out_check(out, folder)
    measured = folder_measure(folder=folder, store=store_of(root, out), workers=workers, progress=progress, cluster=cluster)
    series = series_of(folder, measured)
    litres = tank_litres_of(folder)
    plan = sealed_plan(folder)
    read_on = _read_on(plan, series, today or date.today())
    found = judge(plan, series, folder.events, earlier=folder.spread, tank_litres=litres, day=day, today=read_on)
    findings = draw_told(folder, seal_told(folder, audit_told(folder, measured, found)))
    finished = tuple(finding for finding in findings if not goes_on(finding))
    judged = JudgedTrial(folder, measured, series, findings, entries_of(folder.plan, finished, tank_litres=litres))
    if out is not None:
        result_write(out / FINDINGS_FILE, findings_text(judged.findings, folder.digest))
        if judged.entries:
            result_write(out / SPREAD_FILE, text_of("spread", judged.entries))
    return judged


def _read_on(plan: Plan, series: tuple[Series, ...], today: date) -> int | None:
    """The day of the trial on which it is read; None where the clock is wrong, since it lies before a day that was recorded."""
    number = (today - plan.start).days
    return None if any(day > number for one in series for day in one.days) else number


def trial_report(*, root: Path, out: Path, workers: int | None = None, progress: Progress | None = None, today: date | None = None,
                 cluster: str | None = None, paper: str = PAPERS[0]) -> tuple[JudgedTrial, ReportFiles]:
    """Judge a folder and write its report, for A4 or Letter paper; findings.json lies beside it."""
    judged = trial_judge(root=root, out=out, workers=workers, progress=progress, today=today, cluster=cluster)
    return judged, judged_report(judged=judged, out=out, paper=paper)


def judged_report(*, judged: JudgedTrial, out: Path, paper: str = PAPERS[0]) -> ReportFiles:
    """Write the report of what was judged."""
    if paper not in PAPERS:
        raise InputError("paper", f"'{paper}'", " or ".join(PAPERS))
    content = replace(report_content(judged), paper=paper)
    return write_report(replace(content, pictures=unit_pictures(judged.folder, judged.measured)), out)


def report_content(judged: JudgedTrial) -> ReportContent:
    """What a report tells, but for its pictures of photos."""
    evenness, caution = folder_even(judged.folder)
    return ReportContent(
        folder=judged.folder,
        evenness=evenness,
        findings=judged.findings,
        series=judged.series,
        qualities=judged.measured.qualities,
        inputs_digest=judged.folder.digest,
        cautions=(*judged.folder.cautions, *judged.measured.cautions, *((caution,) if caution else ())),
    )


def trial_run(*, root: Path, out: Path, workers: int | None = None, progress: Progress | None = None, today: date | None = None,
              cluster: str | None = None) -> tuple[JudgedTrial, ReportFiles]:
    """Measure, judge and report; everything is written into `out`."""
    judged, files = trial_report(root=root, out=out, workers=workers, progress=progress, today=today, cluster=cluster)
    if judged.folder.photos:
        _measures_write(out, judged.measured)
    return judged, files


def out_check(out: Path, folder: TrialFolder) -> None:
    """Refuse a place for results that cannot be made or written, or that belongs to the trial itself; nothing is made yet."""
    place_check(out, folder.root, tuple(photo.path for photo in folder.photos))


def place_check(out: Path, folder: Path, photos: tuple[str, ...] = ()) -> None:
    """The same for a folder that may hold no trial yet, and the paths of its photos."""
    place, root = out.resolve(), folder.resolve()
    inputs = {root / "photos", root / "labels", *((root / photo).parent for photo in photos)} - {root}
    if place == root or any(place.is_relative_to(given) for given in inputs):
        what = "the trial folder itself" if place == root else "where the trial's own pictures lie"
        raise InputError(_OUT, f"{out}, {what}", "a folder of its own, such as `out` inside the trial folder", _OTHER)
    there = place
    while not os.path.lexists(there) and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise InputError(_OUT, f"{out}, but {there} is a file", "a folder", _OTHER)
    if not os.access(there, os.W_OK | os.X_OK):
        raise InputError(_OUT, f"{out}, but {there} must not be written to", "a folder that can be made or written", _OTHER)
    try:
        before = there.stat()
        os.rmdir(tempfile.mkdtemp(dir=there))  # some places say that they can be written to, and cannot
        os.utime(there, ns=(before.st_atime_ns, before.st_mtime_ns))
    except OSError as error:
        raise InputError(_OUT, f"{out}, but in {there} nothing can be written", "a folder that can be made or written", _OTHER) from error


def result_write(path: Path, content: str | bytes) -> None:
    """Write a result whole, and say what to do where it cannot be written."""
    try:
        bytes_write(path, content.encode() if isinstance(content, str) else content)
    except OSError as error:
        raise JobError(f"{path} cannot be written: {plain_reason(error)}. Choose another folder with --out.") from error


def _measures_write(out: Path, measured: MeasuredTrial) -> None:
    result_write(out / MEASURES_FILE, measures_text(measured.measured))
    result_write(out / QUALITY_FILE, quality_text(measured.qualities))
