"""What a trial takes, in words: whole sentences, and every gap is said."""

from dataclasses import replace

from fairtank.inference.foresight.showing import show
from fairtank.planning.care import Care, Spending, Work
from fairtank.publish.care_words import missing_words, prices_words, worth_words
from fairtank.publish.numbers import NO_BREAK
from inference.trials import plan_of

WORK = Work(42, 8.0, 56.0, 5.6, 6, 48.0)
SPENDING = Spending(212.4, False, (), 43.7, 13.9, 310.0, 35.4, 0.33, True, "crowns")


def plain(words):
    return [text.replace(NO_BREAK, " ") for text in words]


def test_minutes_money_electricity_and_water_stand_in_one_sentence():
    assert plain(worth_words(Care(WORK, SPENDING))) == [
        "What it takes: 8 min a day on average and 48 min on day 6, the busiest; 56 min a week, 5.6 h in all 42 days, by the schedule; "
        "212 crowns to buy, 14 crowns of electricity (44 kWh) and 310 L of water."]


def test_what_it_would_notice_stands_behind_it_with_its_range():
    told = plain(worth_words(Care(WORK, SPENDING), show(plan_of(3, 3, expect="less"))))
    assert told[1].startswith("For that: as planned (3 tanks per arm, day 0 to 42), you would notice ")
    assert "If like tanks differ by a third less, " in told[1]


def test_a_sum_that_is_not_whole_says_at_least_and_names_what_is_missing():
    told = plain(worth_words(Care(WORK, replace(SPENDING, is_at_least=True, unpriced=("wood", "moss"), energy_cost=None))))
    assert "at least 212 crowns to buy, 44 kWh of electricity and 310 L of water" in told[0]
    assert told[1] == "Without a price, and so not counted: wood and moss."
    assert told[2].startswith("Electricity has no price")


def test_long_lists_of_what_is_missing_are_cut():
    told = missing_words(Care(replace(WORK, untimed=tuple("abcdefg")), SPENDING))
    assert plain(told) == ["Without minutes, and so not counted: a, b, c, d and 3 more."]


def test_nothing_known_is_said_plainly():
    assert plain(worth_words(Care(None, None))) == [
        "How much work it is cannot be told: no chore says its minutes.",
        "What it costs cannot be told: there is no setup.toml with prices."]
    assert plain(missing_words(Care(WORK, None, "The bed is higher than the tank."))) == [
        "What it costs cannot be told: The bed is higher than the tank."]


def test_a_proposed_schedule_is_called_that():
    told = plain(worth_words(Care(replace(WORK, is_proposed=True), SPENDING)))
    assert "by the schedule that would be proposed" in told[0]
    assert told[1] == "There is no schedule.toml: its minutes are proposed ones, common practice without a source."


def test_prices_say_where_they_are_from():
    assert plain([prices_words(SPENDING)]) == [
        "Costs are from setup.toml: 35.40 crowns of purchases for each tank, and 0.33 crowns of electricity a day, as for the tanks of the "
        "plan. --tank-cost and --day-cost take their place."]
    told = prices_words(replace(SPENDING, is_at_least=True, energy_cost=None))
    assert "at least 35.40 crowns of purchases for each tank. " in plain([told])[0]
