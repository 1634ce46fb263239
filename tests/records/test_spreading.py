"""Like-tank spread gathered from finished trials: what each adds, which are enough together, and what becomes of a spread.csv."""

import csv
import json
import shutil
import statistics
from datetime import date

import pytest
from tests.records.conftest import Folder
from tests.records.kits import make_kit, make_kits

from fairtank.errors import FolderError, InputError
from fairtank.records.folder import read_folder
from fairtank.records.services.spreading import spread_gather, spread_json
from fairtank.records.services.trials import trial_judge

HEAD = "measure,scale,summary,window_class,tank_class,variance,df,trial"


@pytest.fixture
def five(tmp_path):
    """Five trials of three tanks per arm, each of 54 L."""
    make_kits(tmp_path / "trials", 5, tank_litres=54.0)
    return tmp_path / "trials"


@pytest.fixture
def new(tmp_path):
    """A trial that is planned with one tank per arm."""
    return make_kit(tmp_path / "new", title="New", count=1, values=False, tank_litres=54.0)


def rows_of(root):
    with (root / "spread.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_each_trial_adds_the_variance_within_its_arms(five):
    entry = spread_gather(roots=[five]).entries[0]
    units = trial_judge(root=five / "a-trial").findings[0].units
    arms = [[unit.z for unit in units if unit.arm == arm] for arm in "RC"]
    assert entry.variance == pytest.approx(statistics.mean(statistics.variance(arm) for arm in arms))
    assert (entry.df, entry.trial, entry.window_class, entry.tank_class) == (4, "Trial 1", "35 to 49 days", "tank of 45 to under 80 L")


def test_five_trials_with_eight_degrees_of_freedom_are_enough_and_four_are_not(five):
    library, = spread_gather(roots=[five]).libraries
    assert (library.is_qualified, len(library.groups), library.total_df) == (True, 5, 20)
    shutil.rmtree(five / "e-trial")
    library, = spread_gather(roots=[five]).libraries
    assert not library.is_qualified


def test_kinds_are_told_apart_by_measure_scale_and_size_of_the_tanks(five):
    make_kit(five / "large", title="Large", tank_litres=200.0)
    make_kit(five / "plain", title="Plain scale", scale="identity", margin=None, sd=2.0, tank_litres=54.0)
    make_kit(five / "height", title="Height", key="canopy_height", scale="log", margin=None, tank_litres=54.0)
    assert [len(library.groups) for library in spread_gather(roots=[five]).libraries] == [5, 1, 1, 1]


def test_trials_are_found_at_any_depth_and_each_once(five, tmp_path):
    deep = tmp_path / "years" / "2026" / "spring"
    deep.mkdir(parents=True)
    (five / "a-trial").rename(deep / "a-trial")
    gathered = spread_gather(roots=[five, tmp_path / "years", deep / "a-trial"])
    assert sorted(entry.trial for entry in gathered.entries) == [f"Trial {place}" for place in range(1, 6)]


def test_what_adds_nothing_is_named_with_its_reason(five):
    make_kit(five / "one-each", title="One each", count=1)
    make_kit(five / "nameless", title="")
    make_kit(five / "empty", title="Empty", values=False)
    Folder(five / "broken").put("trial.toml", "[trial\n")
    reasons = {one.folder: one.reason for one in spread_gather(roots=[five]).left_out}
    assert set(reasons) == {"one-each", "nameless", "empty", "broken"}
    assert reasons["nameless"] == "It has no title, by which its entries would be known."
    assert reasons["empty"] == "It is spoilt or not over: nothing was judged."
    assert "no two of its tanks were treated alike" in reasons["one-each"]
    assert reasons["broken"].startswith("It cannot be read: trial.toml")


def test_of_two_trials_of_one_title_the_later_one_counts(five):
    make_kit(five / "z-later", title="Trial 1", start=date(2027, 1, 1), seed=99, tank_litres=54.0)
    gathered = spread_gather(roots=[five])
    assert [entry.trial for entry in gathered.entries] == [*(f"Trial {place}" for place in range(2, 6)), "Trial 1"]
    assert [entry.trial for entry in gathered.older] == ["Trial 1"]
    assert gathered.entries[-1].variance == pytest.approx(trial_judge(root=five / "z-later").entries[0].variance)


def test_the_entries_are_written_and_read_back_and_help_the_new_trial(five, new):
    gathered = spread_gather(roots=[five], into=new)
    assert gathered.merged.added == gathered.entries
    assert gathered.merged.is_written
    assert read_folder(new).spread == gathered.entries
    assert (new / "spread.csv").read_text(encoding="utf-8").splitlines()[0] == HEAD


def test_gathering_again_changes_no_byte(five, new):
    spread_gather(roots=[five], into=new)
    before = (new / "spread.csv").read_bytes()
    merged = spread_gather(roots=[five], into=new).merged
    assert (merged.is_written, merged.added, merged.replaced, len(merged.unchanged)) == (False, (), (), 5)
    assert (new / "spread.csv").read_bytes() == before


def test_what_stood_there_of_others_is_kept_with_its_further_columns_and_the_newest_replaces_the_older(five, new):
    kind = "algae_cover,logit,mean,35 to 49 days,tank of 45 to under 80 L"
    Folder(new).put("spread.csv", f"{HEAD},mood\n{kind},0.16,4,A friend's,fine\n{kind},0.5,4,Trial 2,old\n{kind},0.4,4,Trial 2,older\n")
    merged = spread_gather(roots=[five], into=new).merged
    assert ([one.trial for one in merged.kept], [one.trial for one in merged.replaced], [one.trial for one in merged.removed]) == \
        (["A friend's"], ["Trial 2"], ["Trial 2"])
    rows = rows_of(new)
    assert [(row["trial"], row["mood"]) for row in rows] == [("A friend's", "fine"), ("Trial 2", "older"), ("Trial 1", ""), ("Trial 3", ""),
                                                             ("Trial 4", ""), ("Trial 5", "")]
    assert float(rows[0]["variance"]) == 0.16
    assert float(rows[1]["variance"]) < 0.16


def test_what_the_file_holds_together_is_told_with_the_entries_that_stood_there(five, new):
    shutil.rmtree(five / "e-trial")
    kind = "algae_cover,logit,mean,35 to 49 days,tank of 45 to under 80 L"
    Folder(new).put("spread.csv", f"{HEAD}\n{kind},0.16,4,A friend's\n")
    library, = spread_gather(roots=[five], into=new).libraries
    assert library.is_qualified


def test_nothing_of_the_trial_itself_is_written_and_what_stood_there_of_it_goes(five):
    own = five / "c-trial"
    kind = "algae_cover,logit,mean,35 to 49 days,tank of 45 to under 80 L"
    Folder(own).put("spread.csv", f"{HEAD}\n{kind},0.16,4,Trial 3\n")
    shutil.copytree(own, five / "f-copy")
    merged = spread_gather(roots=[five], into=own).merged
    assert [one.trial for one in merged.removed] == ["Trial 3"]
    assert [(one.trial, reason) for one, reason in merged.left_out] == [("Trial 3", "it comes from this trial itself")]
    assert [row["trial"] for row in rows_of(own)] == ["Trial 1", "Trial 2", "Trial 4", "Trial 5"]


def test_without_into_nothing_is_written(five):
    spread_gather(roots=[five])
    assert not list(five.rglob("spread.csv"))


def test_a_trial_to_write_into_that_cannot_be_read_is_refused_before_anything_is_judged(five, tmp_path):
    Folder(tmp_path / "bad").put("trial.toml", "[trial\n")
    with pytest.raises(FolderError, match=r"trial\.toml"):
        spread_gather(roots=[five], into=tmp_path / "bad")
    assert [path.name for path in (tmp_path / "bad").iterdir()] == ["trial.toml"]


@pytest.mark.parametrize(("make", "told"), [
    (lambda root: None, "which is not there"),
    (lambda root: root.write_text("x"), "which is a file"),
    (lambda root: root.mkdir(), "at least one finished trial"),
])
def test_a_place_without_trials_is_refused(tmp_path, make, told):
    make(tmp_path / "there")
    with pytest.raises(InputError, match=told):
        spread_gather(roots=[tmp_path / "there"])


def test_json_tells_entries_kinds_and_what_was_written(five, new):
    document = json.loads(spread_json(spread_gather(roots=[five], into=new)))
    assert document["needed"] == {"trials": 5, "df": 8.0}
    assert document["entries"][0]["sd"] == pytest.approx(document["entries"][0]["variance"] ** 0.5)
    assert (document["kinds"][0]["is_enough"], document["merged"]["is_written"], len(document["merged"]["added"])) == (True, True, 5)
