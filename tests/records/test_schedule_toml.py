"""schedule.toml and chores.csv: read, refused with a sentence for each problem, and written back the same."""

from dataclasses import replace
from datetime import date, datetime, time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fairtank.chore import CHORE_KINDS, Chore, ChoreDone, Slip
from fairtank.planning.schedule.rules import recurrence_of
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.folder.nouns import FIELDS
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.schedule_toml import schedule_from_text
from fairtank.records.folder.schedule_toml_writer import text_from_schedule

SCHEDULE = """\
shelf = "upper"
[[chore]]
key = "photos"
title = "Photos"
kind = "photo"
every = "every day"
at = "18:20"
minutes = 12
[[chore]]
key = "water"
kind = "water change"
every = "on Sunday and Wednesday"
from_day = 2026-03-03
amount = "30 %"
units = ["T2"]
own = "x"
[[chore]]
key = "feed"
title = "Liquid feed"
kind = "dose"
every = "FREQ=MONTHLY;BYDAY=1FR"
amount = "5 mL"
at = 07:30:00
until_day = 40
[[chore]]
key = "repot"
kind = "other"
every = "once on day 10"
[[slip]]
day = 10
by_days = 2
reason = "away"
"""
CHORES = (
    Chore("photos", "Photos", "photo", "FREQ=DAILY", at=time(18, 20), minutes=12.0),
    Chore("water", "water", "water_change", "FREQ=WEEKLY;BYDAY=WE,SU", from_day=2, units=("T2",), amount=0.3),
    Chore("feed", "Liquid feed", "dose", "FREQ=MONTHLY;BYDAY=1FR", until_day=40, at=time(7, 30), amount=5.0, unit_of_measure="mL"),
    Chore("repot", "repot", "other", "FREQ=DAILY;COUNT=1", from_day=10),
)
EVERY = ('accepted: "every day", "every 3 days", "weekly", "every 2 weeks on Sunday", "on Sunday and Wednesday", "once on day 10", '
         '"every month", or a rule such as "FREQ=WEEKLY;BYDAY=SU".')
DAYS = "accepted: a day of the trial, a whole number from -60 to 42, or a date such as 2026-03-01."
ONE_CHANGE = [
    ('key = "photos"', 'key = "plan:x"', "[[chore]] 1, key: plan:x belongs to the days of the plan; accepted: a key that does not begin "
     "with plan:."),
    ('key = "feed"', 'key = "Water"', "[[chore]] 3, key: Water stands in [[chore]] 2 too; accepted: a key of its own for each chore."),
    ('kind = "photo"', 'kind = "foto"', "[[chore]] 1, kind: foto is none of the words known here; accepted: "
     "photo, test, dose, water_change, light, trim, clean, feed, other."),
    ('"every day"', '"every 0 days"', f'[[chore]] 1, every: "every 0 days" (0 is not a whole number from 1 to 366); {EVERY}'),
    ('"once on day 10"', '"once on 31 February"', '[[chore]] 4, every: "once on 31 February" (a date of the calendar is written like '
     '2026-03-11, '
     f"and this is none); {EVERY}"),
    ('"FREQ=MONTHLY;BYDAY=1FR"', '"FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=2"', '[[chore]] 3, every: "FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=2" '
     "(no calendar has 31 February); accepted: a day of the month from 1 to 29."),
    ('"once on day 10"', '"once on day 43"', "[[chore]] 4, every: day 43 is no day of the trial; accepted: a day from -60 to 42."),
    ('"once on day 10"', '"once on 2026-05-01"', "[[chore]] 4, every: 2026-05-01, day 61, is no day of the trial; accepted: a day from "
     "-60 to 42."),
    ('"every day"', "3", f"[[chore]] 1, every: 3 is not a text; {EVERY}"),
    ('"18:20"', '"25:00"', '[[chore]] 1, at: 25:00 is no time of day; accepted: a time of day such as "18:20".'),
    ("minutes = 12", "minutes = -3", "[[chore]] 1, minutes: -3 cannot stand here; accepted: minutes for all its units together, a "
     "number from "
     "0 to 1440."),
    ('["T2"]', '["T2", "T9"]', '[[chore]] 2, units: T9 is not a unit of trial.toml; accepted: a list such as ["T1", "T2"]; units: T1, '
     'T2, or '
     "nothing for all units."),
    ('["T2"]', '["T2", "T2"]', '[[chore]] 2, units: [T2, T2] names a unit twice; accepted: a list such as ["T1", "T2"]; units: T1, T2, or '
     "nothing for all units."),
    ('"5 mL"', '"much"', '[[chore]] 3, amount: much is not a number with its unit; accepted: a number above 0, or a text with its unit '
     'such as '
     '"5 mL" or "30 %".'),
    ("from_day = 2026-03-03", "from_day = 99", f"[[chore]] 2, from_day: 99 is out of range; {DAYS}"),
    ("from_day = 2026-03-03", "from_day = 2027-01-01", f"[[chore]] 2, from_day: 2027-01-01 would be day 306; {DAYS}"),
    ("from_day = 2026-03-03", 'from_day = "soon"', f"[[chore]] 2, from_day: soon is not a day; {DAYS}"),
    ("until_day = 40", "from_day = 12\nuntil_day = 9", "[[chore]] 3, until_day: day 9 lies before the first day, day 12; accepted: a day "
     "from 12 to 42."),
    ('"once on day 10"', '"once on day 10"\nfrom_day = 9', "[[chore]] 4, from_day: day 9 stands there, and every says day 10; accepted: "
     "one of them."),
    ('"5 mL"', '"5 mL"\nunit_of_measure = "g"', "[[chore]] 3, unit_of_measure: g stands there, and amount says mL; accepted: one of them."),
    ("minutes = 12", "minuts = 12", "[[chore]] 1, minuts: the key is not known (did you mean minutes?); accepted: key, title, kind, every, "
     "from_day, until_day, at, minutes, units, amount, quantity, unit_of_measure, note."),
    ("day = 10\n", "day = -1\n", "[[slip]] 1, day: -1 is out of range; accepted: a day of the trial, a whole number from 0 to 42, or a "
     "date "
     "such as 2026-03-01."),
    ("by_days = 2", "by_days = 0", "[[slip]] 1, by_days: 0 is out of range; accepted: a whole number from 1 to 365."),
    ('reason = "away"', 'reason = " "', '[[slip]] 1, reason: " " cannot stand here; accepted: a text in quotation marks that is not '
     'empty.'),
    ('reason = "away"\n', "", "[[slip]] 1, reason: the key is missing; accepted: a text in quotation marks that is not empty."),
    ("[[slip]]", "[[slipp]]", "[[slipp]]: [[slipp]] is not known (did you mean [[slip]]?); accepted: chore, slip."),
]


@pytest.mark.parametrize(("old", "new", "sentence"), ONE_CHANGE, ids=[new[:40] for _, new, _ in ONE_CHANGE])
def test_one_wrong_key_gives_one_sentence(plain, old, new, sentence):
    plain.put("schedule.toml", SCHEDULE)
    plain.swap("schedule.toml", old, new)
    assert plain.sentence() == f"schedule.toml, {sentence}"


@pytest.mark.parametrize(("text", "start"), [
    ("chore = 3\n", "schedule.toml, [[chore]]: 3 stands in place of a list of tables"),
    ("[chore]\nkey = 'a'\n", "schedule.toml, [[chore]]: a table stands in place of a list of tables"),
    ("[[chore]]\n" * 301, "schedule.toml, [[chore]]: there are 301 such tables; accepted: at most 300."),
    ("[[chore]\n", "schedule.toml, line 1"), ("[[chore]]\nfrom_day = 2026-02-31\n", "schedule.toml, line 2"),
])
def test_a_schedule_of_another_form_is_refused(plain, text, start):
    plain.put("schedule.toml", text)
    assert plain.sentences()[0].startswith(start)


def test_a_schedule_is_read_with_what_is_kept_and_not_used(plain):
    plain.put("schedule.toml", SCHEDULE)
    trial = read_folder(plain.root)
    assert (trial.chores, trial.slips) == (CHORES, (Slip(10, 2, "away"),))
    assert trial.unknown_columns == (("schedule.toml", "[[chore]] 2, own"), ("schedule.toml", "shelf"))
    assert "schedule.toml" in trial.file_digests
    assert trial.unread_files == ()


def test_a_folder_with_schedule_and_rows_reads_back_the_same(plain, tmp_path):
    plain.put("schedule.toml", SCHEDULE)
    plain.put("chores.csv", "unit,chore,due,done_at,minutes,mood\n,photos,0,2026-03-01T18:30,12,fine\nT1;T2,,,2026-03-05,4,\n")
    trial = read_folder(plain.root)
    write_folder(tmp_path / "copy", trial.plan, chores=trial.chores, slips=trial.slips, unknown_cells=trial.unknown_cells,
                 **{field: getattr(trial, field) for field in FIELDS})
    copy = read_folder(tmp_path / "copy")
    assert replace(copy, root=trial.root, digest=trial.digest) == trial
    assert copy.unknown_cells == trial.unknown_cells


def test_a_chore_that_falls_on_no_day_is_told_and_kept(plain):
    plain.put("schedule.toml", '[[chore]]\nkey = "x"\nkind = "dose"\nevery = "on Sunday"\nfrom_day = 1\nuntil_day = 5\n')
    trial = read_folder(plain.root)
    assert trial.cautions == ("schedule.toml, [[chore]] 1, every: x falls on no day from day 1 to day 5.",)
    assert len(trial.chores) == 1


WORDS = st.text("""abÄ "'\\#=[]{}.,;*/日-_1""", max_size=20).map(str.strip)
KEYS = st.text("abcxyz_09", min_size=1, max_size=12)
RULES = st.sampled_from([recurrence_of(words).rule for words in (
    "every day", "every 3 days", "weekly", "on Sunday and Wednesday", "every 2 weeks on Monday, Friday", "every month, 3 times", "once",
    "FREQ=MONTHLY;BYDAY=1FR,-1SU", "FREQ=DAILY;UNTIL=20260401")])
TIMES = st.times().map(lambda value: value.replace(microsecond=0))
SOME = st.builds(Chore, KEYS, WORDS.filter(bool), st.sampled_from(CHORE_KINDS), RULES, st.integers(-60, 20), st.none() | st.integers(20,
    42),
                 TIMES, st.floats(0, 1440), st.sampled_from(((), ("T1",), ("T2", "T1"))), WORDS, st.none() | st.floats(1e-6, 1e6), WORDS,
                     WORDS)
SLIPS = st.lists(st.builds(Slip, st.integers(0, 42), st.integers(1, 365), WORDS.filter(bool)), max_size=2)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(SOME, max_size=3, unique_by=lambda chore: chore.key), SLIPS)
def test_whatever_schedule_is_written_reads_back_the_same(chores, slips):
    problems, draft = Problems(), Draft(units=("T1", "T2"), start=date(2026, 3, 1), days=42)
    read = schedule_from_text(text_from_schedule(chores, slips, opening=("a remark",)), draft, problems, Problems())
    assert not problems, problems.sentences()
    assert (read.chores, read.slips) == (tuple(chores), tuple(slips))


# chores.csv ----------------------------------------------------------------------------------------------------------

HEADER = "unit,chore,kind,due,done_at,minutes,quantity,amount,unit_of_measure,by,note\n"


def test_a_row_without_a_unit_is_of_all_tanks_of_its_chore_and_shares_its_minutes(plain):
    plain.put("schedule.toml", SCHEDULE)
    plain.put("chores.csv", f"{HEADER},photos,,2026-03-04,2026-03-05T18:30,12,,,,Io,\n,water,,,2026-03-04T19:00,20,,0.3,,,\n"
                            "T1;T2,,Trim,,2026-03-05T20:00,5,,,,,cut short\n*,,,,2026-03-06,,,,,,\n")
    done = read_folder(plain.root).chores_done
    at = datetime(2026, 3, 5, 18, 30)
    assert done[:2] == tuple(ChoreDone(unit, "photos", "photo", 3, at, 4, 6.0, by="Io") for unit in ("T1", "T2"))
    assert done[2] == ChoreDone("T2", "water", "water_change", None, datetime(2026, 3, 4, 19), 3, 20.0, amount=0.3)
    assert [(one.unit, one.kind, one.minutes, one.note) for one in done[3:5]] == [("T1", "trim", 2.5, "cut short"), ("T2", "trim", 2.5,
        "cut short")]
    assert [(one.unit, one.kind, one.minutes) for one in done[5:]] == [("T1", "other", None), ("T2", "other", None)]


@pytest.mark.parametrize(("row", "sentence"), [
    ("T9,photos,,,2026-03-04,,,,,,", "column unit: T9 is not a unit of trial.toml; accepted: T1, T2, parted by ; where there are "
     "several, or "
     "nothing for all."),
    ("T1,phots,,,2026-03-04,,,,,,", "column chore: phots is not a chore of schedule.toml (did you mean photos?); accepted: photos, "
     "water, feed, "
     "repot."),
    ("T1,photos,fish,,2026-03-04,,,,,,", "column kind: fish is none of the words known here; accepted: photo, test, dose, water_change, "
     "light, "
     "trim, clean, feed, other."),
    ("T1,photos,,yes,2026-03-04,,,,,,", "column due: yes is no day; accepted: the day for which it was due: a whole number such as 12, "
     "or a "
     "date such as 2026-03-13."),
    ("T1,photos,,2026-02-31,2026-03-04,,,,,,", "column due: 2026-02-31 is no day; accepted: the day for which it was due: a whole "
     "number such "
     "as 12, or a date such as 2026-03-13."),
    ("T1,photos,,103,2026-03-04,,,,,,", "column due: day 103 is far from the days of the trial; accepted: a day from -60 to 102, or its "
     "date."),
    ("T1,photos,,,,,,,,,", "column done_at: the cell is empty; accepted: an ISO 8601 time such as 2026-03-01T18:30, or a date such as "
     "2026-03-01."),
    ("T1,photos,,,2026-03-04,-5,,,,,", "column minutes: -5 is out of range; accepted: a number from 0 to 1440."),
])
def test_a_row_that_cannot_be_used_gives_one_sentence(plain, row, sentence):
    plain.put("schedule.toml", SCHEDULE)
    plain.put("chores.csv", f"{HEADER}{row}\n")
    assert plain.sentence() == f"chores.csv, row 2, {sentence}"


def test_a_chore_that_left_the_schedule_is_told_and_kept(plain):
    plain.put("schedule.toml", SCHEDULE)
    plain.put("chores.csv", f"{HEADER}T1,snails,,,2026-03-04,,,,,,\nT1,plan:change,,,2026-03-04,,,,,,\n")
    trial = read_folder(plain.root)
    assert trial.cautions == ("chores.csv, row 2, column chore: snails is not a chore of schedule.toml; the row counts as work that was "
     "not "
                              "planned.",)
    plain.drop("schedule.toml")
    assert [one.chore for one in read_folder(plain.root).chores_done] == ["snails", "plan:change"]
    assert read_folder(plain.root).cautions == ()
