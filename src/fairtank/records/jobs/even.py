"""How even the tanks are, with the matrix."""

from dataclasses import replace
from typing import Any

from fairtank.publish.arms import arm_looks
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.even_matrix import even_matrix
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.evening import EvenTrial, even_json, trial_even
from fairtank.records.services.working import opened, out_of


def even(job: Job, moves: Progress) -> dict[str, Any]:
    """Check; the content: `text`, which is what the command prints with --json, and `pictures`."""
    trial = job.trial
    assert trial is not None
    with opened(trial, "jobs") as root:
        found = replace(trial_even(root=root, out=out_of(trial)), chart=None, phone_chart=None)
    moves.ask()
    content = {"text": even_json(found), "pictures": even_pictures(found)}
    answer_keep(trial=trial, kind="even", revision=trial.revision, content=content, digest=found.folder.digest)
    return {}


def even_pictures(found: EvenTrial) -> dict[str, str]:
    """The matrix as SVG, `wide` and `narrow`, and its `description`; nothing where nothing is recorded."""
    if not any(check.values for check in found.result.checks):
        return {}
    looks = arm_looks(found.folder.plan)
    drawn = {name: even_matrix(found.result, looks, key=f"even-{name}", width_px=width_px)
             for name, width_px in (("wide", WIDE_PX), ("narrow", NARROW_PX))}
    return {**{name: picture.svg for name, picture in drawn.items()}, "description": drawn["wide"].description}
