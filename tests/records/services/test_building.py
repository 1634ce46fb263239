"""A build planned from a folder: files written once everything is made, build.csv kept, plans of every shape."""

import json
from dataclasses import replace
from datetime import date

import pytest
from tests.planning import setups
from tests.records.photo_trials import listing
from tests.records.test_setup_toml import SETUP

from fairtank.errors import DesignError, FolderError, InputError, JobError
from fairtank.planning.buildsheet import build_lines, build_sheet
from fairtank.records.exporters.build_json import build_json
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.services import building
from fairtank.records.services.building import trial_build
from fairtank.simulation import scenario, scenario_names
from fairtank.trial import Arm, BuildLine, MeasureChoice, Plan, Unit

FILES = ["build-sheets.pdf", "shopping.csv", "shopping.pdf"]


def plan_of(setup, kind="side_by_side", **fields):
    """A plan whose units stand and are allotted as the setup says."""
    arms = dict(setup.arms)
    units = tuple(replace(Unit(unit, arms[unit], tank=tank), **fields.get(unit, {})) for unit, tank in setup.places)
    return Plan("Two ways", date(2026, 3, 1), 42, kind, (Arm("R", "reference"), Arm("C", "changed")), units,
                (MeasureChoice("algae_cover", "primary"),))


@pytest.fixture
def soil(tmp_path):
    """Two tanks with a rich base under a cap, as a folder."""
    setup = setups.soil_under_cap()
    write_folder(tmp_path / "trial", plan_of(setup), setup=setup)
    return tmp_path / "trial"


def test_a_build_writes_sheets_shopping_list_and_a_row_for_each_line(soil, tmp_path):
    planned = trial_build(root=soil, out=tmp_path / "out")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == FILES
    assert read_folder(soil).build == build_lines(planned.sheet)
    assert planned.is_new
    assert planned.rows.added == len(planned.sheet.lines)
    lines = (tmp_path / "out" / "shopping.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("material,title,needed,waste,unit_of_measure,owned,to_buy,packs,pack_size,price,cost,currency")
    assert len(lines) == 1 + len(planned.shopping.lines)


def test_a_second_time_nothing_moves_and_weighed_amounts_stay(soil, tmp_path):
    trial_build(root=soil, out=tmp_path / "out")
    trial = read_folder(soil)
    weighed = tuple(replace(line, weighed=line.planned, batch="7", note="dry") if line.material == "sifted pond soil" else line
                    for line in trial.build)
    (soil / "build.csv").unlink()
    write_table(soil, weighed)
    before, first = listing(soil), (tmp_path / "out" / "build-sheets.pdf").read_bytes()
    planned = trial_build(root=soil, out=tmp_path / "out")
    assert listing(soil) == before
    assert (planned.rows.added, planned.rows.changed, planned.is_new) == (0, 0, False)
    assert (tmp_path / "out" / "build-sheets.pdf").read_bytes() == first


def write_table(root, lines):
    """build.csv beside the plan and the setup that lie there."""
    from fairtank.records.folder.nouns import values_from_nouns
    from fairtank.records.folder.tables import BUILD
    from fairtank.records.folder.writer import table_text

    (root / "build.csv").write_text(table_text(BUILD, values_from_nouns("build", lines), ()), encoding="utf-8")


def test_another_plan_moves_the_planned_amount_only(soil, tmp_path):
    trial_build(root=soil)
    write_table(soil, (BuildLine("A", "sifted pond soil", "bed", 0.5, 0.49, "kg", "7", "dry"), BuildLine("B", "gift", "", None, 1.0, "kg")))
    planned = trial_build(root=soil, out=tmp_path / "out")
    row = read_folder(soil).build[0]
    expected = next(line.planned for line in planned.sheet.lines_of("A") if line.title == "sifted pond soil")
    assert (row.planned, row.weighed, row.batch, row.note) == (expected, 0.49, "7", "dry")
    assert (planned.rows.changed, planned.rows.unplanned) == (1, (("B", "gift"),))
    assert BuildLine("B", "gift", "", None, 1.0, "kg") in read_folder(soil).build


def test_columns_of_the_keepers_own_stay(soil, tmp_path):
    (soil / "build.csv").write_text("who,unit,material,planned,weighed,unit_of_measure\nIo,A,sifted pond soil,1,0.9,kg\n", encoding="utf-8")
    planned = trial_build(root=soil, out=tmp_path / "out")
    trial = read_folder(soil)
    assert trial.unknown_columns == (("build.csv", "who"),) == planned.unknown_columns
    assert [cells["who"] for cells in trial.unknown_cells["build.csv"]][:2] == ["Io", ""]


def test_without_out_nothing_is_written_and_the_answer_is_one_json_object(soil):
    before = listing(soil)
    planned = trial_build(root=soil)
    document = json.loads(build_json(planned))
    assert listing(soil) == before
    assert document["files"] is None
    assert len(document["lines"]) == len(planned.sheet.lines)
    assert document["units"][0]["net_l"] == planned.sheet.units[0].net_l
    assert document["tanks"][0]["panes"][0]["panel"]["safety_factor"] > 0
    assert document["shopping"]["currency"] == "crowns"
    assert all(effect["sentence"].startswith("In B") for effect in document["side_effects"])
    assert document["build_csv"] == {"is_new": True, "added": len(planned.sheet.lines), "changed": 0, "unplanned": []}


def test_a_setup_without_a_plan_is_built_too(plain, tmp_path):
    plain.drop("trial.toml", "series.csv")
    plain.put("setup.toml", SETUP.replace('kind = "wood"', 'kind = "wood"\nparticle_density_kg_l = 1.1')
              .replace('kind = "layer"', 'kind = "layer"\nparticle_density_kg_l = 2.5')
              .replace('keys = ["T1", "T2"]', 'key = "T1"\ndividers = 1\ndivider_glass_mm = 5'))
    planned = trial_build(root=plain.root, out=tmp_path / "out")
    assert planned.setup.units == ("T1a", "T1b")
    assert planned.title == "plain"
    again = trial_build(root=plain.root, out=tmp_path / "out")
    assert (again.rows.added, again.rows.changed) == (0, 0)


def test_a_build_that_cannot_be_made_tells_everything_and_writes_nothing(plain, tmp_path):
    plain.put("setup.toml", SETUP.replace("bulk_density_kg_l = 0.8\n", ""))
    before = listing(tmp_path)
    with pytest.raises(DesignError) as refused:
        trial_build(root=plain.root, out=tmp_path / "out")
    assert len(str(refused.value).splitlines()) >= 2
    assert "The density of soil is not known" in str(refused.value)
    assert "The density of branch is not known" in str(refused.value)
    assert listing(tmp_path) == before


def test_a_plan_without_setup_is_told_what_is_missing(plain, tmp_path):
    with pytest.raises(FolderError, match=r"setup\.toml: the file is missing; accepted: what is to be built"):
        trial_build(root=plain.root, out=tmp_path / "out")


def test_a_bad_place_for_results_is_refused_before_anything_is_made(soil, tmp_path):
    with pytest.raises(InputError, match="the trial folder itself"):
        trial_build(root=soil, out=soil)
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="is a file; accepted: a folder"):
        trial_build(root=soil, out=tmp_path / "file")
    assert not (soil / "build.csv").exists()


def test_a_build_table_that_cannot_be_written_is_said_so(soil, tmp_path, monkeypatch):
    def full(path, text):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(building, "text_write", full)
    with pytest.raises(JobError, match=r"build\.csv cannot be written: No space left on device\. Sheets and shopping list were written\."):
        trial_build(root=soil, out=tmp_path / "out")


def test_in_rounds_each_round_has_boxes_of_its_own(tmp_path):
    setup = setups.soil_under_cap()
    setup = replace(setup, tanks=setup.tanks[:1], places=(("A", "left"), ("B", "left")))
    write_folder(tmp_path / "trial", plan_of(setup, "rounds", A={"round": "1"}, B={"round": "2"}), setup=setup)
    planned = trial_build(root=tmp_path / "trial")
    alone = build_sheet(replace(setup, places=setup.places[:1], arms=setup.arms[:1], devices=setup.devices[:2]))
    assert [tank.tank for tank in planned.sheet.tanks] == ["left, round 1", "left, round 2"]
    assert planned.sheet.tanks[0].weight_kg == pytest.approx(alone.tanks[0].weight_kg)
    assert planned.sheet.cautions[-1].startswith("The boxes of each round are counted by themselves")


@pytest.mark.parametrize(("compartments", "expected"), [
    (("right", "left", "Middle"), ("middle", "right", "left")), (("2", "10", "1"), ("right", "left", "middle")),
    (("", "", ""), ("left", "middle", "right")), (("c", "b", "a"), ("right", "middle", "left"))])
def test_compartments_are_drawn_in_the_order_in_which_the_plan_names_them(compartments, expected):
    """Units are called left, middle and right; what counts is the word of the plan, not the name of the unit."""
    units = [Unit(key, "R", compartment=word) for key, word in zip(("left", "middle", "right"), compartments, strict=True)]
    assert building._left_to_right(units) == expected


@pytest.mark.parametrize("name", scenario_names())
def test_the_demos_build_table_agrees_with_the_sheet_made_from_its_setup(name):
    planned = scenario(name)
    amounts = {(line.unit, line.title): line.planned for line in build_sheet(planned.setup).lines}
    assert all(amounts[line.unit, line.material] == line.planned for line in planned.build)
    batches = {(line.unit, line.title): line.batch for line in build_sheet(planned.setup).lines}
    assert all(line.batch == batches[line.unit, line.material] for line in planned.build if line.kind != "water")


def test_the_demos_water_stands_where_the_photos_show_it():
    from fairtank.simulation.light import WATER_LINE_CM

    tank = scenario("midday").setup.tanks[0]
    assert tank.water_mm + tank.bottom_mm == pytest.approx(10 * WATER_LINE_CM)
    assert (tank.length_mm, tank.width_mm, tank.height_mm) == (450, 280, 360)
