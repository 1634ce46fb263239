"""When a chore falls: words as a rule, a rule as days, against the printed examples of the calendar standard."""

import csv
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import every
from fairtank.errors import InputError
from fairtank.planning.schedule.dates import rule_days
from fairtank.planning.schedule.rule_parts import rule_checked
from fairtank.planning.schedule.rules import Recurrence, recurrence_of, words_of

TABLE = Path(__file__).parent.parent / "published" / "rfc5545_recurrence.csv"
PRINTED = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()[1:]))


def printed_dates(text):
    """`1997-09: 2-4,7` as dates."""
    found = []
    for part in text.split("; "):
        month, _, days = part.partition(": ")
        year, number = (int(word) for word in month.split("-"))
        for span in days.split(","):
            first, _, last = span.partition("-")
            found += [date(year, number, day) for day in range(int(first), int(last or first) + 1)]
    return found


def days_as_dates(rule, start, last):
    return [start + timedelta(days=day) for day in rule_days(rule, start=start, from_day=0, until_day=(last - start).days)]


@pytest.mark.published(entry="recurrence_of", source="rfc5545", where="section 3.8.5.3, the examples that go by days")
@every("row", PRINTED, ids=lambda row: row["words"] or row["rule"])
def test_a_printed_rule_falls_on_the_printed_days(row):
    start, last = date.fromisoformat(row["start"]), date.fromisoformat(row["last"])
    said = [text for text in (row["words"], row["rule"]) if text]
    assert said
    for text in said:
        assert days_as_dates(recurrence_of(text).rule, start, last) == printed_dates(row["printed"]), text


@pytest.mark.published(entry="recurrence_of", source="rfc5545", where="section 3.8.5.3, the examples that go by hours and minutes")
@pytest.mark.parametrize("rule", ["FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T170000Z", "FREQ=MINUTELY;INTERVAL=15;COUNT=6",
                                  "FREQ=MINUTELY;INTERVAL=90;COUNT=4", "FREQ=DAILY;BYHOUR=9,10,11;BYMINUTE=0,20,40"])
def test_a_printed_rule_within_the_day_is_refused_with_what_is_accepted(rule):
    with pytest.raises(InputError, match=r"does not go by days|asks for times within a day"):
        recurrence_of(rule)


@every(("words", "rule"), [
    ("every day", "FREQ=DAILY"), ("Daily.", "FREQ=DAILY"), ("every 3 days", "FREQ=DAILY;INTERVAL=3"), ("weekly", "FREQ=WEEKLY"),
    ("every third day", "FREQ=DAILY;INTERVAL=3"), ("on Sunday and Wednesday", "FREQ=WEEKLY;BYDAY=WE,SU"),
    ("every Sunday", "FREQ=WEEKLY;BYDAY=SU"), ("Mon, Wed, Fri", "FREQ=WEEKLY;BYDAY=MO,WE,FR"), ("on weekdays",
        "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"),
    ("at weekends", "FREQ=WEEKLY;BYDAY=SA,SU"), ("fortnightly", "FREQ=WEEKLY;INTERVAL=2"), ("every 2 weeks on Sunday",
        "FREQ=WEEKLY;INTERVAL=2;BYDAY=SU"),
    ("every month", "FREQ=MONTHLY"), ("once", "FREQ=DAILY;COUNT=1"),
])
def test_plain_words_become_a_rule(words, rule):
    assert recurrence_of(words) == Recurrence(rule)


def test_once_names_its_day_or_its_date():
    assert recurrence_of("once on day 10").day == 10
    assert recurrence_of("once on 2026-03-11").on == date(2026, 3, 11)


@every(("words", "why"), [
    ("every 0 days", "0 is not a whole number from 1 to 366"), ("every -2 days", "-2 is not a whole number"),
    ("every 1.5 days", "1.5 is not a whole number"), ("every 400 days", "400 is not a whole number"),
    ("once on 31 February", "a date of the calendar is written like 2026-03-11"), ("once on 2026-02-31", "a date of the calendar"),
    ("every fish", "mean nothing here"), ("", "mean nothing here"), ("every day on Sunday", "mean nothing here"),
    ("FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=2", "no calendar has 31 February"), ("FREQ=DAILY;UNTIL=20260231", "no day of the calendar"),
    ("FREQ=DAILY;INTERVAL=0", "INTERVAL is 0"), ("FREQ=DAILY;COUNT=2;UNTIL=20260401", "COUNT and UNTIL stand there both"),
    ("FREQ=DAILY;FREQ=DAILY", "FREQ stands there twice"), ("INTERVAL=2", "FREQ is missing"), ("FREQ=DAILY;EVERY=2", "EVERY is not a part"),
    ("FREQ=WEEKLY;BYDAY=1SU", "BYDAY counts days of the week"), ("FREQ=MONTHLY;BYDAY=6SU", "more than five times"),
    ("FREQ=WEEKLY;BYMONTHDAY=3", "BYMONTHDAY does not go with FREQ=WEEKLY"), ("FREQ=MONTHLY;BYDAY=MO;BYSETPOS=9", "at most 5 days"),
    ("FREQ=MONTHLY;BYSETPOS=1", "BYSETPOS needs days"), ("FREQ=WEEKLY;WKST=XX", "WKST is XX"), ("FREQ=WEEKLY;BYDAY=SO", "BYDAY holds SO"),
    ("FREQ=MONTHLY;BYMONTHDAY=32", "BYMONTHDAY holds 32"),
])
def test_words_that_cannot_be_meant_are_refused_with_the_reason(words, why):
    with pytest.raises(InputError, match=r"accepted: ") as caught:
        recurrence_of(words)
    assert why in str(caught.value)


WEEKS = st.lists(st.sampled_from(("MO", "TU", "WE", "TH", "FR", "SA", "SU")), unique=True, max_size=7)


@st.composite
def plain_rules(draw):
    frequency, every, days = draw(st.sampled_from(("DAILY", "WEEKLY", "MONTHLY"))), draw(st.integers(1, 40)), draw(WEEKS)
    parts = [f"FREQ={frequency}"] + ([f"INTERVAL={every}"] if every > 1 else [])
    parts += [f"COUNT={draw(st.integers(1, 30))}"] if draw(st.booleans()) else []
    return rule_checked(";".join(parts + ([f"BYDAY={','.join(days)}"] if days and frequency == "WEEKLY" else [])))


@settings(max_examples=80, deadline=None)
@given(plain_rules())
def test_a_rule_told_in_words_reads_back_as_the_same_rule(rule):
    assert recurrence_of(words_of(rule)) == Recurrence(rule)


@settings(max_examples=40, deadline=None)
@given(plain_rules(), st.integers(-20, 20), st.integers(0, 60))
def test_days_ascend_once_each_within_their_span(rule, first, length):
    days = rule_days(rule, start=date(2026, 3, 1), from_day=first, until_day=first + length)
    assert list(days) == sorted(set(days))
    assert all(first <= day <= first + length for day in days)


def test_a_span_that_ends_before_it_begins_holds_nothing():
    assert rule_days("FREQ=DAILY", start=date(2026, 3, 1), from_day=5, until_day=4) == ()
