"""A planned trial of four tanks on the shelf, as the questions make it: its folder is made once for all tests of a file."""

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from fairtank.records.services.planning import answers_take, plan_begin, plan_make

ANSWERS = ('template = "feeding"\n[answers]\ntanks = 4\nstart = 2026-12-12\nblinded = true\ndesign = "side_by_side_4"\nsetup = false\n'
           'lamp_age = [3.0, 12.0, 3.0, 12.0]\n')


@cache
def planned_folder() -> Path:
    """The folder: nothing drawn, nothing sealed."""
    root = Path(mkdtemp(prefix="fairtank-tests-planned-")) / "planned"
    plan_make(answers_take(plan_begin(root=root, today=date(2026, 11, 26)), ANSWERS, "answers"))
    return root


def planned_trial():
    """It on the shelf."""
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=planned_folder(), by=KEEPER)


def page_text(page) -> str:
    """What a page says, each run of blanks as one."""
    return " ".join(page.content.decode().split())
