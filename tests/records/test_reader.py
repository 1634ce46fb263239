"""Reading a whole folder: what comes out, what is kept, and what is said when several things are wrong."""

import hashlib
import shutil
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path

import pytest
from tests.records.strokes import with_strokes

from fairtank.errors import FolderError
from fairtank.records.folder import read_folder
from fairtank.trial import BuildLine, Label, LabelClass, Looks, Series


@pytest.fixture
def folder(folder):
    """The small folder, its strokes painted with a hard brush."""
    return with_strokes(folder)


def test_a_whole_folder_becomes_nouns(folder):
    trial = read_folder(folder.root)
    assert (trial.plan.title, trial.plan.start, trial.plan.days) == ("One cover glass more", date(2026, 3, 1), 42)
    assert (trial.plan.expect, trial.plan.drawn, trial.plan.seed, trial.plan.blinded) == ("less", True, 7, False)
    assert trial.plan.looks == Looks((14, 28, 42), (0.005, 0.010, 0.035))
    assert trial.plan.units[0].position == "1"
    assert [(measure.key, measure.role, measure.scale) for measure in trial.plan.measures] \
        == [("algae_cover", "primary", "logit"), ("canopy_height", "secondary", None)]
    assert [(photo.path, photo.day) for photo in trial.photos] == [("photos/T1-a.jpg", 0), ("photos/T1-b.png", 3), ("photos/T2-a.webp", 0)]
    assert trial.frames[0].corners == ((4, 3), (60, 4), (59.5, 44), (5, 45))
    assert trial.zones[0].polygon == ((0, 24), (45, 24), (45, 30), (0, 30))
    assert trial.label_classes[0] == LabelClass("plant", (0, 158, 115), "plant")
    assert trial.label_classes[3] == LabelClass("plant_red", (204, 121, 167), "plant")
    assert trial.labels == (Label("photos/T1-a.jpg", "labels/T1-a.png"),)
    assert (trial.audit[0].answer, trial.audit[0].x) == ("plant_red", 10.5)
    assert (trial.scores[0].value, trial.pairs[0].more) == (3.0, "b")
    assert (trial.readings[0].day, trial.readings[0].below_detection) == (1, True)
    assert trial.spread[0].variance == 0.16
    assert trial.build[1] == BuildLine("T2", "sand", "substrate", 4.5, None, "kg", "A", "")
    assert trial.unknown_columns == trial.unread_files == ()


def test_events_name_units_by_semicolon_blank_or_star(folder):
    folder.swap("events.csv", "T1;T2,", "T2 T1,")
    first, second, third = read_folder(folder.root).events
    assert (first.units, first.day_from, first.day_until, first.effect) == ((), 2, 3, "exclude_window")
    assert first.until == datetime(2026, 3, 4, 23, 59)
    assert first.note == "power was off, twice"
    assert (second.units, second.until, second.day_from, second.day_until) == (("T2", "T1"), None, 7, 7)
    assert third.units == ("T2",)


def test_series_are_ordered_by_unit_and_day_whatever_the_order_in_the_file(plain):
    assert read_folder(plain.root).series == (
        Series("T1", "algae_cover", (0, 3), (9.0, 12.25), (None, 0.5), ready_made=True),
        Series("T2", "algae_cover", (3,), (4.5,), (None,), ready_made=True),
    )


def test_several_values_of_a_unit_on_one_day_are_kept(plain):
    plain.put("series.csv", "unit,day,measure,value\nT1,3,algae_cover,4\nT1,3,algae_cover,5\n")
    assert read_folder(plain.root).series[0].values == (4.0, 5.0)


def test_a_byte_order_mark_windows_line_ends_and_quoted_cells_are_fine(plain):
    plain.put("series.csv", b'\xef\xbb\xbf"unit","day","measure","value"\r\n"T1","3","algae_cover","4.5"\r\n\r\n,,,\r\n')
    assert read_folder(plain.root).series[0].values == (4.5,)


@pytest.mark.published(entry="rows_from_text", source="rfc4180", where="section 2, rules 5 to 7: quoted fields with line break, "
"comma, quote")
def test_quoted_cells_follow_the_published_rules(plain):
    plain.put("series.csv", 'unit,day,measure,value,aaa,bbb,ccc\r\nT1,0,algae_cover,1,"aaa","b\r\nbb","b""bb, ccc"\r\n')
    assert read_folder(plain.root).unknown_cells["series.csv"] == ({"aaa": "aaa", "bbb": "b\r\nbb", "ccc": 'b"bb, ccc'},)


def test_unknown_columns_and_keys_are_kept_and_reported(plain):
    plain.swap("trial.toml", "days = 42", 'days = 42\nmoon = "waning"')
    plain.swap("trial.toml", 'name = "two glasses"', 'name = "two glasses"\nshade = [1, 2]')
    plain.put("series.csv", "unit,day,measure,value,who\nT2,3,algae_cover,4.5,Io\nT1,3,algae_cover,5,Bo\n")
    trial = read_folder(plain.root)
    assert trial.unknown_columns == (("trial.toml", "[design] moon"), ("trial.toml", "[[arm]] 2, shade"), ("series.csv", "who"))
    assert trial.unknown_cells["series.csv"] == ({"who": "Bo"}, {"who": "Io"}), "in the order of the nouns"


def test_tables_of_unknown_name_are_reported(plain):
    plain.put("reading.csv", "unit\n")
    assert read_folder(plain.root).unread_files == ("reading.csv",)


def test_a_missing_time_comes_from_the_photo(folder, make_picture):
    folder.put("photos/T1-a.jpg", make_picture("JPEG", taken_at="2026:03:06 07:08:09"))
    folder.swap("photos.csv", "T1,2026-03-01T18:30", "T1,")
    photo = read_folder(folder.root).photos[0]
    assert (photo.taken_at, photo.day) == (datetime(2026, 3, 6, 7, 8, 9), 5)


def test_days_follow_the_local_clock_as_written(folder):
    folder.swap("photos.csv", "2026-03-01T18:30", "2026-03-02T00:30+02:00")
    photo = read_folder(folder.root).photos[0]
    assert (photo.taken_at, photo.day) == (datetime(2026, 3, 2, 0, 30), 1)


def test_setup_photos_before_the_start_have_negative_days(folder):
    folder.swap("photos.csv", "2026-03-01T18:30", "2026-02-26T18:30")
    assert read_folder(folder.root).photos[0].day == -3


def test_the_digest_depends_on_what_was_read_and_on_nothing_else(folder, tmp_path):
    digest = read_folder(folder.root).digest
    moved = shutil.copytree(folder.root, tmp_path / "elsewhere")
    (moved / "out").mkdir()
    (moved / "out" / "report.html").write_text("made from it")
    (moved / ".fairtank").mkdir()
    (moved / ".fairtank" / "cache").write_text("made from it")
    assert read_folder(moved).digest == digest
    folder.swap("series.csv", "4.5", "4.6")
    assert read_folder(folder.root).digest != digest


def test_the_digest_is_sha256_over_paths_and_contents(plain):
    lines = "".join(f"{name}\0{hashlib.sha256((plain.root / name).read_bytes()).hexdigest()}\n" for name in ("series.csv", "trial.toml"))
    assert read_folder(plain.root).digest == "sha256:" + hashlib.sha256(lines.encode()).hexdigest()


def test_reading_writes_nothing(folder):
    before = folder.listing()
    read_folder(folder.root)
    assert folder.listing() == before


def test_a_folder_with_twelve_different_faults_yields_twelve_sentences_and_writes_nothing(folder):
    folder.swap("trial.toml", "margin = 0.5", "margin = -0.5")
    folder.swap("trial.toml", 'expect = "less"', 'expect = "fewer"')
    folder.swap("photos.csv", "photos/T1-b.png,T1", "photos/T1-c.png,T1")
    folder.swap("photos.csv", "T2,2026-03-01T18:35", "T2,01.03.2026")
    folder.swap("frames.csv", "T1,photos/T1-a.jpg,registered", "T1,photos/T1-a.jpg,aligned")
    folder.swap("zones.csv", "45 24;", "95 24;")
    folder.swap("audit.csv", "plant_red", "moss")
    folder.swap("readings.csv", "nitrate,5", "nitrate,<5")
    folder.swap("events.csv", "T1;T2", "T1;T9")
    folder.swap("series.csv", "T1,3,algae_cover,12.25", "T1,3,algae_cover,122.5")
    folder.swap("spread.csv", "0.16", "0")
    folder.swap("build.csv", "4.48", "4.48 kg")
    before = folder.listing()
    assert folder.sentences() == [
        "trial.toml, [trial] expect: fewer is none of the words known here; accepted: less, more, either.",
        "trial.toml, [[measure]] 1, margin: -0.5 is out of range; accepted: a number above 0.",
        "photos.csv, row 3, column photo: the file photos/T1-c.png is missing; accepted: an ordinary file of at most 60 MB.",
        "photos.csv, row 4, column taken_at: 01.03.2026 is not a date or time; "
        "accepted: an ISO 8601 time such as 2026-03-01T18:30, or a date such as 2026-03-01.",
        "frames.csv, row 2, column mode: aligned is none of the words known here; accepted: registered, fixed, by_hand.",
        "zones.csv, row 2, column polygon: the point 95 24 lies outside the frame; accepted: x from 0 to 45 and y from 0 to 30 cm.",
        "audit.csv, row 2, column class: moss is not a class of labels/classes.csv; accepted: plant, algae, background, plant_red, "
        "unsure.",
        'readings.csv, row 2, column value: "<5" is not a number; accepted: a number.',
        "events.csv, row 3, column units: T9 is not a unit of trial.toml; "
        "accepted: T1, T2, parted by ; where there are several, or * for all.",
        "series.csv, row 3, column value: 122.5 is out of range; accepted: a share in % from 0 to 100, as the scale of this "
        "measure is logit.",
        "spread.csv, row 2, column variance: 0 is out of range; accepted: a number above 0.",
        'build.csv, row 2, column weighed: "4.48 kg" is not a number; accepted: a number of 0 or more.',
    ]
    assert folder.listing() == before


def test_many_problems_in_one_file_are_counted(plain):
    plain.put("series.csv", "unit,day,measure,value\n" + "".join(f"U{number},0,algae_cover,1\n" for number in range(80)))
    sentences = plain.sentences()
    assert len(sentences) == 51
    assert sentences[0] == "series.csv, row 2, column unit: U0 is not a unit of trial.toml; accepted: T1, T2."
    assert sentences[-1] == "series.csv: 30 more problems are not listed here."


def test_one_mistake_in_many_rows_is_told_once_with_its_rows(plain):
    rows = [*["T9,0,algae_cover,1"] * 37, "T1,0,algae_cover,1", "T9,0,algae_cover,1", "T8,0,algae_cover,1", "T9,0,algae_cover,1"]
    plain.put("series.csv", "unit,day,measure,value\n" + "\n".join(rows) + "\n")
    assert plain.sentences() == [
        "series.csv, rows 2 to 38, 40 and 42, column unit: T9 is not a unit of trial.toml; accepted: T1, T2.",
        "series.csv, row 41, column unit: T8 is not a unit of trial.toml; accepted: T1, T2.",
    ]


def test_rows_far_apart_are_counted_after_the_first_few(plain):
    rows = ["T9,0,algae_cover,1", "T1,0,algae_cover,1"] * 30
    plain.put("series.csv", "unit,day,measure,value\n" + "\n".join(rows) + "\n")
    assert plain.sentence().startswith("series.csv, rows 2, 4, 6, 8, 10, 12 and 24 more, column unit: T9 is not")


@pytest.mark.parametrize("text", ["", "unit,day,measure,value,se\n"])
def test_a_folder_without_any_value_is_read(plain, text):
    plain.drop("series.csv")
    if text:
        plain.put("series.csv", text)
    trial = read_folder(plain.root)
    assert (trial.series, trial.cautions) == ((), ())


def test_a_file_in_place_of_the_folder_is_called_a_file_and_the_folder_is_named(plain, monkeypatch):
    with pytest.raises(FolderError) as refused:
        read_folder(plain.root / "trial.toml")
    assert str(refused.value) == f"trial.toml: this is a file, and a folder is wanted; accepted: the folder {plain.root}."
    monkeypatch.chdir(plain.root)
    with pytest.raises(FolderError, match=r"accepted: the folder it lies in, written as a dot \(\.\)\."):
        read_folder(Path("series.csv"))


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(FolderError, match=r"^nowhere: there is no such folder; accepted: a folder that holds trial.toml\.$"):
        read_folder(tmp_path / "nowhere")


def test_a_folder_without_a_plan_is_refused(plain):
    plain.drop("trial.toml")
    accepted = "accepted: the plan of the trial (docs/guide/trial-folder.md shows how to write one, fairtank demo makes an example)."
    assert plain.sentence() == f"trial.toml: the file is missing; {accepted}"
    plain.put("Trial.toml.txt", "x")
    assert plain.sentence() == f"trial.toml: the file is missing (Trial.toml.txt lies there: rename it if it is meant); {accepted}"


@pytest.mark.parametrize("file", ["trial.toml", "series.csv"])
def test_a_folder_in_place_of_a_file_is_called_a_folder(plain, file):
    plain.drop(file)
    (plain.root / file).mkdir()
    assert plain.sentence().startswith(f"{file}: the file is a folder; accepted: an ordinary file of at most ")


def test_a_folder_without_photos_is_read_without_heavy_libraries(plain):
    plain.swap("series.csv", "T1,0,algae_cover,9,\n", "T1,0,algae_cover,9,\nT1,0,canopy_height,12,\n")
    code = ("import sys; from pathlib import Path; from fairtank.records.folder import read_folder; read_folder(Path(sys.argv[1]));"
            "print([name for name in ('PIL', 'scipy', 'pi_heif', 'django') if name in sys.modules])")
    run = subprocess.run([sys.executable, "-c", code, str(plain.root)], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_a_long_trial_is_read_whole(plain):
    keys = [f"m{number}" for number in range(8)]
    plan = (plain.root / "trial.toml").read_text(encoding="utf-8")
    units = "".join(f'[[unit]]\nkey = "U{number}"\narm = "R"\n' for number in range(6))
    plain.put("trial.toml", plan + units + "".join(f'[[measure]]\nkey = "{key}"\n' for key in keys))
    rows = [f"U{unit},{day},{key},{unit + day / 7:.6f}," for unit in range(6) for day in range(60) for key in keys]
    plain.put("series.csv", "unit,day,measure,value,se\n" + "\n".join(rows) + "\n")
    assert sum(len(series.days) for series in read_folder(plain.root).series) == 2880


KNOWN = ("algae_area, algae_cover, algae_spots, canopy_height, carpet_cover, haze, plant_area, plant_cover, plant_growth_rate, "
         "plant_lightness, plant_redness, plant_yellowness, water_tint")


def test_a_measure_that_nobody_knows_is_refused_with_the_keys_that_are_known(plain):
    plain.swap("trial.toml", '"canopy_height"', '"vigour"')
    assert plain.sentence() == ("trial.toml, [[measure]] 2, key: vigour is no measure of fairtank and has no values in series.csv, "
                                f"scores.csv, pairs.csv or readings.csv; accepted: {KNOWN}, or your own with unit_of_measure or values "
                                f"in series.csv.")
    plain.swap("series.csv", "T1,0,algae_cover,9,\n", "T1,0,algae_cover,9,\nT1,0,vigour,9,\n")
    assert plain.sentences() == []


@pytest.mark.parametrize("file", ["scores.csv", "pairs.csv"])
def test_a_measure_may_have_people_s_judgements_only(folder, file):
    folder.swap("trial.toml", '"canopy_height"', '"vigour"')
    assert len(folder.sentences()) == 1
    folder.swap(file, "algae_cover,one", "vigour,one")
    assert folder.sentences() == []


def test_a_misspelt_measure_is_told_once_with_the_one_that_may_be_meant(plain):
    plain.swap("trial.toml", '"algae_cover"', '"algea_cover"')
    assert plain.sentence().startswith("trial.toml, [[measure]] 1, key: algea_cover is no measure of fairtank and has no values in "
                                       "series.csv, scores.csv, pairs.csv or readings.csv (did you mean algae_cover?); accepted: "
                                       "algae_area, ")


def test_measures_are_not_judged_by_tables_that_cannot_be_read(plain):
    plain.swap("trial.toml", '"canopy_height"', '"vigour"')
    plain.swap("series.csv", "T1,0,algae_cover,9,", "T1,0,algae_cover,9")
    assert plain.sentence().startswith("series.csv, row 4: the row has 4 cells")


def test_ready_made_values_under_nearly_their_name_are_named(plain):
    plain.swap("trial.toml", '"canopy_height"', '"vigour"')
    (plain.root / "series.csv").rename(plain.root / "Serie.csv")
    assert plain.sentence() == ("series.csv: the file is missing, and trial.toml asks for vigour (Serie.csv lies there: rename it if it is "
                                "meant); accepted: ready-made values of each measure of your own.")


@pytest.mark.parametrize(("measure", "value", "accepted"), [
    ("algae_cover", "122.5", "a share in % from 0 to 100, as algae_cover is a share"),
    ("algae_cover", "-1", "a share in % from 0 to 100, as algae_cover is a share"),
    ("canopy_height", "-1", "a number of 0 or more, as canopy_height is a size in cm"),
])
def test_a_value_outside_the_range_of_fairtank_s_own_measure_is_refused(plain, measure, value, accepted):
    plain.swap("trial.toml", 'scale = "logit"\n', "")
    plain.swap("series.csv", "T1,0,algae_cover,9,", f"T1,0,{measure},{value},")
    assert plain.sentence() == f"series.csv, row 4, column value: {value} is out of range; accepted: {accepted}."


@pytest.mark.parametrize(("measure", "value"), [("canopy_height", "122.5"), ("plant_redness", "-12"), ("algae_cover", "100")])
def test_values_within_the_range_of_their_measure_are_read(plain, measure, value):
    plain.swap("trial.toml", '"canopy_height"', f'"{measure if measure != "algae_cover" else "canopy_height"}"')
    plain.swap("series.csv", "T1,0,algae_cover,9,", f"T1,0,{measure},{value},")
    assert plain.sentences() == []


@pytest.fixture
def photographed(folder):
    """The folder with photos on five days of one tank, no ready-made values, scores or choices."""
    folder.drop("series.csv", "audit.csv", "scores.csv", "pairs.csv")
    more = [f"photos/T1-{day}.jpg,T1,2026-03-{day:02}T18:00\n" for day in (10, 11, 12)]
    for day in (10, 11, 12):
        folder.put(f"photos/T1-{day}.jpg", (folder.root / "photos/T1-a.jpg").read_bytes())
    folder.put("photos.csv", (folder.root / "photos.csv").read_text() + "".join(more))
    return folder


def test_photos_without_strokes_or_floor_zone_are_read_all_the_same(photographed):
    photographed.drop("labels/T1-a.png", "labels/classes.csv", "zones.csv")
    (photographed.root / "labels").rmdir()
    photographed.swap("trial.toml", '"canopy_height"', '"carpet_cover"')
    assert photographed.sentences() == []


def test_a_measure_of_ones_own_may_wait_for_its_values_when_it_has_a_unit(photographed):
    photographed.swap("trial.toml", '"canopy_height"', '"harvest"')
    assert photographed.sentence().startswith("trial.toml, [[measure]] 2, key: harvest is no measure of fairtank")
    photographed.swap("trial.toml", 'key = "harvest"', 'key = "harvest"\nunit_of_measure = "g"')
    assert photographed.sentences() == []


def test_a_plan_alone_is_read_before_anything_was_recorded(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", '"canopy_height"', '"carpet_cover"')
    assert plain.sentences() == []
