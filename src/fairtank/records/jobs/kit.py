"""The kit of a trial, checked once more as somebody else would check it."""

from dataclasses import asdict
from datetime import date
from typing import Any

from fairtank.publish.kit.facts import KitWishes
from fairtank.publish.kit.holds import holds
from fairtank.publish.kit.made_words import made_words
from fairtank.publish.kit.miappe import FILLED, miappe_counts
from fairtank.records.jobs.judge import judged_when_over
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.kitting import kit_make
from fairtank.records.services.verifying import trial_verify
from fairtank.records.services.working import opened, out_of

KIT_FILE = "kit.zip"
NOT_READ = ("The kit is written when the trial was read: it holds all values, which nobody should see yet. The page “Finding” tells on "
            "which day that is.")


def kit(job: Job, moves: Progress) -> dict[str, Any]:
    """Judge, write and check; given, all of it optional: photos, licence, with_place, as in `KitWishes`. A trial that is not over has none.

    The content: `told` and `checked`, in sentences, `holds`, see `publish.kit.holds`, `is_whole`, `miappe` (counts) and `unfilled`
    (fields that every dataset must have and this one has not), `size_bytes`, `given`, `read_on`.
    """
    trial, today = job.trial, date.today()
    assert trial is not None
    wishes = KitWishes(**{name: job.given[name] for name in ("photos", "licence", "with_place") if name in job.given})
    place = out_of(trial) / KIT_FILE
    with opened(trial, "jobs") as root:
        judged = judged_when_over(trial, root, moves, today, NOT_READ)
        new = place.with_name("kit-new.zip")
        new.unlink(missing_ok=True)  # of an attempt that was killed
        made = kit_make(root=root, out=new, wishes=wishes, progress=moves, results=out_of(trial), today=today, judged=judged)
        new.replace(place)
    moves.ask()
    checked = trial_verify(root=place)
    unfilled = [{"section": one.section, "codename": one.codename, "why": one.why} for one in made.miappe if one.needed
                and one.state != FILLED]
    content = {"told": made_words(made.facts, made.files, made.not_taken), "holds": holds(made.files), "checked": checked.words,
               "is_whole": checked.is_in_order, "miappe": miappe_counts(made.miappe), "unfilled": unfilled, "size_bytes": made.size_bytes,
               "given": asdict(wishes), "read_on": today.isoformat()}
    answer_keep(trial=trial, kind="kit", revision=trial.revision, content=content, digest=judged.folder.digest)
    return {"file": KIT_FILE}
