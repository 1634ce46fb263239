"""Decimal commas that part a number in two, classes of earlier trials without a size, and a lot whose day is not written down."""

import pytest

from fairtank.records.folder import read_folder

HEAD = "unit,day,measure,value,se\n"


def test_decimal_commas_that_fill_value_and_error_are_refused(plain):
    plain.put("series.csv", HEAD + "T1,0,algae_cover,1,7\nT1,3,algae_cover,2,4\nT2,0,algae_cover,9,1\nT2,3,algae_cover,3,8\n")
    assert plain.sentence() == (
        "series.csv, rows 2, 3 and 5, column se: all values of algae_cover are whole numbers, and in 3 of 4 rows the standard error is "
        "larger: most likely a decimal comma parted 1,7 into 1 and 7; accepted: values with a decimal point (1.7), and se left empty where "
        "it is not known.")


@pytest.mark.parametrize("rows", [
    ["T1,0,algae_cover,1,7", "T1,3,algae_cover,9,4", "T2,0,algae_cover,9,1", "T2,3,algae_cover,8,"],  # larger in one row of four
    ["T1,0,algae_cover,1,7", "T1,3,algae_cover,2.5,4", "T2,0,algae_cover,2,5"],  # not all of them whole
    ["T1,0,algae_cover,1,7.5", "T1,3,algae_cover,2,4", "T2,0,algae_cover,2,5"],
    ["T1,0,algae_cover,1,7", "T2,0,algae_cover,1,7"],  # two rows are no pattern
])
def test_an_error_larger_than_its_value_is_read_and_told(plain, rows):
    plain.put("series.csv", HEAD + "\n".join(rows) + "\n")
    cautions = read_folder(plain.root).cautions
    assert cautions[0].startswith("series.csv, row")
    assert ", column se: the standard error of algae_cover is larger than the value; look whether a decimal comma parted 1,7" in cautions[0]


def test_errors_below_their_values_are_no_matter(plain):
    plain.put("series.csv", HEAD + "T1,0,algae_cover,7,1\nT1,3,algae_cover,0,0\nT2,0,algae_cover,9,\nT2,3,algae_cover,8,8\n")
    assert read_folder(plain.root).cautions == ()


def test_classes_without_any_number_are_told_with_their_rows(plain):
    rows = ["algae_cover,logit,mean,banana,big,0.16,4,first"] * 2 + ["algae_cover,logit,mean,6 weeks,tank of 45 to under 80 L,0.16,4,b",
                                                                     "algae_cover,logit,mean,,,0.16,4,c",
                                                                     "algae_cover,logit,mean,about 40 days,45 L cube,0.16,4,d"]
    plain.put("spread.csv", "measure,scale,summary,window_class,tank_class,variance,df,trial\n" + "\n".join(rows) + "\n")
    rest = "Whether the entry is of like tanks cannot be checked."
    assert read_folder(plain.root).cautions == (
        f"spread.csv, rows 2 and 3, column window_class: banana names no window: 42 days, 6 weeks or 35 to 49 days would. {rest}",
        f"spread.csv, rows 2 and 3, column tank_class: big names no size of tanks: 54 L or 45 to 80 L would. {rest}",
    )


def drawn_start(plain, days=(0, 30)):
    plain.swap("trial.toml", 'kind = "side_by_side"', 'kind = "drawn_start"\nstart_window = [10, 23]')
    plain.put("series.csv", HEAD + "".join(f"{unit},{day},algae_cover,5,\n" for unit in ("T1", "T2") for day in days))


def test_a_drawn_start_without_its_day_names_file_and_key_once_values_come_from_after_its_window(plain):
    drawn_start(plain)
    assert plain.sentence() == (
        "trial.toml, [design] drawn_day: the key is missing, and series.csv holds values from after day 23, the last day on which the "
        "change could start; accepted: the day that the lot chose, a whole number from 10 to 23.")
    plain.swap("trial.toml", "start_window = [10, 23]", "start_window = [10, 23]\ndrawn_day = 14")
    assert plain.sentences() == []


def test_before_the_draw_its_day_may_be_open(plain):
    drawn_start(plain, days=(0, 5, 9, 23))
    assert plain.sentences() == []
