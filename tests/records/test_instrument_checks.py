"""Scores, choices and water tests that a measure rests on: refused with file, row and column where they cannot be meant."""

import pytest

from fairtank.records.folder import read_folder

SCORES = "photo,measure,rater,value\nphotos/T1-a.jpg,vigour,one,3\nphotos/T2-a.webp,vigour,one,4\n"
READINGS = "unit,taken_at,quantity,value,unit_of_measure,method,below_detection\n"


@pytest.fixture
def scored(folder):
    """A folder whose one measure is scored by people; photos are there without frames, zones, strokes or audit."""
    folder.drop("series.csv", "audit.csv", "frames.csv", "zones.csv", "labels/T1-a.png", "labels/classes.csv", "pairs.csv")
    (folder.root / "labels").rmdir()
    plan = (folder.root / "trial.toml").read_text(encoding="utf-8")
    plan = plan.replace('key = "algae_cover"\nrole = "primary"\nscale = "logit"', 'key = "vigour"\nrole = "primary"')
    folder.put("trial.toml", plan.replace('[[measure]]\nkey = "canopy_height"\n', ""))
    folder.put("scores.csv", SCORES)
    return folder


@pytest.fixture
def tested(plain):
    """A folder whose second measure is a water test."""
    plain.swap("trial.toml", '"canopy_height"', '"nitrate"\nunit_of_measure = "mg/L NO3"')
    plain.put("readings.csv", READINGS + "T1,2026-03-02,nitrate,5,mg/L NO3,drops,false\nT2,2026-03-02,nitrate,1,mg/L N,drops,false\n")
    return plain


def test_photos_that_are_only_scored_need_no_frames(scored):
    assert scored.sentences() == []
    assert len(read_folder(scored.root).photos) == 3


def test_photos_that_are_scored_and_measured_need_frames_still(scored):
    scored.swap("trial.toml", 'key = "vigour"\nrole = "primary"', 'key = "vigour"\nrole = "primary"\n[[measure]]\nkey = '
                                                                  '"plant_cover"\n[[measure]]'
                                                                  '\nkey = "other"\ntitle = "x"')
    assert [text for text in scored.sentences() if text.startswith("frames.csv")] == \
        ["frames.csv: the file is missing, and photos.csv lists photos; accepted: a row for each unit with photos."]


def test_a_row_without_a_person_among_rows_with_one_is_refused(scored):
    scored.put("scores.csv", SCORES + "photos/T1-b.png,vigour,,3\n")
    assert scored.sentence() == ("scores.csv, row 4, column rater: the cell is empty, and row 2 names a person; accepted: the person's "
                                 "name or "
                                 "letter in every row.")


def test_one_person_needs_no_name(scored):
    scored.put("scores.csv", SCORES.replace(",one,", ",,"))
    assert scored.sentences() == []


@pytest.mark.parametrize(("scale", "value", "accepted"), [
    ("logit", "120", "a share in % from 0 to 100, as the scale of this measure is logit"),
    ("log", "-1", "a number of 0 or more, as the scale of this measure is log"),
])
def test_a_score_outside_its_scale_is_refused(scored, scale, value, accepted):
    scored.swap("trial.toml", 'key = "vigour"', f'key = "vigour"\nscale = "{scale}"')
    scored.put("scores.csv", SCORES + f"photos/T1-b.png,vigour,one,{value}\n")
    assert scored.sentence() == f"scores.csv, row 4, column value: {value} is out of range; accepted: {accepted}."


@pytest.mark.parametrize(("row", "sentence"), [
    ("photos/none.jpg,vigour,one,3", "scores.csv, row 4, column photo: photos/none.jpg is not a photo that photos.csv lists"),
    ("photos/T1-b.png,vigour,one,good", "scores.csv, row 4, column value: good is not a number"),
    ("photos/T1-b.png,vigour,one,nan", "scores.csv, row 4, column value: nan is not a number"),
    ("photos/T1-b.png,vigour,one,", "scores.csv, row 4, column value: the cell is empty"),
])
def test_a_score_of_nothing_or_without_a_number_is_refused(scored, row, sentence):
    scored.put("scores.csv", f"{SCORES}{row}\n")
    assert scored.sentence().startswith(sentence)


def test_a_measure_scored_and_chosen_is_refused(scored):
    scored.put("pairs.csv", "measure,rater,photo_a,photo_b,more\nvigour,one,photos/T1-a.jpg,photos/T2-a.webp,b\n")
    assert scored.sentence() == ("pairs.csv, row 2, column measure: vigour has values here and in scores.csv; accepted: one source for "
                                 "each "
                                 "measure: a key of its own for each.")


def test_a_measure_scored_and_tested_is_refused(scored):
    scored.put("readings.csv", READINGS + "T1,2026-03-02,vigour,5,,,false\n")
    assert scored.sentence().startswith("readings.csv, row 2, column quantity: vigour has values here and in scores.csv; accepted: one "
                                        "source")


def test_what_series_csv_holds_is_taken_from_there_and_nothing_is_refused(scored):
    scored.put("pairs.csv", "measure,rater,photo_a,photo_b,more\nvigour,one,photos/T1-a.jpg,photos/T2-a.webp,b\n")
    scored.put("series.csv", "unit,day,measure,value,se\nT1,3,vigour,4.5,\n")
    assert scored.sentences() == []


def test_choices_have_no_other_scale(scored):
    scored.drop("scores.csv")
    scored.put("pairs.csv", "measure,rater,photo_a,photo_b,more\nvigour,one,photos/T1-a.jpg,photos/T2-a.webp,b\n")
    assert scored.sentences() == []
    scored.swap("trial.toml", 'key = "vigour"', 'key = "vigour"\nscale = "log"')
    assert scored.sentence() == ("trial.toml, [[measure]] 1, scale: log does not fit choices between photos; accepted: identity, or no "
                                 "scale: "
                                 "choices give log odds of being picked, which are taken as they are.")


def test_choices_under_a_measure_that_photos_give_are_refused(scored):
    scored.drop("scores.csv")
    scored.swap("trial.toml", '"vigour"', '"algae_cover"')
    scored.put("pairs.csv", "measure,rater,photo_a,photo_b,more\nalgae_cover,one,photos/T1-a.jpg,photos/T2-a.webp,b\n")
    assert scored.sentence() == ("trial.toml, [[measure]] 1, key: algae_cover is what fairtank measures in photos, and pairs.csv holds "
                                 "choices "
                                 "under it; accepted: a key of its own for choices, such as algae_cover_by_eye.")


@pytest.mark.parametrize(("more", "accepted"), [("left", "a, b or same"), ("", "a, b or same")])
def test_an_answer_that_is_none_is_refused(scored, more, accepted):
    scored.put("pairs.csv", f"measure,rater,photo_a,photo_b,more\nvigour,one,photos/T1-a.jpg,photos/T2-a.webp,{more}\n")
    assert any(text.startswith("pairs.csv, row 2, column more: ") for text in scored.sentences())


def test_readings_in_units_of_one_quantity_are_read(tested):
    assert tested.sentences() == []


@pytest.mark.parametrize("unit", ["mg/L", "ppm", "drops", "mg/L PO4"])
def test_a_unit_that_cannot_be_turned_into_the_measure_s_is_refused(tested, unit):
    tested.swap("readings.csv", "mg/L N,", f"{unit},")
    assert tested.sentence() == (f'readings.csv, row 3, column unit_of_measure: {shown(unit)} cannot be turned into "mg/L NO3", the '
                                 f'unit of '
                                 "nitrate; accepted: units of one quantity (a nutrient as the ion or as the element), or a measure for "
                                 "each.")


def shown(unit):
    return f'"{unit}"' if " " in unit else unit


def test_a_row_without_a_unit_among_rows_with_one_is_refused(tested):
    tested.swap("readings.csv", "mg/L N,", ",")
    assert tested.sentence().startswith('readings.csv, row 3, column unit_of_measure: the cell is empty, and other rows of nitrate have '
                                        '"mg/L NO3"')


def test_a_measure_without_a_unit_whose_readings_have_one_is_refused(tested):
    tested.swap("trial.toml", 'unit_of_measure = "mg/L NO3"', 'title = "Nitrate"')
    assert tested.sentence() == ('trial.toml, [[measure]] 2, unit_of_measure: no unit is given for nitrate, and readings.csv has it in '
                                 '"mg/L NO3", '
                                 '"mg/L N"; accepted: the unit in which it is told, such as unit_of_measure = "mg/L NO3".')


def test_a_quantity_without_a_unit_may_be_a_measure(tested):
    tested.swap("trial.toml", '"nitrate"\nunit_of_measure = "mg/L NO3"', '"ph"')
    tested.put("readings.csv", READINGS + "T1,2026-03-02,ph,6.8,,,\n")
    assert tested.sentences() == []


@pytest.mark.parametrize("value", ["0", "-1"])
def test_a_limit_of_detection_is_above_0(tested, value):
    tested.put("readings.csv", READINGS + f"T1,2026-03-02,ammonium,{value},mg/L,drops,true\n")
    assert tested.sentence() == (f"readings.csv, row 2, column value: {value} cannot be a limit of detection; accepted: the smallest "
                                 f"amount that "
                                 "the test can tell, above 0, where below_detection is true.")


def test_a_reading_outside_the_scale_of_its_measure_is_refused(tested):
    tested.swap("trial.toml", 'unit_of_measure = "mg/L NO3"', 'unit_of_measure = "mg/L NO3"\nscale = "log"')
    tested.swap("readings.csv", "nitrate,1,", "nitrate,-1,")
    assert tested.sentence() == ("readings.csv, row 3, column value: -1 is out of range; accepted: a number of 0 or more, as the scale "
                                 "of this "
                                 "measure is log.")
