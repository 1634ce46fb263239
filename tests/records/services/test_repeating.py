"""A repeated trial: the same question in other tanks, quantities by depth, area and litre, and nothing of the first keeper's own."""

import zipfile
from datetime import date

import pytest
from tests.records.kit_trials import PLAN, TODAY, judged_by_hand, kit_trial

from fairtank.build import Dose, Layer, Light, Material, Piece, Planting, Setup, SourceWater, Tank, WaterPlan
from fairtank.errors import FolderError, InputError
from fairtank.planning.building.repeated import OPEN, setup_repeated
from fairtank.planning.buildsheet import build_sheet
from fairtank.records.folder import read_folder
from fairtank.records.folder.setup_toml_writer import text_from_setup
from fairtank.records.services.kitting import kit_make
from fairtank.records.services.repeating import OtherTanks, size_read, trial_repeat

SMALL, LARGE = Tank("T1", 312, 212, 250, 6, 200), Tank("T1", 612, 412, 300, 6, 250)  # inside: 30 x 20 cm, 60 x 40 cm
SETUP = Setup(
    tanks=(SMALL,), places=(("T1", "T1"),), weeks=4, materials=(
        Material("soil", "layer", bulk_density_kg_l=1.0, particle_density_kg_l=2.0, price=9, owned=2, pack_size=9, pack_unit="L",
                 batch="B1"),
        Material("slate", "rock", particle_density_kg_l=2.7), Material("moss", "plant"), Material("feed", "liquid",
                                                                                                  label_mg_ml=(("K", 10.0),))),
    layers=(Layer("soil", mass_kg=3.0),), rocks=(Piece("slate", 1.0, 2),), plantings=(Planting("moss", "midground", count=5),),
    doses=(Dose("feed", volume_ml=2.0, doses_per_week=2),), light=(Light(45, 8, ((1.0, 80.0),)),),
    water=(WaterPlan(SourceWater("tap", 7, 4), change_fraction=0.3),))


def test_a_bed_keeps_its_depth_plants_their_density_and_doses_their_strength():
    new, told = setup_repeated(SETUP, (LARGE,), SETUP.places, ())
    before, after = build_sheet(SETUP), build_sheet(new)
    assert before.units[0].layers[0].depth_mm == pytest.approx(50), "3 kg of 1 kg/L on 600 cm2: 3 L, 5 cm"
    assert after.units[0].layers[0].depth_mm == pytest.approx(50, abs=0.1)
    assert after.units[0].layers[0].mass_kg == pytest.approx(12, rel=0.005), "four times the floor"
    assert (new.rocks[0].mass_kg, new.rocks[0].count, new.plantings[0].count) == (4.0, 2, 20)
    assert new.doses[0].per_litre
    assert new.doses[0].volume_ml == pytest.approx(2.0 / before.units[0].net_l, rel=1e-3)
    dose = next(line for line in after.lines if line.part == "doses")
    assert dose.planned == pytest.approx(2.0 * after.units[0].net_l / before.units[0].net_l, abs=0.26), "to the half millilitre"
    assert (new.light[0].target_umol, new.light[0].measured) == (45, ())
    assert (new.materials[0].price, new.materials[0].owned, new.materials[0].batch) == (None, 0.0, "")
    assert any("tap water" in one.what for one in told if one.kind == OPEN)


def test_the_same_tanks_give_the_same_quantities():
    new, _ = setup_repeated(SETUP, (SMALL,), SETUP.places, ())
    kept = ([line for line in build_sheet(one).lines if line.part != "light"] for one in (SETUP,
                                                                                          new))  # its readings are the first keeper's
    for old, again in zip(*kept, strict=True):
        assert (again.title, again.planned) == (old.title, pytest.approx(old.planned, rel=0.01, abs=0.5))


@pytest.fixture(scope="module")
def kit(tmp_path_factory):
    place = tmp_path_factory.mktemp("repeat")
    setup = Setup(**{**vars(SETUP), "tanks": tuple(Tank(f"T{number}", 312, 212, 250, 6, 200) for number in range(1, 5)),
                     "places": tuple((f"T{number}", f"T{number}") for number in range(1, 5))})
    root = kit_trial(place / "trial", more={"setup.toml": text_from_setup(setup)}, plan=PLAN.replace("drawn = true", "drawn = true\nseed = "
                                                                                                                     "77"))
    return kit_make(root=root, out=place / "kit.zip", today=TODAY, judged=judged_by_hand(root))


def test_a_kit_opens_as_a_new_plan(kit, tmp_path):
    made = trial_repeat(place=kit.path, root=tmp_path / "mine", tanks=OtherTanks(((61.2, 41.2, 30.0),), 6), start=date(2027, 3, 1))
    folder = read_folder(tmp_path / "mine")
    old, new = kit.facts.plan, folder.plan
    assert (new.question, new.change, new.reference, new.measures, new.days, new.arms) == (
        old.question, old.change, old.reference, old.measures, old.days, old.arms)
    assert (new.start, new.drawn, new.seed, new.keeper, new.place, new.disclosure) == (date(2027, 3, 1), False, None, "", "", "")
    assert new.repeats == f"{old.title}; {kit.facts.inputs_digest}"
    assert folder.setup.tanks[0].length_mm == 612
    assert folder.setup.tanks[0].water_mm == 250, "as far below the rim as in the first trial"
    left = (folder.photos, folder.readings, folder.series, folder.build, folder.events, folder.factors, folder.draws, folder.seal)
    assert not any(left)
    assert {path.name for path in (tmp_path / "mine").iterdir()} == {"trial.toml", "setup.toml", "what-was-repeated.md"}
    told = (tmp_path / "mine" / "what-was-repeated.md").read_text(encoding="utf-8")
    assert "| day 0 | 2026-03-01 | 2027-03-01 |" in told
    assert "seed 77" in told
    assert made.text == told


def test_the_arms_stand_in_turn_until_the_lot_is_drawn_and_not_as_the_first_draw_had_them(tmp_path):
    plan = PLAN.replace('key = "T2"\narm = "C"', 'key = "T2"\narm = "R"').replace('key = "T3"\narm = "R"', 'key = "T3"\narm = "C"')
    root = kit_trial(tmp_path / "first", plan=plan)
    made = trial_repeat(place=root, root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
    assert [unit.arm for unit in made.plan.units] == ["R", "C", "R", "C"]
    assert all(unit.position == "" for unit in made.plan.units)


def test_that_the_first_keeper_scored_blind_says_nothing_of_the_second(tmp_path):
    assert "[design]" in PLAN
    root = kit_trial(tmp_path / "first", plan=PLAN.replace("[design]", "[design]\nblinded = true"))
    made = trial_repeat(place=root, root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
    assert not made.plan.blinded
    assert any(one.kind == OPEN and "kept from knowing the arms" in one.what for one in made.moved)


def test_what_belongs_to_the_first_keeper_s_place_is_carried_over_and_asked_to_be_confirmed(tmp_path):
    plan = PLAN.replace("[design]", "[design]\nshared_water = true")
    for unit, block in zip(("T1", "T2", "T3", "T4"), ("window", "window", "wall", "wall"), strict=True):
        plan = plan.replace(f'key = "{unit}"\n', f'key = "{unit}"\nblock = "{block}"\n')
    made = trial_repeat(place=kit_trial(tmp_path / "first", plan=plan), root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
    new = read_folder(tmp_path / "mine").plan
    assert new.shared_water
    assert [unit.block for unit in new.units] == ["window", "window", "wall", "wall"]
    asked = {one.was: one.what for one in made.moved if one.kind == OPEN and "carried over, so confirm it" in one.what}
    assert set(asked) == {"it does", "window: T1, T2; wall: T3, T4"}
    first = (tmp_path / "mine" / "trial.toml").read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# shared_water and block: carried over from the trial that this one repeats. Confirm")
    assert made.text.count("carried over, so confirm it") == 2


def test_where_nothing_of_the_place_was_said_nothing_is_asked(kit, tmp_path):
    made = trial_repeat(place=kit.path, root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
    assert not [one for one in made.moved if "carried over" in one.what]
    assert "#" not in (tmp_path / "mine" / "trial.toml").read_text(encoding="utf-8").splitlines()[0]


def test_a_sealed_trial_is_named_by_its_code(tmp_path):
    from fairtank.records.services.sealing import trial_seal

    root = kit_trial(tmp_path / "first")
    trial_seal(root=root)
    seal = read_folder(root).seal
    made = trial_repeat(place=root, root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
    assert made.plan.repeats.endswith(f"; seal {seal.last.code}")


def test_a_plan_that_was_altered_in_a_kit_is_not_repeated(kit, tmp_path):
    there = tmp_path / "kit"
    zipfile.ZipFile(kit.path).extractall(there)
    root = next(there.iterdir())
    (root / "trial.toml").write_text((root / "trial.toml").read_text(encoding="utf-8").replace("days = 25", "days = 30"), encoding="utf-8")
    with pytest.raises(FolderError, match=r"trial\.toml: the file is not the one that the kit's list names"):
        trial_repeat(place=root, root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize(("sizes", "glass", "said"), [
    (((60, 30, 36), (60, 30, 36)), 6, "the number of tanks is 2; accepted: one size for all tanks, or 4 of them"),
    (((60, 2, 36),), 6, "a tank whose water line lies inside it"), (((60, 30, 5),), 6, "a tank whose water line lies inside it"),
])  # fmt: skip
def test_tanks_that_cannot_be_are_refused(kit, tmp_path, sizes, glass, said):
    with pytest.raises(InputError, match=said):
        trial_repeat(place=kit.path, root=tmp_path / "mine", tanks=OtherTanks(sizes, glass))
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize("text", ["", "60", "60x30", "60x30xhigh", "a tank"])
def test_a_size_that_is_none_is_refused(text):
    with pytest.raises(InputError, match="length x width x height in cm, such as 60x30x36"):
        size_read(text)


def test_a_size_may_be_written_with_a_comma():
    assert size_read("90,5x45x45") == size_read("90.5 x 45 x 45 cm") == (90.5, 45.0, 45.0)


def test_a_day_0_that_is_past_is_refused(kit, tmp_path):
    tanks = OtherTanks(((60, 30, 36),), 6)
    with pytest.raises(InputError, match="day 0 is 2027-02-28; accepted: today or a later day"):
        trial_repeat(place=kit.path, root=tmp_path / "mine", tanks=tanks, start=date(2027, 2, 28), today=date(2027, 3, 1))
    assert not (tmp_path / "mine").exists()


def test_a_folder_that_is_not_free_is_left_alone(kit, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "note").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="a new or an empty folder"):
        trial_repeat(place=kit.path, root=tmp_path / "mine", tanks=OtherTanks(((60, 30, 36),), 6))
