"""CSV tables: every refusal has its sentence."""

import pytest
from tests.records.strokes import with_strokes

from fairtank.records.folder import rows
from fairtank.records.folder.tables import TABLES


@pytest.fixture
def folder(folder):
    """The small folder, its strokes painted with a hard brush."""
    return with_strokes(folder)

AWAY = "which is at most 60 days before day 0 or after the last day, day 42."
DATES = f"accepted: a date from 2025-12-31 to 2026-06-11, {AWAY}"
ONE_CHANGE = [
    # the form of a table
    ("series.csv", "unit,day,measure,value,se", "unit,day,measure,amount,se", "series.csv, row 1, column value: the column is missing; "
     "accepted: a header row with unit, day, measure, value."),
    ("series.csv", "unit,day,measure,value,se", "unit,day,measure,value,value",
     "series.csv, row 1, column value: the header names value twice; accepted: each column once."),
    ("series.csv", "unit,day,measure,value,se", "unit,day,measure,value,",
     "series.csv, row 3: cell 5 holds 0.5 under no column name; accepted: a name in the header for every column that is used."),
    ("series.csv", "T2,3,algae_cover,4.5,", "T2,3,algae_cover,4,5,",
     "series.csv, row 2: the row has 6 cells; accepted: 5 cells, as in the header "
     "(does a number have a decimal comma, or a text a comma without quotation marks?)."),
    ("series.csv", "T2,3,algae_cover,4.5,", "T2,3,algae_cover", "series.csv, row 2: the row has 3 cells; accepted: 5 cells, as "
     "in the header."),
    ("series.csv", "T2,3,algae_cover,4.5,", 'T2,3,algae_cover,"4,5",', 'series.csv, row 2, column value: "4,5" has a decimal comma; '
     "accepted: a number, written with a decimal point (4.5)."),
    ("series.csv", "T2,3,algae_cover,4.5,", "T2,3,algae_cover,,", "series.csv, row 2, column value: the cell is empty; "
     "accepted: a number."),
    ("series.csv", "T1,0,algae_cover,9,", 'T1,0,algae_cover,"9,',
     'series.csv, row 4: a quotation mark is opened and never closed; accepted: each " that opens a cell closed by a second one.'),
    ("series.csv", "T1,0,algae_cover,9,", 'T1,0,algae_cover,"9"x,', "series.csv, row 4: text follows a closing quotation mark; "
     'accepted: a comma after the closing ", and "" for a quotation mark inside.'),
    # numbers
    ("series.csv", "4.5", "nan", "series.csv, row 2, column value: nan is not a number; accepted: a number."),
    ("series.csv", "4.5", "-inf", "series.csv, row 2, column value: -inf is not a number; accepted: a number."),
    ("series.csv", "4.5", "1e999", "series.csv, row 2, column value: 1e999 is out of range; accepted: a number."),
    ("series.csv", "4.5", "4_5", "series.csv, row 2, column value: 4_5 is not a number; accepted: a number."),
    ("series.csv", "4.5", "４", "series.csv, row 2, column value: ４ is not a number; accepted: a number."),
    ("series.csv", "T2,3,", "T2,3.5,", "series.csv, row 2, column day: 3.5 is not a whole number; accepted: a whole number of "
     "days since day 0."),
    ("series.csv", "T2,3,", "T2,443,", "series.csv, row 2, column day: day 443 is far from the days of the trial; "
     f"accepted: a day from -60 to 102, {AWAY}"),
    ("series.csv", "T2,3,", "T2,-61,", "series.csv, row 2, column day: day -61 is far from the days of the trial; "
     f"accepted: a day from -60 to 102, {AWAY}"),
    ("series.csv", "12.25,0.5", "12.25,-0.5", "series.csv, row 3, column se: -0.5 is out of range; accepted: a number of 0 or more."),
    ("series.csv", "4.5", "-4.5", "series.csv, row 2, column value: -4.5 is out of range; "
     "accepted: a share in % from 0 to 100, as the scale of this measure is logit."),
    ("spread.csv", "0.16,4", "0.16,0", "spread.csv, row 2, column df: 0 is out of range; accepted: a number above 0."),
    ("labels/classes.csv", "0,158,115", "0,258,115",
     "labels/classes.csv, row 2, column g: 258 is out of range; accepted: a whole number from 0 to 255."),
    # references
    ("series.csv", "T2,3,", "T9,3,", "series.csv, row 2, column unit: T9 is not a unit of trial.toml; accepted: T1, T2."),
    ("series.csv", "T2,3,algae_cover", "T2,3,algae", "series.csv, row 2, column measure: algae is not a measure of trial.toml; "
     "accepted: algae_cover, canopy_height."),
    ("build.csv", "T2,sand", "t2,sand", "build.csv, row 3, column unit: t2 is not a unit of trial.toml; accepted: T1, T2."),
    ("scores.csv", "photos/T1-a.jpg", "photos/T1-z.jpg",
     "scores.csv, row 2, column photo: photos/T1-z.jpg is not a photo that photos.csv lists; accepted: a photo that photos.csv lists."),
    ("pairs.csv", "T2-a.webp,b", "T2-a.webp,left", "pairs.csv, row 2, column more: left is none of the words known here; "
     "accepted: a, b, same."),
    ("pairs.csv", "T2-a.webp,b", "T1-a.jpg,b", "pairs.csv, row 2, column photo_b: photos/T1-a.jpg is also photo_a; accepted: "
     "two different photos."),
    ("events.csv", "T1;T2", ";", 'events.csv, row 3, column units: ";" is not a unit of trial.toml; '
     "accepted: T1, T2, parted by ; where there are several, or * for all."),
    ("events.csv", "T1;T2", "T8 T1 T9", "events.csv, row 3, column units: T8, T9 are no units of trial.toml; "
     "accepted: T1, T2, parted by ; where there are several, or * for all."),
    ("events.csv", "trim,,keep", "trim,,drop", "events.csv, row 4, column effect: drop is none of the words known here; "
     "accepted: keep, exclude_window, exclude_unit."),
    ("readings.csv", "true", "perhaps", "readings.csv, row 2, column below_detection: perhaps is neither true nor false; "
     "accepted: true or false."),
    # times
    ("events.csv", "2026-03-04,", "2026-03-02,",
     "events.csv, row 2, column until: 2026-03-02T23:59 lies before the event begins; accepted: a time after 2026-03-03T00:00, "
     "or nothing."),
    ("readings.csv", "2026-03-02", "2026-02-30", "readings.csv, row 2, column taken_at: 2026-02-30 is no day or hour of the calendar; "
     "accepted: an ISO 8601 time such as 2026-03-01T18:30, or a date such as 2026-03-01."),
    ("readings.csv", "2026-03-02", "2062-03-02", "readings.csv, row 2, column taken_at: 2062-03-02 would be day 13150, far from the days "
     f"of the trial; {DATES}"),
    ("photos.csv", "2026-03-04T18:31:05", "2025-03-04T18:31:05", "photos.csv, row 3, column taken_at: 2025-03-04 would be day -362, far "
     f"from the days of the trial; {DATES}"),
    ("events.csv", "2026-03-04,", "2027-03-04,", "events.csv, row 2, column until: 2027-03-04 would be day 368, far from the days of the "
     f"trial; {DATES}"),
    # readings
    ("readings.csv", "nitrate,5,mg/L,drops,true", "KH,-5,dKH,drops,false", "readings.csv, row 2, column value: -5 cannot be a value of KH; "
     "accepted: a number of 0 or more."),
    ("readings.csv", "nitrate,5,mg/L,drops,true", "GH,-5,dGH,drops,false", "readings.csv, row 2, column value: -5 cannot be a value of GH; "
     "accepted: a number of 0 or more."),
    ("readings.csv", "nitrate,5,mg/L", "pH,68,", "readings.csv, row 2, column value: 68 cannot be a value of pH; "
     "accepted: a number from 0 to 14."),
    # zones and classes
    ("zones.csv", "0 24; 45 24; 45 30; 0 30", "0 24; 45 24", "zones.csv, row 2, column polygon: 2 points enclose nothing; "
     "accepted: at least three points in cm as x y; x y; x y."),
    ("zones.csv", "0 24; 45 24; 45 30; 0 30", "0 24; 45; 45 30", "zones.csv, row 2, column polygon: 45 is not a point; "
     "accepted: at least three points in cm as x y; x y; x y."),
    ("zones.csv", "0 24; 45 24; 45 30; 0 30", "0 24; 20 24; 45 24",
     'zones.csv, row 2, column polygon: the points "0 24; 20 24; 45 24" enclose no area; accepted: at least three points in cm '
     'as x y; x y; x y.'),
    ("zones.csv", "floor,0 24; 45 24; 45 30; 0 30\n", "floor,0 24; 45 24; 45 30; 0 30\nT1,bed,static,0 24; 45 24; 45 30\n",
     'zones.csv, row 3, column zone: the zone "T1 bed" is already in row 2; accepted: each one once.'),
    ("labels/classes.csv", "167,plant\n", "167,\n", "labels/classes.csv, row 5, column counts_as: nothing says what plant_red counts as; "
     "accepted: plant, algae, background, static."),
    ("labels/classes.csv", "213,94,0,", "213,94,0,plant",
     "labels/classes.csv, row 3, column counts_as: algae counts as itself, not as plant; accepted: algae, or nothing."),
    ("labels/classes.csv", "plant_red,204,121,167", "plant_red,0,158,115",
     'labels/classes.csv, row 5, column b: the colour "0 158 115" is already in row 2; accepted: each one once.'),
]


@pytest.mark.parametrize(("file", "old", "new", "sentence"), ONE_CHANGE, ids=[f"{file} {new[:30]!r}" for file, _, new, _ in ONE_CHANGE])
def test_one_wrong_cell_gives_one_sentence(folder, file, old, new, sentence):
    folder.swap(file, old, new)
    assert folder.sentence() == sentence


@pytest.mark.parametrize("reading", ["nitrate,-5,drops", "KH,0,dKH", "gh,7.5,fH", "pH,6.8,", "ph,6.8,pH", "temperature,25,degC",
                                     "Temperature,77,°F", "redox,-120,mV", "KH,4,mg/L CaCO3"])
def test_a_reading_with_a_unit_that_fits_is_read(folder, reading):
    folder.swap("readings.csv", "nitrate,5,mg/L,drops,true", f"{reading},drops,false")
    assert folder.sentences() == []


@pytest.mark.parametrize(("file", "date"), [
    ("photos.csv", "2026-03-04T18:31:05"), ("readings.csv", "2026-03-02"), ("events.csv", "2026-03-09"),
])
def test_a_date_up_to_sixty_days_outside_the_trial_is_allowed(folder, file, date):
    for other in ("2025-12-31", "2026-06-11"):
        folder.swap(file, date, other)
        assert folder.sentences() == []
        folder.swap(file, other, date)


def test_a_table_all_of_whose_dates_are_far_off_is_told_once(folder):
    rows = [f"T1,2025-03-{day:02},nitrate,5,mg/L,," for day in range(2, 12)]
    folder.put("readings.csv", "unit,taken_at,quantity,value,unit_of_measure,method,below_detection\n" + "\n".join(rows) + "\n")
    assert folder.sentence() == ("readings.csv, column taken_at: all 10 dates are far from the days of the trial: 2025-03-02 in row 2 "
                                 f"would be day -364; {DATES[:-1]} (is start in trial.toml right?).")


@pytest.mark.parametrize(("mark", "name"), [(";", "semicolons"), ("\t", "tabs")])
def test_a_table_that_is_not_parted_by_commas_is_explained(plain, mark, name):
    plain.put("series.csv", f"unit{mark}day{mark}measure{mark}value\nT1{mark}3{mark}algae_cover{mark}4,5\n")
    assert plain.sentence() == (f"series.csv, row 1: the columns are parted by {name}; accepted: columns parted by commas, "
                                "numbers with a decimal point (choose CSV with commas when saving).")


def test_rows_are_counted_as_a_spreadsheet_shows_them(plain):
    plain.put("series.csv", 'note,unit,day,measure,value\n"two\nlines",T1,0,algae_cover,1\n\n,,,,\nx,T9,0,algae_cover,1\n')
    assert plain.sentence().startswith("series.csv, row 5, column unit: T9 is not a unit")


def test_two_faults_in_one_row_are_both_named(plain):
    plain.put("series.csv", "unit,day,measure,value\nT9,x,algae_cover,1\n")
    assert [sentence.split(":")[0] for sentence in plain.sentences()] == ["series.csv, row 2, column day", "series.csv, row 2, column unit"]


def test_a_table_without_header_is_refused(plain):
    plain.put("series.csv", "\n,,\n")
    assert plain.sentence() == ("series.csv, row 1: there is no header row; "
                                "accepted: a first row with the names unit, day, measure, value.")


def test_more_than_200000_rows_are_refused(plain, monkeypatch):
    """Told of a bound of 2000 rows, for time; reading one row does not depend on how many stand before it."""
    assert rows.MOST_ROWS == 200_000
    monkeypatch.setattr(rows, "MOST_ROWS", 2_000)
    plain.put("series.csv", "unit,day,measure,value\n" + "T1,0,algae_cover,1\n" * 2_001)
    assert plain.sentence() == "series.csv, row 2002: the table goes on after 2000 rows; accepted: at most 2000 rows."
    plain.put("series.csv", "unit,day,measure,value\n" + "T1,0,algae_cover,1\n" * 2_000)
    assert not any("goes on after" in sentence for sentence in plain.sentences())


def test_a_very_long_cell_is_refused(plain):
    plain.put("series.csv", "unit,day,measure,value,note\nT1,0,algae_cover,1," + "x" * 140_000 + "\n")
    assert plain.sentence() == ("series.csv, row 2: a cell is longer than 131072 characters; "
                                "accepted: cells of ordinary length (is a quotation mark missing?).")


def test_every_column_stands_once_in_its_table():
    for table in TABLES:
        names = [column.name for column in table.columns]
        assert len(names) == len(set(names)), table.file


# What leans on a table that cannot be read stays silent, so that the cause stands afolder.


def test_a_list_of_photos_with_only_a_header_says_that_it_holds_none(folder):
    folder.put("photos.csv", "photo,unit,taken_at\n")
    assert folder.sentence() == ("photos.csv: the file holds no photo, only a header; "
                                 "accepted: a row for each photo, or no photos.csv at all.")


@pytest.mark.parametrize(("content", "start"), [
    ("foto,unit,taken_at\nphotos/T1-a.jpg,T1,2026-03-01\n", "photos.csv, row 1, column photo: the column is missing"),
    ("photo;unit;taken_at\nphotos/T1-a.jpg;T1;2026-03-01\n", "photos.csv, row 1: the columns are parted by semicolons"),
    ("photo,unit,taken_at\nphotos/T1-a.jpg,T1,2026-03-01,\n", "photos.csv, row 2: the row has 4 cells"),
    ("\n", "photos.csv, row 1: there is no header row"), (b"\xff\xfe", "photos.csv: is UTF-16 text"), ("", "photos.csv: the file is empty"),
])
def test_a_list_of_photos_that_cannot_be_read_is_the_only_problem(folder, content, start):
    folder.put("photos.csv", content)
    assert folder.sentence().startswith(start)


def test_a_missing_list_of_photos_is_one_problem_and_names_the_file_that_may_be_meant(folder):
    (folder.root / "photos.csv").rename(folder.root / "Photo.CSV")
    assert folder.sentence() == ("photos.csv: the file is missing, and frames.csv, audit.csv, scores.csv, pairs.csv, labels speak of "
                                 "photos (Photo.CSV lies there: rename it if it is meant); accepted: a row for each photo.")


def test_photos_under_nearly_their_name_are_named_though_nothing_speaks_of_them(plain):
    plain.put("photo.csv", "photo,unit,taken_at\n")
    assert plain.sentences() == [], "there are ready-made values"
    plain.drop("series.csv")
    assert plain.sentence() == ("photos.csv: the file is missing (photo.csv lies there: rename it if it is meant); "
                                "accepted: a row for each photo.")


@pytest.mark.parametrize(("content", "start"), [
    ("unit,reference_photo\n", "frames.csv, row 1, column "), (b"\xff\xfe", "frames.csv: is UTF-16 text"),
    ("unit;mode\nT1;fixed\n", "frames.csv, row 1: the columns are parted by semicolons"),
])
def test_frames_that_cannot_be_read_are_the_only_problem(folder, content, start):
    folder.put("frames.csv", content)
    assert {sentence[: len(start)] for sentence in folder.sentences()} == {start}


def test_frames_with_only_a_header_say_that_they_hold_none(folder):
    folder.put("frames.csv", folder.root.joinpath("frames.csv").read_text().splitlines()[0] + "\n")
    assert folder.sentence() == "frames.csv: the file holds no frame, only a header; accepted: a row for each unit with photos or zones."


def test_a_wrong_unit_of_a_photo_or_a_frame_is_told_where_it_stands_only(folder):
    folder.swap("photos.csv", "photos/T2-a.webp,T2", "photos/T2-a.webp,T9")
    assert folder.sentence() == "photos.csv, row 4, column unit: T9 is not a unit of trial.toml; accepted: T1, T2."
    folder.swap("photos.csv", "photos/T2-a.webp,T9", "photos/T2-a.webp,T2")
    folder.swap("frames.csv", "T2,photos/T2-a.webp", "T9,photos/T2-a.webp")
    assert folder.sentence() == "frames.csv, row 3, column unit: T9 is not a unit of trial.toml; accepted: T1, T2."


def test_photos_whose_units_cannot_be_known_are_not_judged_by_them(folder):
    folder.swap("trial.toml", 'key = "T2"\n', "")
    assert folder.sentence().startswith("trial.toml, [[unit]] 2, key: the key is missing")
