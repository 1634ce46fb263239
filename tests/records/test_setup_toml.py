"""setup.toml: numbers and texts with units become nouns; every refusal has its sentence, all of them at once."""

import pytest

from fairtank.build import ALL_UNITS, Layer, Light, Scope
from fairtank.errors import FolderError
from fairtank.records.folder import read_folder
from fairtank.records.folder.setup_toml_alone import read_lone_setup

SETUP = """\
[setup]
weeks = 6
[money]
currency = "crowns"
electricity_per_kwh = 0.32
[[tank]]
keys = ["T1", "T2"]
length_cm = 45
width_cm = 28
height_cm = 36
glass_mm = 5
water_line_cm = 31.5
[[material]]
key = "soil"
kind = "layer"
bulk_density_kg_l = 0.8
pack = "9 L"
[[material]]
key = "slate"
kind = "rock"
[[material]]
key = "branch"
kind = "wood"
[[material]]
key = "rosette"
kind = "plant"
[[material]]
key = "nitrate"
kind = "salt"
formula = "KNO3"
[[material]]
key = "trace"
kind = "liquid"
label_mg_ml = {Fe = 1, K = 3}
[[layer]]
material = "soil"
mass_kg = 5.4
[[rock]]
material = "slate"
mass_kg = 2.1
count = 4
[[wood]]
material = "branch"
mass_kg = 0.35
[[plant]]
material = "rosette"
zone = "midground"
count = 9
[[device]]
key = "heater"
kind = "heater"
power_w = 50
[light]
target_umol = 45
hours_per_day = 8
[water]
temp_c = 24
change_fraction = 0.3
[water.tap]
gh_dgh = 7
kh_dkh = 4
[[dose]]
material = "nitrate"
mass_mg = 150
"""


@pytest.fixture
def built(plain):
    """The small folder with a setup beside its plan."""
    plain.put("setup.toml", SETUP)
    return plain


def setup_of(folder, old="", new=""):
    """The setup after one piece of the file was replaced."""
    if old:
        folder.swap("setup.toml", old, new)
    return read_folder(folder.root).setup


def test_a_setup_is_read_with_lengths_in_mm_and_units_in_the_tanks_of_the_plan(built):
    setup = setup_of(built)
    assert [(tank.key, tank.length_mm, tank.width_mm, tank.height_mm, tank.glass_mm, tank.water_mm) for tank in setup.tanks] == [
        ("T1", 450.0, 280.0, 360.0, 5.0, 315.0), ("T2", 450.0, 280.0, 360.0, 5.0, 315.0)]
    assert setup.places == (("T1", "T1"), ("T2", "T2"))
    assert setup.arms == (("T1", "R"), ("T2", "C"))
    assert (setup.weeks, setup.money.currency, setup.money.electricity_per_kwh) == (6.0, "crowns", 0.32)
    assert setup.layers == (Layer("soil", mass_kg=5.4),)
    assert (setup.rocks[0].mass_kg, setup.rocks[0].count, setup.woods[0].count) == (2.1, 4, 1)
    assert (setup.plantings[0].count, setup.plantings[0].stock) == (9, "potted")
    assert setup.material("trace").label_mg_ml == (("Fe", 1.0), ("K", 3.0))
    assert (setup.material("soil").pack_size, setup.material("soil").pack_unit) == (9.0, "L")
    assert setup.light == (Light(45.0, 8.0),)
    assert (setup.water[0].tap.gh_dgh, setup.water[0].change_fraction, setup.water[0].room_temp_c) == (7.0, 0.3, 18.0)
    assert setup.doses[0].mass_mg == 150.0
    assert setup.layers[0].scope == ALL_UNITS


def test_a_folder_without_setup_has_none_and_one_with_it_another_digest(built):
    with_setup = read_folder(built.root)
    assert with_setup.unread_files == ()
    built.drop("setup.toml")
    assert read_folder(built.root).setup is None
    assert read_folder(built.root).digest != with_setup.digest


# The definitions of the units: an inch is 2.54 cm, a US gallon 3.785411784 L, a pound 453.59237 g; degF = degC x 9 / 5 + 32.
TEXTS = [
    ("length_cm = 45", 'length_cm = "18 in"', lambda setup: setup.tanks[0].length_mm, 457.2),
    ("glass_mm = 5", 'glass_mm = "0.25 in"', lambda setup: setup.tanks[0].glass_mm, 6.35),
    ("water_line_cm = 31.5", 'water_line_cm = "315 mm"', lambda setup: setup.tanks[0].water_mm, 315.0),
    ("mass_kg = 2.1", 'mass_kg = "5 lb"', lambda setup: setup.rocks[0].mass_kg, 2.26796185),
    ("mass_kg = 0.35", 'mass_kg = "350 g"', lambda setup: setup.woods[0].mass_kg, 0.35),
    ("temp_c = 24", 'temp_c = "77 °F"', lambda setup: setup.water[0].temp_c, 25.0),
    ("change_fraction = 0.3", 'change_fraction = "30 %"', lambda setup: setup.water[0].change_fraction, 0.3),
    ("power_w = 50", 'power_w = "0.05 kW"', lambda setup: setup.devices[0].power_w, 50.0),
    ("mass_mg = 150", 'mass_mg = "0.15 g"', lambda setup: setup.doses[0].mass_mg, 150.0),
    ('pack = "9 L"', 'pack = "2 US gal"', lambda setup: setup.material("soil").pack_size, 7.570823568),
    ('pack = "9 L"', 'pack = "9 L"\nowned = "1 US gal"', lambda setup: setup.material("soil").owned, 3.785411784),
    ('pack = "9 L"', 'pack = "9 L"\nowned = 2', lambda setup: setup.material("soil").owned, 2.0),
    ('pack = "9 L"', 'pack = "10 lb"', lambda setup: setup.material("soil").pack_size, 4.5359237),
    ("weeks = 6", 'weeks = "42 d"', lambda setup: setup.weeks, 6.0),
]


@pytest.mark.published(entry="units.convert", source="arithmetic", where="definitions of the inch, gallon, pound and degree Fahrenheit")
@pytest.mark.parametrize(("old", "new", "read", "expected"), TEXTS, ids=[new for _, new, _, _ in TEXTS])
def test_a_text_with_its_own_unit_is_turned_into_the_unit_inside(built, old, new, read, expected):
    assert read(setup_of(built, old, new)) == pytest.approx(expected, rel=1e-9)


def test_a_pack_is_told_in_kilograms_litres_or_pieces(built):
    built.swap("setup.toml", 'kind = "plant"', 'kind = "plant"\npack = "1 pot"\nowned = "3 pots"')
    rosette = setup_of(built).material("rosette")
    assert (rosette.pack_size, rosette.pack_unit, rosette.owned) == (1.0, "piece", 3.0)


def test_the_water_line_may_be_read_from_outside(built):
    assert setup_of(built, "water_line_cm = 31.5", "water_line_from_outside_cm = 32").tanks[0].water_mm == 315.0
    built.swap("setup.toml", "glass_mm = 5", "glass_mm = 5\nbottom_glass_mm = 8")
    assert setup_of(built).tanks[0].water_mm == 312.0


def test_kilograms_and_litres_of_a_bag_give_the_density(built):
    assert setup_of(built, "bulk_density_kg_l = 0.8", "bag_mass_kg = 7.2\nbag_volume_l = 9").material("soil").bulk_density_kg_l == 0.8


def test_lines_may_hold_for_some_units_or_for_an_arm(built):
    built.swap("setup.toml", "mass_kg = 5.4", 'mass_kg = 5.4\nunits = ["T1"]')
    built.swap("setup.toml", "power_w = 50", 'power_w = 50\nis_change = true\narms = ["C"]')
    setup = setup_of(built)
    assert setup.layers[0].scope == Scope(units=("T1",))
    assert setup.devices[0].scope == Scope(arms=("C",))
    assert [unit for unit in setup.units if setup.holds(setup.devices[0].scope, unit)] == ["T2"]


def test_each_arm_may_have_its_own_light(built):
    built.swap("setup.toml", "[light]\n", '[[light]]\narms = ["R"]\n')
    built.put("setup.toml", (built.root / "setup.toml").read_text() + '[[light]]\ntarget_umol = 60\nhours_per_day = 6\narms = ["C"]\n')
    assert [light.hours_per_day for light in setup_of(built).light] == [8.0, 6.0]


def test_readings_of_light_carry_their_meter_in_their_name(built):
    built.swap("setup.toml", "target_umol = 45", 'target_umol = 45\nsource = "LED-B3"\n'
               'measured = [{setting_fraction = "50 %", light_lux = 1800}, {setting_fraction = 1, light_lux = "3.5 klx"}]')
    assert setup_of(built).light[0] == Light(45.0, 8.0, ((0.5, 1800.0), (1.0, 3500.0)), "lux", "LED-B3")


def test_the_weeks_are_those_of_the_plan_where_they_are_left_out(built):
    assert setup_of(built, "weeks = 6\n", "").weeks == 6.0  # 42 days
    built.swap("trial.toml", "days = 42\n", "days = 21\n")
    for old in ("window = [0, 42]\n", "[looks]\ndays = [14, 28, 42]\nbudget = [0.005, 0.010, 0.035]\n"):
        built.swap("trial.toml", old, "")
    assert setup_of(built).weeks == 3.0


def divided(folder, *tanks):
    """Both units in the tanks named, and one divided tank in the setup."""
    for number, tank in enumerate(tanks, start=1):
        folder.swap("trial.toml", f"position = {number}", f'tank = "{tank}"')
    folder.swap("trial.toml", "seed = 7", "seed = 7\nshared_water = false")
    folder.swap("setup.toml", 'keys = ["T1", "T2"]', 'key = "long"\ndividers = 1\ndivider_glass_mm = 5')


def test_units_share_a_divided_tank_as_the_plan_says(built):
    divided(built, "long", "long")
    assert setup_of(built).places == (("T1", "long"), ("T2", "long"))


def test_in_rounds_a_tank_comes_back(built):
    built.swap("trial.toml", 'kind = "side_by_side"', 'kind = "rounds"')
    for number in (1, 2):
        built.swap("trial.toml", f"position = {number}", f'tank = "T1"\nround = "{number}"')
    assert setup_of(built, 'keys = ["T1", "T2"]', 'key = "T1"').places == (("T1", "T1"), ("T2", "T1"))


# one wrong thing, one sentence ---------------------------------------------------------------------------------------

A_CM = "a number from 5 to 500 cm, or a text with its unit such as \"24 in\""
ONE_CHANGE = [
    ("length_cm = 45\n", "", f"[[tank]] 1, length_cm: the key is missing; accepted: {A_CM}."),
    ("length_cm = 45", "length_cm = 450000", f"[[tank]] 1, length_cm: 450000 is out of range; accepted: {A_CM}."),
    ("length_cm = 45", "length_cm = nan", f"[[tank]] 1, length_cm: nan is out of range; accepted: {A_CM}."),
    ("length_cm = 45", f"length_cm = 1{'0' * 400}", f"[[tank]] 1, length_cm: a very large number is out of range; accepted: {A_CM}."),
    ("length_cm = 45", "length_cm = true", f"[[tank]] 1, length_cm: true is not a number; accepted: {A_CM}."),
    ("length_cm = 45", "length_cm = [45]", f"[[tank]] 1, length_cm: [45] is not a number; accepted: {A_CM}."),
    ("length_cm = 45", 'length_cm = "45"', f"[[tank]] 1, length_cm: 45 carries no unit; accepted: {A_CM}."),
    ("length_cm = 45", 'length_cm = "45 kg"', f'[[tank]] 1, length_cm: "45 kg" cannot stand here; accepted: {A_CM}; '
     "units: cm, mm, m, nm, in, ft."),
    ("length_cm = 45", 'length_cm = "45,5 cm"', '[[tank]] 1, length_cm: "45,5 cm" cannot stand here (Write decimals with a point: 45.5 '
     'cm); '
     f"accepted: {A_CM}; units: cm, mm, m, nm, in, ft."),
    ("length_cm = 45", 'length_cm = "a lot"', '[[tank]] 1, length_cm: "a lot" cannot stand here (Write decimals with a point); '
     f"accepted: {A_CM}; units: cm, mm, m, nm, in, ft."),
    ("length_cm = 45", r'length_cm = "45 cm\u001b[2J"', '[[tank]] 1, length_cm: "45 cm\N{REPLACEMENT CHARACTER}[2J" is not a number with '
     'its '
     f"unit; accepted: {A_CM}."),
    ("length_cm = 45", "length_cm = 45\nvolume_l = 45", "[[tank]] 1, volume_l: a volume alone does not say where layers and water line "
     "lie; "
     "accepted: length_cm, width_cm and height_cm, the outer sizes, measured with a tape."),
    ('keys = ["T1", "T2"]', 'keys = ["T1", "T2"]\nkey = "T1"', '[[tank]] 1, keys: key stands there too; accepted: key = "T1", or '
     'keys = ["T1", "T2"] for tanks that are alike.'),
    ('keys = ["T1", "T2"]', 'keys = ["T1", "T1"]', '[[tank]] 1, keys: [T1, T1] names something twice; accepted: a list of texts such as '
     '["T1", "T2"].'),
    ('keys = ["T1", "T2"]', "keys = []", '[[tank]] 1, keys: the list is empty; accepted: keys = ["T1", "T2"].'),
    ('keys = ["T1", "T2"]', 'keys = ["T1", "../T2"]', "[[tank]] 1, keys: ../T2 cannot be used as a key; accepted: 1 to 40 printable "
     "characters "
     "without / \\ .. ; or *."),
    ("glass_mm = 5", "glass_mm = 0", '[[tank]] 1, glass_mm: 0 is out of range; accepted: a number from 1 to 30 mm, or a text with its unit '
     'such as "0.25 in".'),
    ("water_line_cm = 31.5", "water_line_cm = 37", "[[tank]] 1, water_line_cm: the water line lies 1.5 cm above the rim; "
     "accepted: at most 35.5 cm above the inner bottom."),
    ("water_line_cm = 31.5", "water_line_cm = 31.5\nwater_line_from_outside_cm = 32", "[[tank]] 1, water_line_from_outside_cm: "
     "water_line_cm "
     "stands there too; accepted: water_line_cm above the inner bottom, or water_line_from_outside_cm above the lower edge of the glass."),
    ("water_line_cm = 31.5\n", "", "[[tank]] 1, water_line_cm: the key is missing; accepted: water_line_cm above the inner bottom, or "
     "water_line_from_outside_cm above the lower edge of the glass."),
    ("glass_mm = 5", "glass_mm = 5\ndividers = 1", '[[tank]] 1, divider_glass_mm: the key is missing; accepted: a number from 1 to 30 mm, '
     'or a '
     'text with its unit such as "0.25 in".'),
    ("glass_mm = 5", "glass_mm = 5\ndividers = 20\ndivider_glass_mm = 20", "[[tank]] 1, dividers: no room is left between the panes; "
     "accepted: the outer length, and dividers that leave room between them."),
    ("glass_mm = 5", 'glass_mm = 5\nrim = "loose"', "[[tank]] 1, rim: loose is none of the words known here; accepted: open, braced."),
    ('keys = ["T1", "T2"]', 'keys = ["T1", "T9"]', "[[tank]]: unit T2 of trial.toml stands in tank T2, which is not described; "
     "accepted: a [[tank]] with this key; there are T1, T9."),
    ('keys = ["T1", "T2"]', 'keys = ["T1", "T2", "T3"]', "[[tank]]: no unit of trial.toml stands in tank T3; accepted: tanks of the trial: "
     "T1, T2."),
    ('kind = "rock"', 'kind = "stone"', "[[material]] 2, kind: stone is none of the words known here; "
     "accepted: layer, rock, wood, plant, salt, liquid, equipment, other."),
    ('key = "slate"', 'key = "soil"', "[[material]] 2, key: soil is already the key of [[material]] 1; accepted: a key of its own for each "
     "material."),
    ('kind = "rock"', 'kind = "rock"\ntitle = "soil"', "[[material]] 2, title: soil is the key of another material; accepted: a title of "
     "its "
     "own for each material."),
    ('pack = "9 L"', 'pack = "9"', '[[material]] 1, pack: 9 does not say in which unit; accepted: a number with one of kg, L, g, mL, '
     'piece, '
     'such as "9 L", "2.5 kg" or "1 piece".'),
    ('pack = "9 L"', 'pack = "0 L"', '[[material]] 1, pack: "0 L" is out of range; accepted: a number with one of kg, L, g, mL, piece, '
     'such as "9 L", "2.5 kg" or "1 piece".'),
    ('pack = "9 L"', 'pack = "9 L"\nowned = "2 kg"', '[[material]] 1, owned: "2 kg" is not given in L, as the pack is; accepted: an amount '
     'in '
     "L."),
    ("bulk_density_kg_l = 0.8", "bag_mass_kg = 90\nbag_volume_l = 9", "[[material]] 1, bag_volume_l: 90 kg in 9 L would be 10 kg/L; "
     "accepted: kilograms and litres of the same bag, dry."),
    ("bulk_density_kg_l = 0.8", "bag_mass_kg = 9", '[[material]] 1, bag_volume_l: the key is missing; accepted: a number above 0 up to '
     '5000 L, '
     'or a text with its unit such as "2 US gal".'),
    ('[[layer]]\nmaterial = "soil"', '[[layer]]\nmaterial = "sol"', "[[layer]] 1, material: sol is not the key of a [[material]]; "
     "accepted: soil, slate, branch, rosette, nitrate, trace."),
    ('[[layer]]\nmaterial = "soil"', '[[layer]]\nmaterial = "slate"', "[[layer]] 1, material: slate is of kind rock; accepted: a material "
     "of "
     "kind layer."),
    ("mass_kg = 5.4", "mass_kg = 5.4\ndepth_cm = 4", "[[layer]] 1, depth_cm: mass_kg stands there too; "
     "accepted: mass_kg per unit, or depth_cm, or front_cm with back_cm."),
    ("mass_kg = 5.4", "mass_kg = 5.4\nback_cm = 4", "[[layer]] 1, back_cm: mass_kg stands there too; "
     "accepted: mass_kg per unit, or depth_cm, or front_cm with back_cm."),
    ("mass_kg = 5.4\n", "", "[[layer]] 1, mass_kg: the key is missing; accepted: mass_kg per unit, or depth_cm, or front_cm with back_cm."),
    ("mass_kg = 5.4", "front_cm = 0\nback_cm = 0", "[[layer]] 1, back_cm: the layer has no depth at all; accepted: a depth above 0 at the "
     "front or at the back."),
    ("mass_kg = 5.4", 'mass_kg = 5.4\nunits = ["T7"]', "[[layer]] 1, units: T7 is not a unit of the trial; accepted: T1, T2."),
    ("mass_kg = 5.4", 'mass_kg = 5.4\narms = ["X", "Y"]', "[[layer]] 1, arms: X, Y are no arms of the trial; accepted: R, C."),
    ("count = 9", "count = 9\narea_cm2 = 40", "[[plant]] 1, area_cm2: there is no per_100_cm2 beside it; accepted: an area only with "
     "per_100_cm2."),
    ("count = 9", "count = 2.5", "[[plant]] 1, count: 2.5 is not a whole number; accepted: a whole number from 1 to 10000."),
    ("mass_mg = 150", "volume_ml = 2", "[[dose]] 1, material: nitrate is of kind salt; accepted: a material of kind liquid."),
    ("[water.tap]\ngh_dgh = 7\nkh_dkh = 4\n", "", "[water] tap: the table is missing; accepted: one table headed [water.tap] with gh_dgh "
     "and "
     "kh_dkh."),
    ("gh_dgh = 7\n", "", '[water.tap] gh_dgh: the key is missing; accepted: a number from 0 to 100 dGH, or a text with its unit such as '
     '"90 mg/L CaCO3".'),
    ("temp_c = 24", "temp_c = 24\ntap = 5", None),
    ("target_umol = 45", "target_umol = 45\nmeasured = [{setting_fraction = 1, light_lux = 900}]", "[light] source: the key is missing; "
     'accepted: the kind of light, such as "LED-B3" or "sunlight", as the readings are in lux.'),
    ("target_umol = 45", "target_umol = 45\nmeasured = [{setting_fraction = 3, light_umol = 90}]", "[light.measured] 1 setting_fraction: 3 "
     "is "
     'out of range; accepted: a number from 0 to 1, or a text with its unit such as "30 %".'),
    ("target_umol = 45", "target_umol = 45\nmeasured = 9", "[light] measured: 9 stands in place of a list of tables; "
     "accepted: a list of tables: measured = [{...}, {...}]."),
    ('label_mg_ml = {Fe = 1, K = 3}', 'label_mg_ml = {Fe = "much"}', None),
    ("[money]", "[[money]]", "[money]: a list stands in place of a table; accepted: one table headed [money]."),
    ("[[rock]]", "[rock]", "[[rock]]: a table stands in place of a list of tables; accepted: one table headed [[rock]] for each rock."),
    ("weeks = 6", "weeks = 0", '[setup] weeks: 0 is out of range; accepted: a number above 0 up to 520 weeks, or a text with its unit such '
     'as '
     '"42 d".'),
]


@pytest.mark.parametrize(("old", "new", "sentence"), ONE_CHANGE, ids=[f"{new[:40]!r}" for _, new, _ in ONE_CHANGE])
def test_one_wrong_thing_gives_one_sentence(built, old, new, sentence):
    built.swap("setup.toml", old, new)
    if sentence is None:
        assert built.sentence().startswith("setup.toml")
    else:
        assert built.sentence() == f"setup.toml, {sentence}"


def test_a_tank_with_more_units_than_compartments_is_refused(built):
    divided(built, "long", "long")
    built.swap("setup.toml", "dividers = 1\ndivider_glass_mm = 5\n", "")
    assert built.sentence() == ("setup.toml, [[tank]]: 2 units of trial.toml stand in tank long, which has one compartment; "
                                "accepted: dividers = one less than the units of the tank.")


def test_a_unit_cannot_have_two_lights(built):
    built.swap("setup.toml", "[light]", "[[light]]")
    built.put("setup.toml", (built.root / "setup.toml").read_text() + '[[light]]\ntarget_umol = 60\nhours_per_day = 6\nunits = ["T2"]\n')
    assert built.sentence() == ("setup.toml, [[light]] 2, units: T2 has its light from [[light]] 1 already; accepted: one light for each "
                                "unit.")


def test_everything_wrong_in_both_files_is_told_at_once_and_nothing_twice(built):
    built.swap("trial.toml", "days = 42\n", "days = -3\n")
    built.swap("trial.toml", 'key = "T2"', 'key = "T9"')
    for old, new in (("glass_mm = 5", "glass_mm = 50"), ('kind = "rock"', 'kind = "stone"'), ("mass_mg = 150", "mass_mg = 0")):
        built.swap("setup.toml", old, new)
    places = [sentence.split(":")[0] for sentence in built.sentences()]
    assert places[:4] == ["trial.toml, [design] days", "setup.toml, [[tank]] 1, glass_mm", "setup.toml, [[material]] 2, kind",
                          "setup.toml, [[dose]] 1, mass_mg"]


def test_a_broken_plan_makes_no_further_problem_of_the_setup(built):
    built.drop("series.csv")
    built.swap("trial.toml", 'role = "reference"', 'role = "control"')
    assert built.sentence().startswith("trial.toml, [[arm]] 1, role: ")


def test_keys_that_are_not_known_are_kept_and_reported(built):
    built.swap("setup.toml", "glass_mm = 5", 'glass_mm = 5\nmaker = "own"')
    built.swap("setup.toml", "[water.tap]", "[water.tap]\nsmell = false")
    built.swap("setup.toml", "[setup]", "shelf = 3\n[setup]")
    built.swap("setup.toml", "target_umol = 45", "target_umol = 45\nmeasured = [{setting_fraction = 1, light_umol = 80, when = "
               "2026-03-01}]")
    trial = read_folder(built.root)
    assert trial.setup is not None
    assert trial.unknown_columns == (("setup.toml", "[[tank]] T1, maker"), ("setup.toml", "[light.measured] 1 when"),
                                     ("setup.toml", "[water.tap] smell"), ("setup.toml", "shelf"))


@pytest.mark.parametrize("text", [
    "a = " + "[" * 5000, "a = " + "{b=" * 5000, "a." * 400_000 + "b = 1", "a = " + "9" * 5000, "a = 2026-13-45", "\x1b[2J", "tank = 5",
    "[[tank]]\n" * 600, "[tank]\nkey = 1", "tank = [1, 2]", "water = 7\n[[tank]]\nkey = 'T1'",
    "[[tank]]\nkeys = [" + '"a",' * 100_000 + "]",
], ids=["lists", "tables", "dots", "digits", "date", "control", "number", "many", "once", "numbers", "water", "keys"])
def test_hostile_text_is_refused_in_sentences(built, text):
    built.put("setup.toml", text)
    sentences = built.sentences()
    assert sentences
    assert all(sentence.startswith("setup.toml") and len(sentence) < 700 for sentence in sentences)


def test_bytes_that_are_no_text_and_links_are_refused(built, tmp_path):
    built.put("setup.toml", "titel = 'Kübel'".encode("latin-1"))
    assert built.sentence().startswith("setup.toml, line 1: byte number 11 of the file is not UTF-8 text")
    built.drop("setup.toml")
    (tmp_path / "elsewhere.toml").write_text(SETUP, encoding="utf-8")
    (built.root / "setup.toml").symlink_to(tmp_path / "elsewhere.toml")
    assert built.sentence().startswith("setup.toml: the file is a link to another place")


# before there is a plan ----------------------------------------------------------------------------------------------


@pytest.fixture
def alone(built):
    """A setup and nothing else."""
    built.drop("trial.toml", "series.csv")
    return built


def refusals(folder):
    with pytest.raises(FolderError) as caught:
        read_lone_setup(folder.root)
    return [str(problem) for problem in caught.value.problems]


def test_alone_every_tank_is_a_unit_and_every_compartment_too(alone):
    assert read_lone_setup(alone.root).setup.places == (("T1", "T1"), ("T2", "T2"))
    alone.swap("setup.toml", 'keys = ["T1", "T2"]', 'key = "T1"\ndividers = 2\ndivider_glass_mm = 5')
    lone = read_lone_setup(alone.root)
    assert lone.setup.places == (("T1a", "T1"), ("T1b", "T1"), ("T1c", "T1"))
    assert lone.setup.arms == ()


def test_alone_the_weeks_must_be_given(alone):
    alone.swap("setup.toml", "weeks = 6\n", "")
    assert refusals(alone) == ["setup.toml, [setup] weeks: the key is missing; accepted: a number above 0 up to 520 weeks, or a text with "
                    "its "
                               'unit such as "42 d".']


def test_alone_arms_cannot_be_named(alone):
    alone.swap("setup.toml", "power_w = 50", 'power_w = 50\narms = ["C"]')
    assert refusals(alone) == ["setup.toml, [[device]] 1, arms: arms are named and there is no trial.toml that says which unit has which; "
                               "accepted: units = [...] instead."]


def test_alone_rows_of_build_csv_must_name_its_units_and_unknown_columns_are_kept(alone):
    alone.put("build.csv", "unit,material,kind,planned,weighed,unit_of_measure,who\nT1,sand,bed,4,3.9,kg,Io\nT7,sand,bed,4,,kg,\n")
    assert refusals(alone) == ["build.csv, row 3, column unit: T7 is not a unit of setup.toml; accepted: T1, T2."]
    alone.put("build.csv", "unit,material,kind,planned,weighed,unit_of_measure,who\nT1,sand,bed,4,3.9,kg,Io\n")
    lone = read_lone_setup(alone.root)
    assert [(line.unit, line.weighed) for line in lone.build] == [("T1", 3.9)]
    assert lone.build_cells == ({"who": "Io"},)
    assert lone.unknown_columns == (("build.csv", "who"),)


def test_a_missing_setup_is_named_with_a_file_that_may_be_meant(alone, tmp_path):
    (alone.root / "setup.toml").rename(alone.root / "Setup.toml.txt")
    assert refusals(alone)[0].startswith("setup.toml: the file is missing (Setup.toml.txt lies there: rename it if it is meant); accepted: "
                                         "what "
                                         "is to be built")
    with pytest.raises(FolderError, match=r"nowhere: there is no such folder; accepted: a folder that holds setup\.toml"):
        read_lone_setup(tmp_path / "nowhere")

