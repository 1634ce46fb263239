"""What the plan could show, among the charts to take away: as the command that asks beforehand tells it, or left out."""

import pytest

from fairtank.errors import InputError
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.services.charting import could_show
from fairtank.records.services.detecting import trial_detect
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.records.services.trials import JudgedTrial
from inference.trials import measure, plan_of


def judged(root, plan):
    write_folder(root, plan)
    return JudgedTrial(read_folder(root), MeasuredTrial(), (), ())


def test_it_is_what_the_command_tells(tmp_path):
    root = tmp_path / "trial"
    assert could_show(judged(root, plan_of(3, 3, expect="less")), tmp_path / "out") == trial_detect(root=root).showing


def test_where_nobody_knows_how_far_like_tanks_differ_there_is_none(tmp_path):
    root = tmp_path / "trial"
    trial = judged(root, plan_of(3, 3, choice=measure("identity", key="weight", unit="g")))
    with pytest.raises(InputError, match="the spread of like tanks is not known"):
        trial_detect(root=root)
    assert could_show(trial, tmp_path / "out") is None
