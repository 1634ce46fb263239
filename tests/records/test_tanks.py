"""The keeper's tanks and materials: stored as the checks of setup.toml take them, told as those write them."""

from datetime import date

import pytest

from fairtank import build

TANK = {"key": "T1", "length_cm": 60, "width_cm": "30 cm", "height_cm": "360 mm", "glass_mm": 6, "water_line_from_outside_cm": 33.6,
        "rim": "open", "dividers": 2, "divider_glass_mm": 4}


@pytest.fixture
def tank(shelf):
    """One that is written down."""
    from fairtank.records.services.tanks import tank_store
    from fairtank.records.services.trail import KEEPER

    return tank_store(by=KEEPER, table=TANK)


def test_a_tank_is_stored_in_the_units_of_the_rows_and_told_in_those_of_the_file(tank):
    from fairtank.records.services.tanks import table_of_tank, tank_noun

    assert tank_noun(tank) == build.Tank("T1", 600, 300, 360, 6, 330, rim="open", dividers=2, divider_glass_mm=4)
    assert table_of_tank(tank) == {"key": "T1", "length_cm": 60, "width_cm": 30, "height_cm": 36, "glass_mm": 6, "water_line_cm": 33,
                                   "rim": "open", "dividers": 2, "divider_glass_mm": 4}


def test_what_a_compartment_holds_is_what_the_sum_of_its_sides_gives(tank):
    from fairtank.records.selectors.tanks import tank_shown
    from fairtank.records.services.tanks import tank_noun

    shown = tank_shown(tank_noun(tank))
    inner_mm = (600 - 2 * 6 - 2 * 4) / 3
    assert shown.litres == pytest.approx(inner_mm * 288 * 330 / 1e6)
    assert any("dividers" in line for line in shown.cautions)


def test_a_thin_long_pane_is_warned_of(shelf):
    from fairtank.records.selectors.tanks import tank_shown

    thin = tank_shown(build.Tank("T1", 1500, 500, 600, 6, 560))
    assert any("Ask a glazier before filling" in line for line in thin.cautions)
    assert not any("Ask a glazier" in line for line in tank_shown(build.Tank("T1", 300, 300, 300, 8, 250)).cautions)


def test_the_same_description_again_is_no_change(tank):
    from fairtank.records.models import Change
    from fairtank.records.services.tanks import table_of_tank, tank_store
    from fairtank.records.services.trail import KEEPER

    count = Change.objects.count()
    tank_store(by=KEEPER, table=table_of_tank(tank), tank=tank)
    assert Change.objects.count() == count
    tank_store(by=KEEPER, table={**table_of_tank(tank), "title": "left one"}, tank=tank)
    assert Change.objects.latest("pk").before["title"] == ""


@pytest.mark.parametrize(("change", "at", "said"), [
    ({"length_cm": 4}, "length_cm", "out of range"), ({"water_line_from_outside_cm": 50}, "water_line_from_outside_cm", "above the rim"),
    ({"rim": "loose"}, "rim", "none of the words"), ({"divider_glass_mm": 0}, "divider_glass_mm", "out of range"),
])  # fmt: skip
def test_what_cannot_be_is_told_at_its_key(shelf, change, at, said):
    from fairtank.records.services.setup_lines import LineRefused
    from fairtank.records.services.tanks import tank_store
    from fairtank.records.services.trail import KEEPER

    with pytest.raises(LineRefused, match=said) as refused:
        tank_store(by=KEEPER, table={**TANK, **change})
    assert at in refused.value.sentences


def test_two_tanks_cannot_have_one_short_name_unless_one_is_away(tank):
    from fairtank.records.services.setup_lines import LineRefused
    from fairtank.records.services.tanks import tank_store
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.trash import row_bring_back, row_take_away

    with pytest.raises(LineRefused, match="There is a tank T1 already"):
        tank_store(by=KEEPER, table=TANK)
    row_take_away(row=tank, by=KEEPER)
    tank_store(by=KEEPER, table=TANK)
    with pytest.raises(Exception, match="Another one of that name is there now"):
        row_bring_back(row=tank, by=KEEPER)


def test_a_note_is_of_a_day_that_is_there_and_kept_once(tank):
    from fairtank.errors import InputError
    from fairtank.records.services.tanks import tank_note_add
    from fairtank.records.services.trail import KEEPER

    for _ in range(2):
        tank_note_add(tank=tank, by=KEEPER, said=" glued anew ", at=date(2026, 3, 1), today=date(2026, 3, 2))
    assert [note.said for note in tank.notes.all()] == ["glued anew"]
    with pytest.raises(InputError, match="today or a day before"):
        tank_note_add(tank=tank, by=KEEPER, said="moved", at=date(2026, 3, 3), today=date(2026, 3, 2))
    with pytest.raises(InputError, match="The note is empty"):
        tank_note_add(tank=tank, by=KEEPER, said="  ", at=date(2026, 3, 1), today=date(2026, 3, 2))


def test_a_material_is_told_as_it_was_described(shelf):
    from fairtank.records.services.materials import material_noun, material_store, table_of_material
    from fairtank.records.services.trail import KEEPER

    table = {"key": "clay", "kind": "layer", "title": "baked clay", "bag_mass_kg": 8.1, "bag_volume_l": 9, "pack": "9 L", "price": 16,
             "owned": "4.5 L", "batch": "B1", "waste_fraction": 0.05}
    row = material_store(by=KEEPER, table=table)
    assert material_noun(row) == build.Material("clay", "layer", "baked clay", bulk_density_kg_l=8.1 / 9, pack_size=9, pack_unit="L",
                                                price=16, owned=4.5, batch="B1", waste_fraction=0.05)
    assert table_of_material(row)["owned"] == "4.5 L"
