"""The sentence about fauna in each case, and the arms' marks in the head of the picture."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from fairtank.publish.forecast_chart import head_lines
from fairtank.publish.forecast_words import CAVEAT, DECIDE, MODEL_NOTE, NEVER_ROSE, SHORT_NOTE, forecast_sentences, headline
from fairtank.simulation.fit import Fit
from fairtank.simulation.forecast import ArmForecast, Band, Forecast, Parting, Safe, TellingTest
from fairtank.simulation.tank import HIGHEST_PH, MEASURES, LikeSpread
from fairtank.trial import Arm, Plan, Unit

DAYS = 60
PLAN = Plan("t", date(2026, 3, 1), DAYS, "side_by_side", (Arm("R", "reference", "seven hours"), Arm("C", "changed", "ten hours")),
            (Unit("T1", "R"), Unit("T2", "C")), ())
BANDS = {key: Band(key, (1.0,) * (DAYS + 1), (2.0,) * (DAYS + 1), (4.0,) * (DAYS + 1)) for key in MEASURES}


def arm(key, *safe, most=(0.004, 0.006, 0.011)):
    return ArmForecast(key, BANDS, Safe(*safe), most)


def forecast(*arms, **more):
    plain = Forecast(DAYS, 200, 1, arms, len(arms) == 1, (), (), (), None, None, (), ())
    return replace(plain, **more)


@pytest.mark.parametrize(("safe", "said"), [
    ((12, 20, 34, 0.0), "No fauna before day 12, and in some courses not before day 34 (nine of ten lie between, half are through by day "
                        "20)."),
    ((12, 20, 34, 0.03), "No fauna before day 12, and in some courses not before day 34 (nine of ten lie between, half are through by day "
                         "20); in 3 % of the courses not within these 60 days."),
    ((12, 40, None, 0.2), "No fauna before day 12 in nearly all courses; in 20 % of the courses not within these 60 days."),
    ((12, None, None, 0.7), "No fauna within these 60 days in 70 % of the courses, and not before day 12 in the others."),
    ((5, 8, 12, 0.0), "No fauna before day 5, and in some courses not before day 12 (nine of ten lie between, half are through by day 8)."),
    ((None, None, None, 0.97), "No fauna within these 60 days, in nine of ten courses."),
])  # fmt: skip
def test_the_sentence_about_fauna_is_a_band_and_leaves_the_decision_to_tests(safe, said):
    assert headline(forecast(arm("R", *safe)), PLAN) == f"{said} {DECIDE}"


def test_a_tank_in_which_nothing_rises_is_not_called_ready():
    told = headline(forecast(arm("R", 1, 1, 1, 0.0)), PLAN)
    assert told.startswith("No day for fauna can be told: in half of the courses or more ammonia and nitrite hardly rise at all. ")
    assert told.endswith(f"{NEVER_ROSE} {DECIDE}")
    some = headline(forecast(arm("R", 1, 9, 20, 0.0)), PLAN)
    assert some.startswith("No fauna before day 1, and in some courses not before day 20 ")
    assert NEVER_ROSE in some
    assert "not ready" in NEVER_ROSE


def test_a_ph_that_is_held_is_said():
    high = {**BANDS, "ph_high": Band("ph_high", (8.0,) * 61, (8.4,) * 61, (HIGHEST_PH,) * 61)}
    one = ArmForecast("R", high, Safe(12, 20, 34, 0.0), (0.004, 0.006, 0.011))
    assert any("The model holds pH at 9 at most" in line for line in forecast_sentences(forecast(one), PLAN))
    assert not any("holds pH" in line for line in forecast_sentences(forecast(arm("R", 12, 20, 34, 0.0)), PLAN))


def test_arms_that_differ_are_told_each():
    told = headline(forecast(arm("R", 10, 15, 30, 0.0), arm("C", 12, 20, 34, 0.0)), PLAN)
    assert told.startswith("In arm R (seven hours) no fauna before day 10, and in some courses not before day 30 (nine of ten lie between, "
                           "half are through by day 15). In arm C (ten hours) no fauna before day 12, and in some courses not before "
                           "day 34 ")
    assert told.endswith(DECIDE)


def test_every_forecast_begins_with_the_caveat_and_ends_with_what_the_model_is():
    for one in (forecast(arm("R", 12, 20, 34, 0.0)), forecast(arm("R", 12, 20, 34, 0.0), arm("C", 12, 20, 34, 0.0), days=20)):
        told = forecast_sentences(one, PLAN)
        assert told[0].startswith(CAVEAT)
        assert told[-1] == MODEL_NOTE
        assert (SHORT_NOTE in told) == (one.days == 20)


def test_ammonia_that_harms_is_warned_of_and_less_is_said_to_be_less():
    high = forecast_sentences(forecast(arm("R", 12, 20, 34, 0.0, most=(0.01, 0.05, 0.3))), PLAN)
    assert any("reaches 0.010 to 0.30\xa0mg/L N (middle 0.050)" in one and "it harms fish" in one for one in high)
    low = forecast_sentences(forecast(arm("R", 12, 20, 34, 0.0)), PLAN)
    assert any("That is below the 0.02 mg/L N" in one for one in low)


def test_parting_spread_tests_and_fit_have_their_numbers_and_their_caveats():
    safe = Safe(14, 18, 25, 0.0, (10, 44))
    told = " ".join(forecast_sentences(forecast(
        ArmForecast("R", BANDS, safe, (0.004, 0.006, 0.011)), arm("C", 14, 18, None, 0.06),
        partings=(Parting("C", "algae_cover", -0.4, 3.0, 20.0, 14, 42),), tests=(TellingTest("R", "nitrite", 20, 0.57),),
        spread=LikeSpread("algae_cover", "logit", 0.32, 0.11, 0.56, 14, 42),
        fit=Fit(np.full(200, 0.005), 10, 20.0, 0.62, 4)), PLAN))  # fmt: skip
    assert "moves the cover of algae in arm C (ten hours) by −0.40 to +20 percentage points, on average over days 14 to 42." in told
    assert "The model was not made to answer your question; your trial is." in told
    assert "a standard deviation of 0.32 (0.11 to 0.56) on the logit scale" in told
    assert "That is an assumption of the model" in told
    assert "nitrite on day 20 (takes away about 57 % of the doubt)" in told
    assert "10 readings were weighed in (one per arm, day and quantity); they leave as many courses as 20 of the 200." in told
    assert "Without them the safe day in arm R (seven hours) lay between day 10 and day 44, with them between day 14 and day 25." in told
    assert "held back to 62 % of their weight" in told
    assert "4 of the 10 readings lie outside" in told
    assert "trust your tests and not this band" in told


def test_the_head_of_the_picture_names_arms_by_letter_and_line():
    told = " ".join(head_lines(forecast(arm("R", 10, 15, 30, 0.0), arm("C", 12, 20, 34, 0.0)), PLAN, 680))
    assert told.startswith(f"{CAVEAT}. Band: nine in ten of 200 courses; line: the middle.")
    assert told.endswith("R, seven hours: solid line; C, ten hours: dashed line.")
