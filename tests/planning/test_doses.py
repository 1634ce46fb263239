"""Doses per unit and per litre, what they add, and what they build up to."""

import math
from dataclasses import replace

import pytest

from checking import agrees, every
from fairtank.build import Dose, Material, SourceWater, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.building.doses import doses_left
from fairtank.planning.buildsheet import build_sheet
from fairtank.science.changes import after_changes_mg_l
from planning.setups import hand_worked, midday

LIQUID = Material("liquid", "liquid", "nitrate liquid", label_mg_ml=(("NO3", 50.0),))
SALT = Material("nitrate", "salt", "potassium nitrate", formula="KNO3")


def dosed(*doses, change=0.0, per_week=1.0, weeks=4.0, materials=(LIQUID, SALT), ions=()):
    setup = hand_worked()
    water = (WaterPlan(SourceWater("tap", 8, 4, ions_mg_l=ions), change_fraction=change, changes_per_week=per_week),)
    return build_sheet(replace(setup, materials=(*setup.materials, *materials), doses=doses, water=water, weeks=weeks))


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="1 g KNO3 in 1 L: K 386.7 mg/L, NO3 613.3 mg/L")
def test_a_dry_dose_adds_what_its_formula_says():
    sheet = dosed(Dose("nitrate", mass_mg=500))
    gains = {course.ion: course.gain_mg_l for course in sheet.courses}
    net_l = sheet.units[0].net_l
    assert agrees(gains["K"] * net_l / 0.5, "386.7")
    assert agrees(gains["NO3"] * net_l / 0.5, "613.3")


def test_a_liquid_adds_what_its_label_says():
    sheet = dosed(Dose("liquid", volume_ml=5.2))
    line = next(line for line in sheet.lines if line.part == "doses")
    assert (line.planned, line.unit_of_measure, line.tolerance) == (5.0, "mL", 0.25)
    assert sheet.courses[0].gain_mg_l == pytest.approx(5.0 * 50 / sheet.units[0].net_l), "the rounded dose counts"


@pytest.mark.published(entry="build_sheet", source="arithmetic",
                       where="d + C (1 - x): peaks 5, 8.75, 11.5625 (x .25); 5, 8.5, 10.95 (.3); 5, 7.5, 8.75 (.5)")
@pytest.mark.parametrize(("change", "peaks", "bound"), [
    (0.25, ("5.00", "8.75", "11.562", "13.672"), "20.00"), (0.30, ("5.00", "8.50", "10.95", "12.665"), "16.667"),
    (0.50, ("5.00", "7.50", "8.75", "9.375"), "10.00"),
])
def test_weekly_peaks_and_bound_equal_the_hand_worked_course(change, peaks, bound):
    course = dosed(Dose("liquid", volume_ml=5), change=change).courses[0]
    assert all(agrees(5 * value / course.gain_mg_l, printed) for value, printed in zip(course.weekly_mg_l, peaks, strict=True))
    assert agrees(5 * course.bound_mg_l / course.gain_mg_l, bound)


@pytest.mark.parametrize(("per_week", "change"), [(1, 0.25), (2, 0.3), (3, 0.5), (4, 0.1)])
def test_doses_that_keep_step_with_changes_follow_the_recursion(per_week, change):
    """The value before a change is that after the one before, plus the doses between."""
    after = [0.0, *after_changes_mg_l(per_week, change, 7)]
    assert doses_left(per_week, 1, change, 8) == pytest.approx([value + per_week for value in after])
    after_half_weeks = [0.0, *after_changes_mg_l(per_week, change, 15)]
    assert doses_left(2 * per_week, 2, change, 8) == pytest.approx([value + per_week for value in after_half_weeks[1::2]])


def test_nitrogen_of_nitrate_has_a_course_and_is_not_told_twice():
    """Urea has no ion and counts by its nitrogen; that of nitrate stands in the nitrate."""
    urea = Material("urea", "salt", "urea", formula="urea")
    sheet = dosed(Dose("urea", mass_mg=200), Dose("nitrate", mass_mg=200), materials=(urea, SALT))
    assert [course.ion for course in sheet.courses if course.material == "nitrate"] == ["K", "NO3", "N"]
    assert [course.ion for course in sheet.courses if course.material == "urea"] == ["N"]
    assert [total.ion for total in sheet.totals] == ["N", "K", "NO3"]
    note = next(line.note for line in sheet.lines if line.material == "nitrate")
    assert note.startswith("1 a week; each adds K ")
    assert " N " not in note


def test_without_changes_doses_add_up():
    course = dosed(Dose("liquid", volume_ml=5, doses_per_week=2), weeks=3).courses[0]
    assert course.weekly_mg_l == pytest.approx([2 * course.gain_mg_l, 4 * course.gain_mg_l, 6 * course.gain_mg_l])
    assert course.bound_mg_l == pytest.approx(6 * course.gain_mg_l)


@every("doses", [0.5, 1, 2, 2.5, 7])
@every("changes", [0.5, 1, 2, 3, 7])
@every("share", [0.1, 0.5, 1.0])
def test_no_course_ever_exceeds_its_bound(doses, changes, share):
    """Walked dose by dose and change by change over two years; a change that meets a dose comes before it."""
    course = dosed(Dose("liquid", volume_ml=5, doses_per_week=doses), change=share, per_week=changes, weeks=10).courses[0]
    given = [(number / doses, 1) for number in range(int(104 * doses))]
    changed = [(number / changes, 0) for number in range(1, int(104 * changes))]
    highest = level = 0.0
    for _, is_dose in sorted(given + changed):
        level = level + 1 if is_dose else level * (1 - share)
        highest = max(highest, level)
    assert highest * course.gain_mg_l <= course.bound_mg_l * (1 + 1e-9)
    assert max(course.weekly_mg_l) <= course.bound_mg_l * (1 + 1e-9)


def test_weeks_that_are_begun_are_told_whole():
    course = dosed(Dose("liquid", volume_ml=5), change=0.5, weeks=37 / 7).courses[0]
    assert len(course.weekly_mg_l) == 6
    assert next(line for line in build_sheet(midday()).lines if line.part == "doses").times == math.ceil(2 * 37 / 7)


def walked(doses, changes, share, weeks):
    """What is in the water at each week's end, from the list of all that happens before it; a change that meets a dose comes before it."""
    given = [(number / doses, 1) for number in range(math.ceil(doses * weeks) + 1)]
    changed = [(number / changes, 0) for number in range(1, math.ceil(changes * weeks) + 1)]
    found = []
    for end in [*range(1, math.ceil(weeks)), weeks]:
        level = 0.0
        for at, is_dose in sorted(given + changed):
            if at < end - 1e-9:
                level = level + 1 if is_dose else level * (1 - share)
        found.append(level)
    return found


@every("weeks", [37 / 7, 5 + 1 / 3, 0.4, 6.5, 10.0])
@every(("doses", "changes", "share"), [(2, 1, 0.0), (7, 1, 0.4), (1, 3, 0.5), (2.5, 0.5, 0.25), (0.5, 1, 0.1)])
def test_a_trial_that_does_not_last_whole_weeks_ends_where_its_doses_end(doses, changes, share, weeks):
    course = dosed(Dose("liquid", volume_ml=5, doses_per_week=doses), change=share, per_week=changes, weeks=weeks).courses[0]
    assert [value / course.gain_mg_l for value in course.weekly_mg_l] == pytest.approx(walked(doses, changes, share, weeks))
    assert max(course.weekly_mg_l) <= course.bound_mg_l * (1 + 1e-9)


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="37 days, two doses a week from the first day on: 11 doses, by hand")
def test_the_sheet_tells_as_many_doses_as_build_up():
    sheet = dosed(Dose("nitrate", mass_mg=150, doses_per_week=2), weeks=37 / 7)
    times, = {line.times for line in sheet.lines if line.part == "doses"}
    course = next(course for course in sheet.courses if course.ion == "NO3")
    assert times == 11
    assert course.weekly_mg_l[-1] == pytest.approx(11 * course.gain_mg_l) == pytest.approx(course.bound_mg_l)


def unlike_pair(dose, material=SALT):
    """The hand-worked box beside one of a quarter of its length."""
    setup = hand_worked()
    small = replace(setup.tanks[0], key="small", length_mm=160)
    return build_sheet(replace(setup, materials=(*setup.materials, material), tanks=(*setup.tanks, small), rocks=(),
                               places=(("U1", "box"), ("U2", "small")), doses=(dose,)))


def test_a_dose_per_litre_that_the_syringe_makes_unlike_is_told_and_marked():
    """0.1 mL/L in 53.3 and 13.4 L: 5.33 and 1.34 mL come to 5.5 and 1.5 mL."""
    sheet = unlike_pair(Dose("liquid", volume_ml=0.1, per_litre=True), LIQUID)
    large, small = (line for line in sheet.lines if line.part == "doses")
    assert (large.planned, small.planned) == (5.5, 1.5)
    assert large.differs
    assert small.differs
    low, high = (line.planned / sheet.facts_of(line.unit).net_l for line in (large, small))
    assert f"nitrate liquid is meant alike for each litre, but rounded to 0.5 mL a dose comes to {low:.3g} to {high:.3g} mL/L" in " ".join(
        sheet.cautions)


def test_a_dose_per_litre_that_the_scale_keeps_alike_is_neither_told_nor_marked():
    sheet = unlike_pair(Dose("nitrate", mass_mg=10, per_litre=True))
    assert not any(line.differs for line in sheet.lines)
    assert "meant alike for each litre" not in " ".join(sheet.cautions)
    coarse = unlike_pair(Dose("nitrate", mass_mg=0.1, per_litre=True))
    high, low = (line.planned / coarse.facts_of(line.unit).net_l for line in coarse.lines if line.part == "doses")
    assert f"rounded to 1 mg a dose comes to {low:.3g} to {high:.3g} mg/L, so its concentration differs" in " ".join(coarse.cautions)


def test_per_litre_gives_unlike_units_equal_concentrations():
    setup = hand_worked()
    pair = replace(setup, materials=(*setup.materials, SALT), tanks=(*setup.tanks, replace(setup.tanks[0], key="large", length_mm=900)),
                   places=(("U1", "box"), ("U2", "large")), doses=(Dose("nitrate", mass_mg=10, per_litre=True),))
    sheet = build_sheet(pair)
    small, large = (course for course in sheet.courses if course.ion == "NO3")
    assert small.gain_mg_l == pytest.approx(large.gain_mg_l, rel=0.002)
    assert small.gain_mg_l == pytest.approx(6.133, rel=0.002)
    assert "so its concentration differs" not in " ".join(sheet.cautions)


def test_like_doses_into_unlike_waters_are_named():
    setup = hand_worked()
    pair = replace(setup, materials=(*setup.materials, SALT), tanks=(*setup.tanks, replace(setup.tanks[0], key="large", length_mm=900)),
                   places=(("U1", "box"), ("U2", "large")), doses=(Dose("nitrate", mass_mg=500),))
    assert "potassium nitrate is dosed alike into 51.9 to " in " ".join(build_sheet(pair).cautions)


def test_all_doses_of_an_ion_stand_on_what_the_water_brings():
    sheet = dosed(Dose("liquid", volume_ml=5), Dose("nitrate", mass_mg=500), change=0.5, ions=(("NO3", 12.0),))
    total = next(total for total in sheet.totals if total.ion == "NO3")
    parts = [course for course in sheet.courses if course.ion == "NO3"]
    assert len(parts) == 2
    assert total.water_mg_l == 12
    assert total.bound_mg_l == pytest.approx(12 + sum(part.bound_mg_l for part in parts))
    assert total.weekly_mg_l[2] == pytest.approx(12 + sum(part.weekly_mg_l[2] for part in parts))


def test_a_liquid_without_a_label_is_dosed_and_said_to_be_unknown():
    sheet = dosed(Dose("liquid", volume_ml=2), materials=(replace(LIQUID, label_mg_ml=()),))
    assert sheet.courses == ()
    assert "What nitrate liquid adds is not known" in " ".join(sheet.cautions)
    assert "what it adds is not known" in next(line.note for line in sheet.lines if line.part == "doses")


def test_a_dose_too_small_for_the_scale_is_noted():
    line = next(line for line in dosed(Dose("nitrate", mass_mg=40)).lines if line.part == "doses")
    assert "too little for a pocket scale: weigh a hundred doses" in line.note
    assert line.tolerance == 4


def test_rounding_that_matters_is_noted():
    line = next(line for line in dosed(Dose("liquid", volume_ml=0.7)).lines if line.part == "doses")
    assert line.planned == 0.5
    assert line.note.endswith("rounded from 0.7 mL")


@pytest.mark.parametrize(("dose", "sentence"), [
    (Dose("liquid", volume_ml=0.2), r"nitrate liquid: a dose of 0\.2 mL rounds to nothing at steps of 0\.5 mL: give it less often"),
    (Dose("nitrate", mass_mg=0.3), r"potassium nitrate: a dose of 0\.3 mg rounds to nothing at steps of 1 mg"),
    (Dose("nitrate", volume_ml=1.0), r"The dose of nitrate: a salt is dosed by mass_mg"),
    (Dose("liquid", mass_mg=1.0), r"The dose of liquid: a liquid is dosed by volume_ml"),
    (Dose("nitrate", mass_mg=1.0, volume_ml=1.0), r"The dose of nitrate: give either mass_mg or volume_ml"),
    (Dose("nitrate", mass_mg=100, doses_per_week=0), r"The dose of nitrate: amounts and doses per week must be above 0"),
    (Dose("nitrate", mass_mg=100, doses_per_week=200), r"200 doses a week are more than one an hour"),
    (Dose("liquid", volume_ml=-1), r"The dose of liquid: amounts and doses per week must be above 0"),
])
def test_a_dose_that_cannot_be_given_is_refused(dose, sentence):
    with pytest.raises(DesignError, match=sentence):
        dosed(dose)


def test_a_salt_without_a_formula_is_refused():
    with pytest.raises(DesignError, match=r"The dose of nitrate: its formula is not given; write it with its water"):
        dosed(Dose("nitrate", mass_mg=100), materials=(replace(SALT, formula=""),))
