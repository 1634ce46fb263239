"""Misspelt keys, tables and columns are refused with the word that was probably meant; what is truly unknown stays kept."""

from itertools import chain

import pytest

from checking import every
from fairtank.records.folder import read_folder
from fairtank.records.folder.near import meant
from fairtank.records.folder.plan_toml import HEADS
from fairtank.records.folder.setup_toml import SETUP_HEADS
from fairtank.records.folder.tables import TABLES


@every(("word", "known", "near"), [
    ("margni", ("scale", "margin"), "margin"), ("mesure", HEADS, "measure"), ("lookz", HEADS, "looks"), ("Design", HEADS, "design"),
    ("units", HEADS, "unit"), ("run-in-days", ("run_in_days",), "run_in_days"), ("RunInDays", ("run_in_days",), "run_in_days"),
    ("tresholds", ("threshold",), "threshold"), ("SE", ("value", "se"), "se"), ("nmae", ("name", "role"), "name"),
    ("food", SETUP_HEADS, ""), ("moon", HEADS, ""), ("lane", ("name",), ""), ("see", ("se",), ""), ("", HEADS, ""), ("_", HEADS, ""),
    ("weather", SETUP_HEADS, ""), ("measurement", HEADS, ""),
])
def test_words_are_near_by_letters_and_marks_and_short_ones_only_by_letters_left_out_added_or_swapped(word, known, near):
    assert meant(word, known) == near


@every("words", [HEADS, SETUP_HEADS, *(tuple(column.name for column in table.columns) for table in TABLES)])
def test_a_known_word_is_meant_for_itself(words):
    assert [meant(word, words) for word in words] == list(words)


@pytest.mark.parametrize(("old", "new", "told"), [
    ("margin = 0.5", "margni = 0.5", "[[measure]] 1, margni: the key is not known (did you mean margin?); accepted: key, role, summary, "
                                     "scale, margin, window, threshold, title, unit_of_measure."),
    ("drawn = true", "darwn = true", "[design] darwn: the key is not known (did you mean drawn?); accepted: kind, days, start, "),
    ("days = 42\n", "dasy = 42\n", "[design] dasy: the key is not known (did you mean days?)"),
    ('kind = "side_by_side"', 'Kind = "side_by_side"', "[design] Kind: the key is not known (did you mean kind?)"),
    ('expect = "less"', 'expects = "less"', "[trial] expects: the key is not known (did you mean expect?)"),
    ("budget = [", "buget = [", "[looks] buget: the key is not known (did you mean budget?)"),
    ("position = 1", "positon = 1", "[[unit]] 1, positon: the key is not known (did you mean position?)"),
    ("[looks]", "[lookz]", "[lookz]: [lookz] is not known (did you mean [looks]?); accepted: trial, design, arm, unit, measure, looks."),
    ("[design]", "[desing]", "[desing]: [desing] is not known (did you mean [design]?)"),
])
def test_a_misspelt_key_or_table_is_the_one_thing_that_is_told(plain, old, new, told):
    plain.swap("trial.toml", old, new)
    sentences = [one for one in plain.sentences() if "number of shares" not in one]  # what a missing budget brings along
    assert len(sentences) == 1
    assert sentences[0].startswith(f"trial.toml, {told}")


def test_all_tables_of_a_misspelt_name_are_told_once_and_read_as_they_were_meant(plain):
    text = (plain.root / "trial.toml").read_text(encoding="utf-8")
    plain.put("trial.toml", text.replace("[[measure]]", "[[mesure]]").replace("margin = 0.5", "margin = -1"))
    assert plain.sentences() == [
        "trial.toml, [[mesure]]: [[mesure]] is not known (did you mean [[measure]]?); accepted: trial, design, arm, unit, measure, looks.",
        "trial.toml, [[measure]] 1, margin: -1 is out of range; accepted: a number above 0.",
    ]


def test_one_misspelt_table_among_others_is_told(plain):
    plain.swap("trial.toml", '[[measure]]\nkey = "canopy_height"', '[[measures]]\nkey = "canopy_height"')
    assert plain.sentence().startswith("trial.toml, [[measures]]: [[measures]] is not known (did you mean [[measure]]?)")


def test_a_key_beside_the_one_it_resembles_is_kept(plain):
    plain.swap("trial.toml", "days = 42\n", "days = 42\nday = 3\n")
    assert read_folder(plain.root).unknown_columns == (("trial.toml", "[design] day"),)


def test_truly_unknown_keys_tables_and_columns_are_kept(plain):
    plain.swap("trial.toml", "[looks]", '[lamp]\nwatt = 12\n[looks]')
    plain.swap("trial.toml", "margin = 0.5", "margin = 0.5\nfriend = 1")
    plain.put("series.csv", "unit,day,measure,value,weather\nT1,0,algae_cover,1,rain\n")
    assert read_folder(plain.root).unknown_columns == (("trial.toml", "[[measure]] 1, friend"), ("trial.toml", "lamp"),
                                                       ("series.csv", "weather"))


def test_a_misspelt_column_is_told_once_and_its_cells_are_checked(plain):
    plain.put("series.csv", "unit,day,measure,vlaue\nT1,0,algae_cover,122\n")
    assert plain.sentences() == [
        "series.csv, row 1, column vlaue: the column is not known (did you mean value?); accepted: unit, day, measure, value, se.",
        "series.csv, row 2, column value: 122 is out of range; accepted: a share in % from 0 to 100, as the scale of this measure is "
        "logit.",
    ]


def test_a_misspelt_column_that_may_be_left_out_is_refused_too(plain):
    plain.put("events.csv", "unit,at,effect\nT1,2026-03-02,exclude_unit\n")
    assert plain.sentence() == ("events.csv, row 1, column unit: the column is not known (did you mean units?); accepted: units, at, "
                                "until, kind, note, effect.")


def test_a_column_near_one_that_only_holds_text_may_be_the_keepers_own_and_is_kept(plain):
    plain.put("events.csv", "units,at,kind,notes\nT1,2026-03-02,trim,by hand\n")
    folder = read_folder(plain.root)
    assert folder.unknown_columns == (("events.csv", "notes"),)
    assert folder.unknown_cells["events.csv"] == ({"notes": "by hand"},)


SETUP = '[[tank]]\nkeys = ["T1", "T2"]\nlength_cm = 45\nwidth_cm = 28\nheight_cm = 30\nglass_mm = 5\nwater_line_cm = 26\n'


@pytest.mark.parametrize(("old", "new", "told"), [
    ("glass_mm", "glas_mm", "setup.toml, [[tank]] 1, glas_mm: the key is not known (did you mean glass_mm?)"),
    ("[[tank]]", "[[tanks]]", "setup.toml, [[tanks]]: [[tanks]] is not known (did you mean [[tank]]?)"),
    ("[[tank]]", "[mony]\ncurrency = \"x\"\n[[tank]]", "setup.toml, [mony]: [mony] is not known (did you mean [money]?)"),
    ("[[tank]]", "[light]\ntarget_umol = 45\nhour_per_day = 8\n[[tank]]",
     "setup.toml, [light] hour_per_day: the key is not known (did you mean hours_per_day?)"),
])
def test_setup_toml_is_read_as_strictly(plain, old, new, told):
    plain.put("setup.toml", SETUP.replace(old, new))
    assert plain.sentence().startswith(told)


def test_no_two_words_of_one_place_are_near_each_other_by_chance():
    near = {(word, other) for words in (HEADS, SETUP_HEADS, *([column.name for column in table.columns] for table in TABLES))
            for word in words if (other := meant(word, [one for one in words if one != word]))}
    assert near <= set(chain.from_iterable(((f"{axis}{one}", f"{axis}{other}") for one in "1234" for other in "1234") for axis in "xy")) \
        | {("photo_a", "photo_b"), ("photo_b", "photo_a")}
