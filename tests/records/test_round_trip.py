"""Folder, shelf, folder: the same to the byte; and the same again after every table was written anew from its rows."""

import json
import random

import pytest
from tests.cli.conftest import plan_toml, series_csv
from tests.records.conftest import Folder

from fairtank.records.folder import read_folder
from fairtank.records.services.drawing import DrawRequest, trial_draw
from fairtank.records.services.examples import EXAMPLES, example_make
from fairtank.records.services.sealing import trial_seal
from fairtank.records.services.trials import trial_judge
from fairtank.trial import TrialFolder


def taken_in(root):
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=root, by=KEEPER)


def written(trial, root):
    from fairtank.records.services.exporting import trial_export

    return trial_export(trial=trial, root=root)


def all_anew(trial):
    """Every table of a trial is to be written from its rows, as after a change of each."""
    from fairtank.records.rows.kinds import KINDS
    from fairtank.records.services.trail import KEEPER, noted

    noted(by=KEEPER, verb="change", said="Changed a row of every table.", trial=trial, tables=tuple(KINDS))


def files_of(root):
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}


def nouns_of(root) -> dict:
    """Everything that a folder says, without where it lies and the digests of its files."""
    folder = read_folder(root)
    left_out = {"root", "digest", "file_digests"}
    return {name: getattr(folder, name) for name in TrialFolder.__dataclass_fields__ if name not in left_out}


@pytest.mark.parametrize("design", EXAMPLES)
def test_every_example_comes_back_to_the_byte_also_when_written_anew(shelf, tmp_path, design):
    root = tmp_path / design
    example_make(design=design, root=root)
    trial = taken_in(root)
    assert files_of(written(trial, tmp_path / "back")) == files_of(root)
    all_anew(trial)
    assert files_of(written(trial, tmp_path / "anew")) == files_of(root), "the examples are in the form in which tables are written"


@pytest.fixture
def sealed(tmp_path):
    """A drawn and sealed trial with everything that a folder can hold but photos, in its keeper's own form."""
    made = Folder(tmp_path / "sealed")
    made.put("trial.toml", "# a remark of mine\n" + plan_toml().replace("drawn = true", "drawn = false"))
    rows = series_csv().splitlines()
    mixed = random.Random(4).sample(rows[1:], len(rows) - 1)
    made.put("series.csv", "\n".join([rows[0] + ",who", *(f"{row},me" for row in mixed)]) + "\n")
    request = DrawRequest(seed=7, witness="a friend", reason="the values were made before")
    trial_draw(root=made.root, request=request, out=tmp_path / "out", list_to=tmp_path / "list")
    return made


def test_a_folder_in_its_keepers_own_form_comes_back_to_the_byte(shelf, sealed, tmp_path):
    made = sealed
    start = read_folder(made.root).plan.start
    made.put("factors.csv", "factor,unit,value,shade\nhands,,one person,\nfilter_model,T1,sponge,green\n")
    made.put("readings.csv", f"taken_at,unit,quantity,value,colour\r\n{start} 18:00,T1,ph,6.80,\"blue, deep\"\r\n"
                             f"{start} 18:05,T2,ph,7,\r\n")
    made.put("events.csv", f"at,note,kind\n{start}T07:30:00,\"stood still, \"\"again\"\"\",pump\n")
    made.put("notes.md", "Mine alone.\n")
    trial_seal(root=made.root, with_data=True)
    trial = taken_in(made.root)
    assert files_of(written(trial, tmp_path / "back")) == files_of(made.root)
    before = nouns_of(made.root)
    all_anew(trial)
    after = nouns_of(written(trial, tmp_path / "anew"))
    for name, value in before.items():
        assert repr(after[name]) == repr(value), name
    assert files_of(tmp_path / "anew")["seal.json"] == files_of(made.root)["seal.json"]
    assert files_of(tmp_path / "anew")["draw.json"] == files_of(made.root)["draw.json"]
    assert files_of(tmp_path / "anew")["trial.toml"] == files_of(made.root)["trial.toml"]


@pytest.mark.parametrize("design", ["side_by_side", "one_each"])
def test_what_comes_out_of_the_shelf_is_judged_as_what_went_in(shelf, tmp_path, design):
    from fairtank.publish.findings_file import findings_text

    root = tmp_path / "in"
    example_make(design=design, root=root)
    trial = taken_in(root)
    back = written(trial, tmp_path / "back")
    texts = []
    for place in (root, back):
        judged = trial_judge(root=place)
        texts.append(json.loads(findings_text(judged.findings, judged.folder.digest)))
    assert texts[0] == texts[1]
    assert texts[0]["findings"]


def test_photos_and_strokes_keep_their_bytes(shelf, tmp_path):
    from tests.records.shelved import shelved

    trial = shelved(tmp_path)
    assert files_of(written(trial, tmp_path / "back")) == files_of(tmp_path / "photographed")
    all_anew(trial)
    anew = written(trial, tmp_path / "anew")
    assert repr(nouns_of(anew)) == repr(nouns_of(tmp_path / "photographed"))
    assert {name: content for name, content in files_of(anew).items() if name.endswith((".jpg", ".png"))} == {
        name: content for name, content in files_of(tmp_path / "photographed").items() if name.endswith((".jpg", ".png"))}


@pytest.mark.parametrize("design", list(EXAMPLES)[:3])
def test_a_shelf_is_clean_after_tables_were_written_anew(shelf, tmp_path, design):
    from fairtank.records.services.checking import shelf_check

    example_make(design=design, root=tmp_path / design)
    trial = taken_in(tmp_path / design)
    all_anew(trial)
    written(trial, tmp_path / "anew")
    assert shelf_check().faults == ()
