"""How even the tanks are, in sentences: one exact text for each way in which a factor can lie to the arms."""

from datetime import datetime

import pytest
from tests.publish.even_results import ARMS, result_of

from fairtank.publish.arms import arm_looks
from fairtank.publish.even_words import NOTHING_KNOWN, even_sentences
from fairtank.publish.numbers import NO_BREAK
from fairtank.trial import Arm, Event, Plan


def sentences(result, arms=ARMS):
    """The sentences with ordinary spaces."""
    looks = arm_looks(Plan("", datetime(2026, 3, 1).date(), 1, "side_by_side", arms, (), ()))
    return [text.replace(NO_BREAK, " ") for text in even_sentences(result, looks)]


def test_without_any_record_the_answer_is_short_and_says_so():
    told = sentences(result_of("RRCC", {}))
    assert told[0] == NOTHING_KNOWN
    assert len(told) == 2
    assert told[1].startswith("Not recorded: ")
    assert told[1].endswith("; factors.csv can hold each of them.")


def test_a_number_that_goes_along_is_told_with_both_arms_what_it_does_and_the_remedy():
    told = sentences(result_of("RRRCCC", {}, temperatures=[23.9, 24.1, 24.0, 25.1, 25.3, 25.2]))
    assert told[0] == ("Besides the change, water temperature goes along with the arms: a difference between the arms could come from it. "
                       "1 of 62 factors is known.")
    assert told[1] == ("Water temperature, which goes along with the arms: 24 °C (23.9 to 24.1) in arm R; 25.2 °C (25.1 to 25.3) in arm C. "
                       "Warmer water speeds up plants, algae and bacteria, by some 5 to 10 % for each degree. What to do: set all heaters "
                       "by one thermometer, and log every tank.")


def test_a_word_that_goes_along_is_told_with_its_counts():
    told = sentences(result_of("RRRCCC", {"window_side": ["away"] * 3 + ["towards", "towards", "Towards"]}))
    assert told[1].startswith("Side to the window, which goes along with the arms: “away” in all 3 in arm R; “towards” in all 3 in arm C. ")


def test_the_change_itself_is_said_to_be_it():
    told = sentences(result_of("RRCC", {"photoperiod": [8.0, 8.0, 10.0, 10.0]}, change_factors=("photoperiod",)))
    assert told[0].startswith("Besides the change, nothing that is recorded goes along with the arms.")
    assert told[1] == "Hours of light a day, the change itself: 8 h in arm R; 10 h in arm C."


def test_what_may_be_the_change_is_asked_for_with_the_line_to_write():
    told = sentences(result_of("RRCC", {"photoperiod": [8.0, 8.0, 10.0, 10.0]}, change="10 h of light a day"))
    assert told[0].startswith("trial.toml does not say whether hours of light a day is the change itself.")
    assert told[1] == ("Hours of light a day: this may be the change itself; trial.toml does not say: 8 h in arm R; 10 h in arm C. If "
                       "it is, write change_factors = [\"photoperiod\"] under [trial]; if it is not, it goes along with the arms."
                       " An hour more of light a day is more growth for plants and algae alike.")


def test_a_side_effect_is_told_with_what_brings_it():
    records = {"doses": [6.0, 6.0, 3.0, 3.0], "nitrate": [12.0, 12.0, 5.0, 5.0]}
    told = sentences(result_of("RRCC", records, change_factors=("doses",)))
    assert told[0].startswith("The change brings nitrate along with it.")
    assert told[1].startswith("Nitrate, a side effect of the change (“Doses”) that is not evened out: 12 mg/L in arm R; 5 mg/L in arm C. ")


def test_what_is_known_of_one_arm_only_is_told_as_such():
    told = sentences(result_of("RRCC", {"tools": ["own", "own", None, None]}))
    assert told[1] == ("Tools, recorded in 2 of 2 in arm R and 0 of 2 in arm C: a difference could hide there. Nets, sponges and scissors "
                       "carry algae and snails from tank to tank.")


def test_crossed_factors_are_told_shortly():
    told = sentences(result_of("RRCC", {"lamp_model": ["A", "B", "A", "B"]}))
    assert told[1] == "Lamp, uneven but dealt evenly to the arms: “A” in 1 and “B” in 1 in arm R; “A” in 1 and “B” in 1 in arm C."


def test_missing_tanks_are_counted():
    told = sentences(result_of("RRRCCC", {"lamp_age": [2.0, 2.0, None, 30.0, 31.0, 30.5]}))
    assert told[1].endswith("It was recorded in 5 of 6 tanks.")


def test_files_that_contradict_each_other_are_both_told():
    told = sentences(result_of("RC", {"temperature": [24.0, 24.0]}, temperatures=[25.5, 25.4]))
    assert ("Water temperature, told in two ways for T1 and T2: 25.4 to 25.5 °C by readings.csv, which counts here, and 24 °C by "
            "factors.csv.") in told


def test_a_chore_of_one_arm_only_was_not_done_or_not_written_down():
    wiped = tuple(Event(("T3", "T4"), datetime(2026, 3, day, 10), None, day - 1, day - 1, "glass wiped", "", "keep") for day in (6, 13, 20))
    told = sentences(result_of("RRCC", {}, events=wiped))
    assert "Of arm R there is no such row: it was not done, or not written down." in told[1]


def test_days_and_clock_times_are_told_as_such():
    told = sentences(result_of("RRCC", {"planted_on": [0.0, 0.0, 7.0, 7.0], "light_on": [10.0, 10.0, 14.5, 14.5]}))
    assert any(text.startswith("Day of planting, which goes along with the arms: day 0 in arm R; day 7 in arm C.") for text in told)
    assert any(text.startswith("Light goes on, which goes along with the arms: 10:00 in arm R; 14:30 in arm C.") for text in told)


def test_no_sentence_gives_points_or_lights():
    arms = (Arm("R", "reference"), Arm("C", "changed"))
    text = " ".join(sentences(result_of("RRCC", {"lamp_model": ["A", "A", "B", "B"]}, arms=arms), arms)).lower()
    assert not any(word in text for word in ("points", "rating", "stars", "traffic"))


@pytest.mark.parametrize("name", ["<b>bold</b>", "a\x07bell", "x" * 300])
def test_what_people_wrote_is_shown_safely_and_cut(name):
    told = sentences(result_of("RC", {"lamp_model": [name, "B"]}))
    assert "\x07" not in told[1]
    assert len(told[1]) < 500


def test_places_are_told_in_their_order():
    told = sentences(result_of("RRCCRC", {"place": ["10", "2", "9", "1", "3", "12"]}))
    assert "2, 3 and 10 in arm R; 1, 9 and 12 in arm C." in told[1]
