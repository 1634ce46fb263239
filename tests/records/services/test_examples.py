"""An example folder of every design: written whole, invented and said to be so, judged to a sentence, looked at before the start."""

import csv
import re
from pathlib import Path

import pytest

from fairtank.errors import InputError
from fairtank.publish.detect_words import opening
from fairtank.publish.sentences import sentence
from fairtank.records.folder import read_folder
from fairtank.records.services.detecting import trial_detect
from fairtank.records.services.examples import SHOWN, example_events, example_make
from fairtank.records.services.trials import trial_judge
from fairtank.simulation.trials import EXAMPLES, example_trial


@pytest.fixture(params=EXAMPLES)
def made(request, tmp_path):
    """The name of an example and its folder."""
    example_make(design=request.param, root=tmp_path / "example")
    return request.param, tmp_path / "example"


def test_each_example_has_a_line_that_says_what_it_shows():
    assert tuple(SHOWN) == EXAMPLES
    assert len(set(SHOWN.values())) == len(SHOWN)


def test_the_guide_lists_every_example():
    page = (Path(__file__).resolve().parents[3] / "docs" / "guide" / "examples.md").read_text(encoding="utf-8")
    assert re.findall(r"^\| `(\w+)` \|", page, flags=re.MULTILINE) == list(SHOWN)


def test_every_example_is_judged_to_a_sentence(made):
    name, root = made
    judged = trial_judge(root=root)
    assert judged.findings[0].role == "primary"
    for finding in judged.findings:
        assert finding.grade != "spoilt"
        assert sentence(finding).endswith(".")
    assert any(finding.grade == "alone" for finding in judged.findings) == (name == "one_each")


def test_every_example_but_a_threshold_tells_what_it_could_show(made):
    name, root = made
    if name != "threshold":
        assert opening(trial_detect(root=root).showing)[0].startswith("As planned (")


def test_every_folder_reads_as_it_was_made_and_says_that_it_is_invented(made):
    name, root = made
    folder = read_folder(root)
    plan, series, earlier = example_trial(name)
    assert folder.plan == plan
    assert "invented" in folder.plan.title
    assert folder.spread == earlier
    assert len(folder.series) == len(series)
    assert folder.events == example_events(name, plan)
    if earlier:
        with (root / "spread.csv").open(encoding="utf-8") as table:
            assert all("invented" in row["trial"] for row in csv.DictReader(table))


def test_events_teach_what_is_kept_and_what_is_taken_out():
    effects = {event.effect for name in EXAMPLES for event in example_events(name, example_trial(name)[0])}
    assert effects == {"keep", "exclude_window", "exclude_unit"}


def test_the_same_seed_makes_the_same_folder_and_another_seed_another(tmp_path):
    for name, seed in (("one", 1), ("two", 1), ("three", 2)):
        example_make(design="pairs", root=tmp_path / name, seed=seed)
    one, two, three = ((tmp_path / name / "series.csv").read_bytes() for name in ("one", "two", "three"))
    assert one == two != three


def test_a_folder_that_is_not_empty_is_left_as_it_is(tmp_path):
    (tmp_path / "note.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=r"accepted: a new or an empty folder\. Choose another name; nothing was written"):
        example_make(design="swap", root=tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["note.txt"]


def test_an_empty_folder_is_filled(tmp_path):
    example_make(design="swap", root=tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"trial.toml", "series.csv", "events.csv"}


def test_an_unknown_example_is_refused_with_those_there_are(tmp_path):
    with pytest.raises(InputError, match=r"the example is crossover; accepted: side_by_side, .*threshold\. fairtank example lists"):
        example_make(design="crossover", root=tmp_path / "new")
    assert not (tmp_path / "new").exists()
