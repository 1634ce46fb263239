"""Whether a factor goes along with the arms, design by design: by numbers, by words, and where nothing can be told."""

import pytest

from fairtank.planning.evenness.result import VERDICTS
from fairtank.trial import Arm
from planning.even_trials import check_of, checked, chore, event, plan, readings, told, verdict

SIX = plan()


@pytest.mark.parametrize(("values", "expected"), [
    ([24.0, 24.1, 23.9, 25.2, 25.1, 25.3], "confounded"),
    ([24.0, 24.1, 23.9, 24.1, 24.0, 24.2], "within"),
    ([24.0, 24.0, 24.0, 24.0, 24.0, 24.0], "even"),
    ([24.0, 25.6, 23.2, 25.4, 23.1, 24.2], "crossed"),
    ([24.0, 24.1, 23.9, 24.4, 24.3, 24.5], "within"),
])
def test_a_temperature_goes_along_with_the_arms_only_beyond_tolerance_and_scatter(values, expected):
    assert verdict("temperature", SIX, readings=readings("Temp", values, "degC")) == expected


@pytest.mark.parametrize(("words", "expected"), [
    (["lamp A"] * 3 + ["lamp B"] * 3, "confounded"),
    (["lamp A", "Lamp  a", "LAMP A", "lamp_a", "lamp A", "lamp a"], "even"),
    (["lamp A", "lamp B", "lamp A", "lamp B", "lamp A", "lamp B"], "crossed"),
    ([f"serial {number}" for number in range(6)], "crossed"),
    (["lamp A"] * 3 + ["lamp B", "lamp C", "lamp D"], "confounded"),
])
def test_words_go_along_with_the_arms_where_the_word_tells_the_arm(words, expected):
    assert verdict("lamp_model", SIX, factors=told("lamp_model", words)) == expected


def test_with_one_tank_in_each_arm_any_difference_goes_along_with_the_arms():
    two = plan("RC")
    assert verdict("temperature", two, readings=readings("temperature", [24.0, 24.7])) == "confounded"
    assert verdict("temperature", two, readings=readings("temperature", [24.0, 24.3])) == "within"
    assert verdict("lamp_model", two, factors=told("lamp_model", ["A", "B"])) == "confounded"


def test_neighbours_on_a_shelf_are_as_near_as_two_tanks_can_stand():
    assert verdict("place", plan("RC", position=["place 1", "place 2"])) == "within"
    assert verdict("place", plan("RC", position=["place 1", "place 4"])) == "confounded"


def test_places_taken_once_count_by_their_order():
    places = [f"shelf 1, place {number}" for number in range(1, 9)]
    assert verdict("place", plan("RRRRCCCC", position=places)) == "confounded"
    assert verdict("place", plan("RCCRRCCR", position=places)) == "crossed"
    assert verdict("place", plan("RRRCCC", position=places[:6], drawn=False)) == "confounded"


def test_a_shelf_for_each_arm_goes_along_and_shelves_shared_out_do_not():
    apart = ["shelf 1"] * 3 + ["shelf 2"] * 3
    assert verdict("shelf", plan(position=apart)) == "confounded"
    shared = ["top shelf", "top shelf", "shelf 2", "shelf 2", "lower shelf", "lower shelf"]
    assert verdict("shelf", plan("RCRCRC", position=shared)) == "crossed"


def test_differences_between_blocks_are_crossed_and_those_inside_count():
    blocks = ["b1", "b1", "b2", "b2", "b3", "b3"]
    trial = plan("RCRCRC", block=blocks)
    between = readings("temperature", [23.0, 23.1, 24.5, 24.4, 26.0, 26.1])
    inside = readings("temperature", [23.0, 24.1, 24.5, 25.4, 26.0, 27.1])
    assert check_of("temperature", trial, readings=between).verdict == "crossed"
    assert check_of("temperature", trial, readings=inside).verdict == "confounded"
    assert check_of("lamp_model", trial, factors=told("lamp_model", ["A", "A", "B", "B", "C", "C"])).crossed_by == "blocks"
    assert verdict("lamp_model", trial, factors=told("lamp_model", ["A", "B"] * 3)) == "confounded"


def test_in_pairs_and_rounds_the_pair_is_the_block():
    pairs = plan("RCRC", kind="pairs", pair=["p", "p", "q", "q"])
    assert verdict("temperature", pairs, readings=readings("temperature", [22.0, 22.1, 26.0, 25.9])) == "crossed"
    rounds = plan("RCCR", kind="rounds", round=["1", "1", "2", "2"], tank=["X", "Y", "X", "Y"])
    # the tank that is warmer comes back under the other arm
    assert verdict("temperature", rounds, readings=readings("temperature", [22.0, 24.0, 22.0, 24.0])) == "crossed"


def test_a_swap_crosses_what_belongs_to_the_tank():
    swap = plan("RRCC", kind="swap", swap_day=21)
    check = check_of("lamp_model", swap, factors=told("lamp_model", ["A", "A", "B", "B"]))
    assert (check.verdict, check.crossed_by) == ("crossed", "swap")


def test_a_swap_does_not_cross_what_changes_with_the_arm_in_each_period():
    swap = plan("RRCC", kind="swap", swap_day=21)
    first = readings("temperature", [24.0, 24.1, 25.5, 25.6], day=10)
    warm_when_changed = (*first, *readings("temperature", [25.5, 25.4, 24.0, 24.1], day=28))
    warm_tanks = (*first, *readings("temperature", [24.0, 24.1, 25.5, 25.6], day=28))
    assert verdict("temperature", swap, readings=warm_when_changed) == "confounded"
    assert verdict("temperature", swap, readings=warm_tanks) == "crossed"


def test_a_run_in_shows_part_of_a_difference():
    trial = plan(kind="run_in", run_in_days=10)
    assert check_of("lamp_model", trial, factors=told("lamp_model", ["A"] * 3 + ["B"] * 3)).is_part_seen


def test_of_three_arms_each_is_held_against_the_reference():
    arms = (Arm("R", "reference"), Arm("C", "changed"), Arm("D", "changed"))
    check = check_of("flow", plan("RRCCDD", arms=arms), factors=told("flow", [300.0, 305.0, 302.0, 299.0, 480.0, 478.0], "L/h"))
    assert (check.verdict, check.against, check.arm) == ("confounded", "R", "D")


def test_on_a_ladder_the_trend_with_the_dose_counts():
    arms = tuple(Arm(key, "changed" if dose else "reference", dose=dose) for key, dose in zip("RABC", (0.0, 1.0, 2.0, 4.0), strict=True))
    trial = plan("RRAABBCC", arms=arms, kind="ladder")
    rising = told("temperature", [24.0, 24.1, 24.5, 24.4, 25.1, 24.9, 26.1, 25.9], "°C")
    humped = told("temperature", [24.0, 25.4, 25.5, 24.1, 25.6, 24.2, 24.1, 25.4], "°C")
    assert verdict("temperature", trial, factors=rising) == "confounded"
    assert verdict("temperature", trial, factors=humped) == "crossed"


def test_of_two_changes_each_is_looked_at_with_the_other_taken_out():
    arms = (Arm("R", "reference"), Arm("L", "changed", changes=("light",)), Arm("G", "changed", changes=("co2",)),
            Arm("B", "changed", changes=("light", "co2")))
    trial = plan("RRLLGGBB", arms=arms, kind="two_changes")
    with_co2 = told("temperature", [24.0, 24.1, 24.0, 23.9, 25.5, 25.4, 25.6, 25.5], "°C")
    check = check_of("temperature", trial, factors=with_co2)
    assert check.verdict == "confounded"
    assert set(check.deviations)
    assert round(check.difference, 2) == 1.5


def test_compartments_that_share_their_water_count_as_one_tank():
    trial = plan("RRCC", tank=["X", "X", "Y", "Y"], shared_water=True)
    assert verdict("temperature", trial, readings=readings("temperature", [24.0, 24.0, 25.0, 25.0])) == "confounded"


def test_what_trial_toml_names_is_the_change_itself():
    trial = plan(declared=("photoperiod",))
    check = check_of("photoperiod", trial, factors=told("photoperiod", [8.0] * 3 + [11.0] * 3, "h"))
    assert (check.verdict, check.is_declared) == ("change", True)


def test_what_only_the_words_of_the_plan_speak_of_is_perhaps_the_change():
    spoken = plan(change="11 h of light instead of 8 h")
    check = check_of("photoperiod", spoken, factors=told("photoperiod", [8.0] * 3 + [11.0] * 3, "h"))
    assert (check.verdict, check.is_declared, check.may_be_the_change) == ("change", False, True)
    assert verdict("photoperiod", plan(change="a second filter"), factors=told("photoperiod", [8.0] * 3 + [11.0] * 3, "h")) == "confounded"


def test_with_the_change_named_nothing_else_is_taken_for_it():
    trial = plan(change="11 h of light instead of 8 h", declared=("doses",))
    assert verdict("photoperiod", trial, factors=told("photoperiod", [8.0] * 3 + [11.0] * 3, "h")) == "confounded"


def test_what_a_named_change_brings_is_a_side_effect():
    trial = plan(declared=("doses",))
    check = check_of("nitrate", trial, readings=readings("NO3", [12.0, 11.0, 12.5, 5.0, 6.0, 5.5], "mg/L"))
    assert (check.verdict, check.cause) == ("side_effect", "Doses")


def test_a_factor_known_in_one_arm_only_is_told_as_lopsided():
    check = check_of("tools", SIX, factors=told("tools", ["own"] * 3))
    assert (check.verdict, check.is_lopsided, check.recorded) == ("not_recorded", True, 3)


def test_missing_units_are_counted_and_the_rest_is_judged():
    check = check_of("kh", SIX, readings=readings("kh", [4.0, 4.1, None, 4.0, None, 4.2], "dKH"))
    assert (check.verdict, check.recorded) == ("within", 4)


def test_units_of_measure_are_one_before_they_are_compared():
    values = (*readings("temp_c", [24.0, 24.1, 24.0]), *readings("Temperature", [None, None, None, 75.2, 75.3, 75.1], "degF"))
    assert verdict("temperature", SIX, readings=values) == "within"


def test_what_was_measured_counts_before_what_was_planned_and_both_are_told():
    check = check_of("temperature", SIX, readings=readings("temperature", [25.1] * 6), factors=told("temperature", [24.0] * 6, "°C"))
    assert check.where == ("readings.csv",)
    assert [one.other_where for one in check.contradictions] == ["factors.csv"]


def test_a_measure_of_the_plan_is_no_factor():
    from fairtank.trial import MeasureChoice

    trial = plan(measures=(MeasureChoice("no3", "primary"),))
    assert verdict("nitrate", trial, readings=readings("no3", [12.0] * 3 + [4.0] * 3)) == "not_recorded"


def test_events_of_some_tanks_only_are_noughts_in_the_others():
    wiped = tuple(event("glass wiped", day, "T4", "T5", "T6") for day in (5, 12, 19))
    assert verdict("cleaning", SIX, events=wiped) == "confounded"
    assert verdict("cleaning", SIX, events=tuple(event("glass wiped", day) for day in (5, 12, 19))) == "even"


def test_water_changes_are_read_from_notes_and_from_chores():
    changed = (event("Water change", 7, "T1", "T2", "T3", note="30 % in each"),
               event("water_change", 7, "T4", "T5", "T6", note="50 % in each"))
    assert verdict("water_change", SIX, events=changed) == "confounded"
    done = tuple(chore(f"T{number}", "water_change", 7, amount=0.3) for number in range(1, 7))
    assert verdict("water_change", SIX, chores_done=done) == "even"


def test_doses_are_compared_one_by_one():
    done = tuple(chore(f"T{number}", "dose", 7, quantity="iron", amount=2.0 if number < 4 else 1.0, unit_of_measure="mL")
                 for number in range(1, 7))
    same = tuple(chore(f"T{number}", "dose", 8, quantity="potassium", amount=3.0, unit_of_measure="mL") for number in range(1, 7))
    check = check_of("doses", SIX, chores_done=(*done, *same))
    assert (check.verdict, check.part, check.unit) == ("confounded", "iron", "mL a week")


def test_whose_hands_care_is_a_share_of_the_work():
    by = ("Ama", "Ama", "Ama", "Bel", "Bel", "Bel")
    done = tuple(chore(f"T{number + 1}", "clean", day, by=by[number], minutes=5) for number in range(6) for day in (3, 10, 17))
    assert verdict("hands", SIX, chores_done=done) == "confounded"
    assert verdict("care_minutes", SIX, chores_done=done) == "even"


def test_days_of_planting_count_as_days():
    planted = (event("planted", 0, "T1", "T2", "T3"), event("Planting", 7, "T4", "T5", "T6"))
    assert verdict("planted_on", SIX, events=planted) == "confounded"
    assert round(check_of("planted_on", SIX, events=planted).difference, 9) == 7.0


def test_where_nothing_is_known_every_factor_is_not_recorded():
    assert {check.verdict for check in checked(SIX).checks} == {"not_recorded"}


def test_factors_that_move_the_primary_measure_most_come_first():
    records = (*told("window_side", ["away"] * 3 + ["towards"] * 3), *told("heater_model", ["A"] * 3 + ["B"] * 3),
               *told("plant_mass", [30.0, 31.0, 30.5, 60.0, 61.0, 62.0], "g"))
    by_algae = [check.key for check in checked(SIX, factors=records).with_verdict("confounded")]
    assert by_algae == ["window_side", "plant_mass", "heater_model"]


def test_the_order_of_the_verdicts_is_that_of_the_list():
    records = (*told("window_side", ["away"] * 3 + ["towards"] * 3), *told("lamp_model", ["A"] * 6))
    places = [VERDICTS.index(check.verdict) for check in checked(SIX, factors=records).checks]
    assert places == sorted(places)


def test_rows_without_minutes_are_not_known_and_not_none():
    done = tuple(chore(f"T{number}", "clean", day, minutes=5 if number < 4 else None) for number in range(1, 7) for day in (3, 10, 17))
    check = check_of("care_minutes", SIX, chores_done=done)
    assert (check.verdict, check.is_lopsided, check.recorded) == ("not_recorded", True, 3)


def test_a_number_beyond_all_sense_breaks_nothing():
    assert verdict("temperature", SIX, readings=readings("temperature", [24.0, 24.1, 1e300, 24.0, 24.2, 24.1])) == "crossed"
