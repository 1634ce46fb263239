"""The finding of a trial, to the digit what `fairtank judge` prints, with the charts and the sections of its page."""

import json
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from fairtank.errors import DesignError
from fairtank.publish.findings_file import findings_text
from fairtank.publish.page_judged import OVER, page_of
from fairtank.records.jobs.measure import measured_facts
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job, Trial
from fairtank.records.services.answers import answer_keep, measured_keep
from fairtank.records.services.spreading import silence_words
from fairtank.records.services.trials import JudgedTrial, report_content, trial_judge
from fairtank.records.services.working import opened, out_of


def judge(job: Job, moves: Progress) -> dict[str, Any]:
    """Measure what is not measured yet, and judge."""
    trial, today = job.trial, date.today()
    assert trial is not None
    with opened(trial, "jobs") as root:
        judged_keep(trial, trial_judge(root=root, out=out_of(trial), progress=moves, today=today), trial.revision, today)
    return {}


def judged_when_over(trial: Trial, root: Path, moves: Progress, today: date, refusal: str) -> JudgedTrial:
    """Judge and keep the finding, for what may be shown or given out only once the trial was read; until then the refusal is raised.

    Raises
    ------
    DesignError
        With that sentence.
    """
    judged = trial_judge(root=root, out=out_of(trial), progress=moves, today=today)
    if judged_keep(trial, judged, trial.revision, today)["reading"]["state"] != OVER:
        raise DesignError(refusal)
    return judged


def judged_keep(trial: Trial, judged: JudgedTrial, revision: int, today: date) -> dict[str, Any]:
    """Keep what was measured on the way, and the finding.

    The content: `text`, which is what the command prints with --json; `read_on`, the date on which it was read; `charts` by measure and
    the sections of the page, see `page_of`: of what may not be read yet nothing is in them; `measuring`, see `measured_facts`; `entries`,
    how many like-tank spreads the trial adds. Two answers of their own, `spread` with these and `sentence`, are small enough to be read
    of many trials at once.
    """
    measured_keep(trial=trial, measured=judged.measured.measured, qualities=judged.measured.qualities)
    content = {**page_of(report_content(judged)), "text": findings_text(judged.findings, judged.folder.digest),
               "read_on": today.isoformat(), "measuring": measured_facts(judged.folder, judged.measured), "entries": len(judged.entries)}
    answer_keep(trial=trial, kind="judge", revision=revision, content=content, digest=judged.folder.digest)
    spread = {"entries": [asdict(entry) for entry in judged.entries], "why_none": "" if judged.entries else silence_words(judged)}
    answer_keep(trial=trial, kind="spread", revision=revision, content=spread, digest=judged.folder.digest)
    told = {"sentence": _sentence(content["text"]), "state": content["reading"]["state"]}
    answer_keep(trial=trial, kind="sentence", revision=revision, content=told, digest=judged.folder.digest)
    return content


def _sentence(text: str) -> str:
    """The one sentence of the trial: that of its primary measure."""
    findings = json.loads(text)["findings"]
    first = next((one for one in findings if one["role"] == "primary"), findings[0] if findings else {})
    return str(first.get("sentence", ""))
