"""fairtank build: sheets, shopping list and build.csv from a setup, told in short sentences; refused in sentences."""

import json

import pytest
from tests.cli.running import run_apart, run_here
from tests.planning import setups
from tests.records.conftest import Folder
from tests.records.photo_trials import listing
from tests.records.services.test_building import plan_of
from tests.records.test_setup_toml import SETUP

from fairtank.publish.side_effect_words import side_effect_text
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.services.building import trial_build
from fairtank.simulation import scenario


@pytest.fixture
def soil(tmp_path):
    """Two tanks with a rich base under a cap; an electrode pair in one of them is the change."""
    setup = setups.soil_under_cap()
    write_folder(tmp_path / "trial", plan_of(setup), setup=setup)
    return tmp_path / "trial"


def test_the_answer_is_sentences_then_where_files_lie(capsys, soil, tmp_path):
    ran = run_here(capsys, "build", soil, "--out", tmp_path / "out")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.replace("\u00a0", " ").splitlines()
    assert lines[0] == "2 units, 13 to 14 lines each, 22.8 L of water each."
    assert lines[1] == "On the stand: 34 kg (left, right)."
    assert lines[2].startswith("What must be bought costs at least 111.50 crowns, ")
    planned = trial_build(root=soil)
    at = lines.index("What the change brings besides itself:")
    said = [f"  {text}".replace("\u00a0", " ") for text in side_effect_text(planned.effects)]
    assert lines[at + 1 : at + 1 + len(said)] == said
    assert len(said) >= 3
    assert [f"  {text}" for text in planned.sheet.cautions] == lines[lines.index("About this build:") + 1 :][: len(planned.sheet.cautions)]
    assert any(line.startswith("Before you begin, read the last page of the build sheets: glass, weight, mains near "
                               "water") for line in lines)
    assert "Local codes, the product's own sheet and licensed people come first." in lines
    assert lines[-1] == f"Next: fairtank cards {soil}  (photo cards)"
    assert lines[-6:-1] == [f"build.csv was made, with {len(planned.sheet.lines)} rows.",
                          f"Build sheets:  {tmp_path / 'out' / 'build-sheets.pdf'}", f"Shopping list: {tmp_path / 'out' / 'shopping.pdf'}",
                          f"               {tmp_path / 'out' / 'shopping.csv'}", f"To weigh in:   {soil / 'build.csv'}"]


def test_a_second_run_says_that_nothing_changed_and_rows_of_old_are_named(capsys, soil):
    run_here(capsys, "build", soil)
    assert "build.csv: nothing changed; what was weighed stays." in run_here(capsys, "build", soil).out
    table = (soil / "build.csv").read_text(encoding="utf-8").replace("0.562,,kg", "0.5,0.49,kg").splitlines()
    (soil / "build.csv").write_text("\n".join([*table[:5], *table[7:], "A,gift,,,1,kg,,"]) + "\n", encoding="utf-8")
    ran = run_here(capsys, "build", soil)
    assert "build.csv: 2 rows were added, 2 rows were brought up to date; what was weighed stays." in ran.out
    assert "build.csv: kept although no longer planned: gift (A)." in ran.out
    assert sorted(path.name for path in (soil / "out").iterdir()) == ["build-sheets.pdf", "shopping.csv", "shopping.pdf"]
    assert [line.weighed for line in read_folder(soil).build if line.material == "sifted pond soil"] == [0.49, 0.49]


def test_json_is_one_object_and_writes_only_where_it_is_told_to(capsys, soil, tmp_path):
    before = listing(soil)
    ran = run_here(capsys, "build", soil, "--json")
    assert (ran.code, ran.err) == (0, "")
    document = json.loads(ran.out)
    assert document["files"] is None
    assert [unit["unit"] for unit in document["units"]] == ["A", "B"]
    assert listing(soil) == before
    document = json.loads(run_here(capsys, "build", soil, "--json", "--out", tmp_path / "out").out)
    assert document["files"]["build_table"] == str(soil / "build.csv")
    assert (soil / "build.csv").exists()


def test_the_bytes_are_the_same_on_every_run_and_with_every_hash_seed(soil, tmp_path):
    first = run_apart("build", soil, "--json", PYTHONHASHSEED="1")
    assert first.code == 0
    assert first == run_apart("build", soil, "--json", PYTHONHASHSEED="4711", LC_ALL="C", TZ="Pacific/Auckland")


def test_a_setup_before_there_is_a_plan_is_enough(capsys, tmp_path):
    plain = Folder(tmp_path / "plain")
    plain.put("setup.toml", SETUP.replace('kind = "wood"', 'kind = "wood"\nparticle_density_kg_l = 1.1')
              .replace('kind = "layer"', 'kind = "layer"\nparticle_density_kg_l = 2.5').replace("[money]", "colour = 3\n[money]"))
    ran = run_here(capsys, "build", plain.root)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("Kept but not used: [setup] colour (setup.toml).\n2 units, ")


def test_faults_are_one_sentence_each_and_nothing_is_written(capsys, soil, tmp_path):
    text = (soil / "setup.toml").read_text(encoding="utf-8")
    (soil / "setup.toml").write_text(text.replace("glass_mm = 5", "glass_mm = 500").replace('kind = "rock"', 'kind = "stone"')
                                     .replace("count = 3", "count = -3"), encoding="utf-8")
    before = listing(tmp_path)
    ran = run_here(capsys, "build", soil, "--out", tmp_path / "out")
    assert (ran.code, ran.out) == (1, "")
    assert [sentence.split(":")[0] for sentence in ran.err.splitlines()] == [
        "setup.toml, [[tank]] 1, glass_mm", "setup.toml, [[material]] 3, kind", "setup.toml, [[rock]] 1, count"]
    assert listing(tmp_path) == before


def test_what_cannot_be_built_is_refused_with_every_reason(capsys, soil, tmp_path):
    text = (soil / "setup.toml").read_text(encoding="utf-8")
    for material in setups.soil_under_cap().materials:  # under another key nothing is known of their density
        for word in ("key", "material"):
            text = text.replace(f'{word} = "{material.key}"', f'{word} = "my_{material.key}"')
    (soil / "setup.toml").write_text(text, encoding="utf-8")
    ran = run_here(capsys, "build", soil, "--out", tmp_path / "out")
    assert (ran.code, ran.out) == (1, "")
    told = ran.err.splitlines()
    assert len(told) == len(set(told)) >= 4
    for name in ("sifted pond soil", "fine aquatic soil", "lava rock", "branch"):
        assert any(f"of {name} is not known" in sentence for sentence in told)
    assert not (tmp_path / "out").exists()


def test_guessing_at_a_keepers_rows_is_refused(capsys, soil, tmp_path):
    (soil / "build.csv").write_text("unit,material,planned,weighed,unit_of_measure\nA,branch,,0.4,kg\nA,branch,,0.2,kg\n", encoding="utf-8")
    before = listing(tmp_path)
    ran = run_here(capsys, "build", soil, "--out", tmp_path / "out")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == ("build.csv, column material: 2 rows of A say branch; accepted: one row for each material of a unit: weigh amounts "
                       "together, or give one of them another name.\n")
    assert listing(tmp_path) == before


@pytest.mark.parametrize(("place", "told"), [
    ("missing", "missing: there is no such folder; accepted: a folder that holds setup.toml.\n"),
    ("empty", "setup.toml: the file is missing; accepted: what is to be built (docs/guide/trial-folder.md shows how to write it, "
     "fairtank demo makes an example).\n"),
])
def test_a_folder_without_a_setup_is_refused_in_one_sentence(capsys, tmp_path, place, told):
    (tmp_path / "empty").mkdir()
    ran = run_here(capsys, "build", tmp_path / place, "--out", tmp_path / "out")
    assert (ran.code, ran.out, ran.err) == (1, "", told)
    assert [path.name for path in tmp_path.iterdir()] == ["empty"]


@pytest.mark.parametrize("name", ["midday", "cover_glass"])
def test_a_demo_folder_is_brought_up_to_its_plan_without_losing_a_weight(capsys, tmp_path, name):
    planned = scenario(name)
    write_folder(tmp_path / "demo", planned.plan, setup=planned.setup, build=planned.build)
    ran = run_here(capsys, "build", tmp_path / "demo")
    assert (ran.code, ran.err) == (0, "")
    assert "brought up to date" not in ran.out
    assert "no longer planned" not in ran.out
    now = read_folder(tmp_path / "demo").build
    assert [line for line in now if line.weighed is not None] == list(planned.build)
