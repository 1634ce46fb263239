"""trial.toml: every refusal has its sentence."""

import pytest

from fairtank.records.folder import read_folder

ONE_CHANGE = [
    ('kind = "side_by_side"', 'kind = "race"', "[design] kind: race is none of the words known here; "
     "accepted: side_by_side, run_in, swap, drawn_start, pairs, rounds, ladder, two_changes."),
    ("start = 2026-03-01\n", "", "[design] start: the key is missing; accepted: a date without quotation marks, such as 2026-03-01."),
    ("start = 2026-03-01", 'start = "1.3.2026"', "[design] start: 1.3.2026 cannot be the date of day 0; "
     "accepted: a date without quotation marks, such as 2026-03-01."),
    ("start = 2026-03-01", "start = 2026-03-01T10:00:00", "[design] start: 2026-03-01 10:00:00 cannot be the date of day 0; "
     "accepted: a date without quotation marks, such as 2026-03-01."),
    ("drawn = true", 'drawn = "yes"', "[design] drawn: yes is neither true nor false; accepted: true or false without quotation marks."),
    ("seed = 7", "seed = 7.5", "[design] seed: 7.5 is not a whole number; accepted: a whole number from 0 to 9223372036854775807."),
    ("seed = 7", "seed = true", "[design] seed: true is not a whole number; accepted: a whole number from 0 to 9223372036854775807."),
    ("seed = 7", "swap_day = 43", "[design] swap_day: 43 is out of range; accepted: a whole number from 0 to 42."),
    ("seed = 7", "run_in_days = 42", "[design] run_in_days: 42 is out of range; accepted: a whole number from 0 to 41."),
    ('kind = "side_by_side"', 'kind = "run_in"', "[design] run_in_days: the key is missing; accepted: a whole number from 1 to 41."),
    ('kind = "side_by_side"', 'kind = "swap"', "[design] swap_day: the key is missing; accepted: a whole number from 1 to 42."),
    ('kind = "side_by_side"', 'kind = "swap"\nswap_day = 40\nwashout_days = 3',
     "[design] washout_days: no day is left after the washout; accepted: fewer than 2 days."),
    ('kind = "side_by_side"', 'kind = "drawn_start"', "[design] start_window: the key is missing; "
     "accepted: [first day, last day] between which the start is drawn, such as [10, 23]."),
    ('kind = "side_by_side"', 'kind = "drawn_start"\nstart_window = [10, 23]\ndrawn_day = 30',
     "[design] drawn_day: day 30 lies outside start_window; accepted: a day from 10 to 23."),
    ('role = "reference"', 'role = "control"', "[[arm]] 1, role: control is none of the words known here; accepted: reference, changed."),
    ('role = "changed"', 'role = "reference"',
     '[[arm]], role: 2 arms have the role reference; accepted: exactly one arm with role = "reference".'),
    ('role = "reference"', 'role = "changed"',
     '[[arm]], role: no arms have the role reference; accepted: exactly one arm with role = "reference".'),
    ('arm = "C"', 'arm = "B"', "[[unit]] 2, arm: B is not an arm of trial.toml; accepted: R, C."),
    ('arm = "C"', 'arm = "R"', "[[arm]] 2, key: no unit was given to arm C; accepted: at least one unit for each arm."),
    ('arm = "C"\n', "", "[[unit]] 2, arm: the key is missing; "
     "accepted: a text in quotation marks: 1 to 40 printable characters without / \\ .. ; or *."),
    ('key = "T2"', 'key = "T1"', "[[unit]] 2, key: T1 is already the key of [[unit]] 1; accepted: a key of its own for each unit."),
    ('key = "T2"', 'key = "T1;T2"', '[[unit]] 2, key: "T1;T2" cannot be used as a key; '
     "accepted: 1 to 40 printable characters without / \\ .. ; or *."),
    ('key = "canopy_height"', 'key = "algae_cover"',
     "[[measure]] 2, key: algae_cover is already the key of [[measure]] 1; accepted: a key of its own for each measure."),
    ('role = "primary"', 'role = "secondary"',
     '[[measure]], role: no measures have the role primary; accepted: exactly one measure with role = "primary".'),
    ('key = "canopy_height"', 'key = "canopy_height"\nrole = "primary"',
     '[[measure]], role: 2 measures have the role primary; accepted: exactly one measure with role = "primary".'),
    ("margin = 0.5", "margin = 0", "[[measure]] 1, margin: 0 is out of range; accepted: a number above 0."),
    ("margin = 0.5", "margin = nan", "[[measure]] 1, margin: nan is out of range; accepted: a number above 0."),
    ("margin = 0.5", 'margin = "0,5"', '[[measure]] 1, margin: "0,5" stands in quotation marks, which makes a text of it; '
     'accepted: a number above 0, without quotation marks; here 0.5.'),
    ("window = [0, 42]", "window = [0, 43]", "[[measure]] 1, window: 43 is out of range; "
     "accepted: [first day, last day], whole numbers from 0 to 42, the first not after the last."),
    ("window = [0, 42]", "window = [42, 0]", "[[measure]] 1, window: [42, 0] does not run from an earlier to a later day; "
     "accepted: [first day, last day], whole numbers from 0 to 42, the first not after the last."),
    ("window = [0, 42]", "window = 42", "[[measure]] 1, window: 42 is not a pair of days; "
     "accepted: [first day, last day], whole numbers from 0 to 42, the first not after the last."),
    ('scale = "logit"', 'scale = "percent"', "[[measure]] 1, scale: percent is none of the words known here; accepted: logit, "
     "log, identity."),
    ('scale = "logit"', 'summary = "median"',
     "[[measure]] 1, summary: median is none of the words known here; accepted: mean, change, swap, slope, threshold."),
    ('scale = "logit"', 'summary = "threshold"', "[[measure]] 1, threshold: the key is missing; "
     "accepted: the value whose first day is asked for, as summary is threshold."),
    ('scale = "logit"', 'summary = "swap"', "[[measure]] 1, summary: swap does not fit a trial of kind side_by_side; "
     'accepted: swap only with kind = "swap" in [design].'),
    ('scale = "logit"', 'summary = "change"', "[[measure]] 1, summary: change needs a run-in of at least 10 photographed days, and "
     "run_in_days is 0; accepted: run_in_days of 10 or more in [design], or summary mean."),
    ("days = [14, 28, 42]", "days = [28, 14, 42]", "[looks] days: [28, 14, 42] does not ascend; accepted: days in ascending "
     "order, each once."),
    ("budget = [0.005, 0.010, 0.035]", "budget = [0.005, 0.045]",
     "[looks] budget: the number of shares is 2, of days 3; accepted: one share of the budget for each day."),
    ("days = [14, 28, 42]", "days = [14, 28, 40]", "[looks] days: the last look is on day 40; "
     "accepted: day 42 as the last look, the end of the primary measure's window."),
    ("window = [0, 42]", "window = [0, 40]", "[looks] days: the last look is on day 42; "
     "accepted: day 40 as the last look, the end of the primary measure's window."),
    ("0.035]", "0.045]", "[looks] budget: the shares add up to 0.06; accepted: shares that add up to at most 0.05."),
    ('title = "One cover glass more"', "title = 5.5", "[trial] title: 5.5 cannot stand here; "
     "accepted: a text in quotation marks of at most 4000 characters."),
    ('title = "One cover glass more"', r'title = "\u001b[2J"', '[trial] title: "\N{REPLACEMENT CHARACTER}[2J" holds a control character; '
     "accepted: a text of printable characters."),
    ("[looks]", "[[looks]]", "[looks]: a list stands in place of a table; accepted: one table headed [looks]."),
]


@pytest.mark.parametrize(("old", "new", "sentence"), ONE_CHANGE, ids=[f"{new[:30]!r}" for _, new, _ in ONE_CHANGE])
def test_one_wrong_key_gives_one_sentence(plain, old, new, sentence):
    plain.drop("series.csv")
    plain.swap("trial.toml", old, new)
    assert plain.sentence() == ("trial.toml, " + sentence)


def test_without_a_window_the_last_look_must_be_the_last_day_of_the_trial(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", "window = [0, 42]\n", "")
    assert plain.sentences() == []
    plain.swap("trial.toml", "days = 42\n", "days = 50\n")
    assert plain.sentence() == ("trial.toml, [looks] days: the last look is on day 42; accepted: day 50 as the last look, "
                                "the last day of the trial.")


def run_in_of(plain, days, summary):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'kind = "side_by_side"', f'kind = "run_in"\nrun_in_days = {days}')
    plain.swap("trial.toml", 'scale = "logit"', f'scale = "logit"\nsummary = "{summary}"')


def test_a_run_in_of_fewer_than_ten_days_cannot_carry_a_change(plain):
    run_in_of(plain, 9, "change")
    assert plain.sentence() == ("trial.toml, [[measure]] 1, summary: change needs a run-in of at least 10 photographed days, and "
                                "run_in_days is 9; accepted: run_in_days of 10 or more in [design], or summary mean.")


@pytest.mark.parametrize(("days", "summary"), [(10, "change"), (9, "mean")])
def test_a_run_in_that_is_long_enough_or_not_used_is_read(plain, days, summary):
    run_in_of(plain, days, summary)
    assert plain.sentences() == []


@pytest.mark.parametrize("key", ["T/2", "T\\2", "../T2", "T..2", "..", ".", "T\n2", "T\u00002", "x" * 41])
def test_a_key_of_a_unit_or_an_arm_that_could_not_be_a_file_name_is_refused(plain, key):
    plain.drop("series.csv")
    written = key.translate({10: "\\n", 0: "\\u0000", 92: "\\\\"})
    plain.swap("trial.toml", 'key = "T2"', f'key = "{written}"')
    assert plain.sentence().startswith("trial.toml, [[unit]] 2, key: ")
    assert plain.sentence().endswith("cannot be used as a key; accepted: 1 to 40 printable characters without / \\ .. ; or *.")
    plain.swap("trial.toml", f'key = "{written}"', 'key = "T2"')
    plain.swap("trial.toml", 'key = "C"', f'key = "{written}"')
    assert plain.sentence().startswith("trial.toml, [[arm]] 2, key: ")


def test_forty_characters_and_a_point_are_allowed_in_a_key(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'key = "T2"', f'key = "T.2 {"x" * 36}"')
    assert plain.sentences() == []


@pytest.mark.parametrize(("kind", "days", "fewest"), [("run_in", 0, 2), ("run_in", 1, 2), ("swap", 0, 1)])
def test_a_trial_too_short_for_its_kind_is_told_so(plain, kind, days, fewest):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'kind = "side_by_side"', f'kind = "{kind}"\nrun_in_days = 10\nswap_day = 5')
    plain.swap("trial.toml", "days = 42\n", f"days = {days}\n")
    assert plain.sentence() == (f"trial.toml, [design] days: {days} leaves no room for a trial of kind {kind}; "
                                f"accepted: a whole number from {fewest} to 3650.")


def test_a_trial_of_one_day_never_asks_for_days_from_0_to_minus_1(plain):
    plain.put("trial.toml", (plain.root / "trial.toml").read_text().replace("window = [0, 42]\n", "").split("[looks]")[0])
    plain.drop("series.csv")
    plain.swap("trial.toml", "days = 42\n", "days = 0\nrun_in_days = 0\n")
    assert plain.sentences() == []
    plain.swap("trial.toml", "run_in_days = 0", "run_in_days = 3")
    assert plain.sentence() == "trial.toml, [design] run_in_days: 3 is out of range; accepted: 0, or nothing."


def test_a_window_may_be_one_day(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", "window = [0, 42]", "window = [42, 42]")
    assert read_folder(plain.root).plan.measures[0].window == (42, 42)


def in_tanks(plain, *tanks):
    plain.drop("series.csv")
    for number, tank in enumerate(tanks, start=1):
        plain.swap("trial.toml", f"position = {number}", f'tank = "{tank}"')


def test_several_units_in_one_tank_ask_whether_they_share_water(plain):
    in_tanks(plain, "left", "left")
    assert plain.sentence() == (
        "trial.toml, [design] shared_water: the key is missing, tank left holds 2 units (T1, T2), and the choice changes the conclusion; "
        "accepted: true when the compartments of a tank share water, false when they do not.")


@pytest.mark.parametrize("answer", ["true", "false"])
def test_either_answer_about_shared_water_is_accepted(plain, answer):
    in_tanks(plain, "left", "left")
    plain.swap("trial.toml", "seed = 7", f"seed = 7\nshared_water = {answer}")
    assert read_folder(plain.root).plan.shared_water is (answer == "true")


def test_tanks_of_one_unit_each_need_no_word_about_shared_water(plain):
    in_tanks(plain, "left", "right")
    assert read_folder(plain.root).plan.shared_water is False


def test_a_tank_that_comes_back_in_another_round_is_not_shared(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'kind = "side_by_side"', 'kind = "rounds"')
    for number in (1, 2):
        plain.swap("trial.toml", f"position = {number}", f'tank = "left"\nround = "{number}"')
    assert plain.sentences() == []


@pytest.mark.parametrize("days", [0, 14, 43])
def test_the_length_of_rounds_that_follow_one_another_is_read(plain, days):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'kind = "side_by_side"', f'kind = "rounds"\nround_days = {days}')
    for number in (1, 2):
        plain.swap("trial.toml", f"position = {number}", f'tank = "left"\nround = "{number}"')
    assert plain.sentences() == []
    assert read_folder(plain.root).plan.round_days == days


def test_a_round_longer_than_the_trial_is_refused(plain):
    plain.swap("trial.toml", "seed = 7", "seed = 7\nround_days = 44")
    assert plain.sentence() == "trial.toml, [design] round_days: 44 is out of range; accepted: a whole number from 0 to 43."


def test_an_empty_plan_names_every_missing_key(plain):
    plain.drop("series.csv")
    plain.put("trial.toml", "\n")
    assert [sentence.split(":")[0] for sentence in plain.sentences()] == [
        "trial.toml, [[arm]]", "trial.toml, [[unit]]", "trial.toml, [[measure]]",
        "trial.toml, [design] kind", "trial.toml, [design] days", "trial.toml, [design] start",
    ]


def test_a_single_table_where_a_list_belongs_is_explained(plain):
    plain.drop("series.csv")
    plain.put("trial.toml", '[design]\nkind = "rounds"\nstart = 2026-03-01\ndays = 4\n[arm]\nkey = "R"\n')
    assert plain.sentences()[0] == ("trial.toml, [[arm]]: a table stands in place of a list of tables; "
                                    "accepted: one table headed [[arm]] for each arm.")


def test_text_that_is_no_toml_is_refused_with_its_row(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'title = "One cover glass more"', "title = One cover glass more")
    assert plain.sentence() == ('trial.toml, line 2: "title = One cover glass more" cannot be read: the text has no quotation marks; '
                                'accepted: title = "One cover glass more".')


@pytest.mark.parametrize("text", [
    "a = " + "[" * 5000, "a = " + "{b=" * 5000, "a." * 400_000 + "b = 1", "a = " + "9" * 5000, "a = 2026-13-45",
], ids=["lists", "tables", "dots", "digits", "date"])
def test_hostile_toml_is_refused_in_a_sentence(plain, text):
    plain.put("trial.toml", text)
    assert plain.sentences()


def test_more_than_500_units_are_refused(plain):
    plain.drop("series.csv")
    plain.put("trial.toml", (plain.root / "trial.toml").read_text() + "".join(f'[[unit]]\nkey = "U{n}"\narm = "R"\n' for n in range(499)))
    assert plain.sentence() == "trial.toml, [[unit]]: there are 501 such tables; accepted: at most 500."


def test_a_swap_may_name_the_first_arm_only(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'kind = "side_by_side"', 'kind = "swap"\nswap_day = 21')
    plain.swap("trial.toml", 'arm = "R"', 'first_arm = "R"')
    assert [(unit.arm, unit.first_arm) for unit in read_folder(plain.root).plan.units] == [("R", "R"), ("C", "")]


def test_pairs_are_two_units_in_different_arms(plain):
    plain.drop("series.csv")
    plain.swap("trial.toml", 'kind = "side_by_side"', 'kind = "pairs"')
    plain.swap("trial.toml", "position = 1", 'pair = "a"')
    assert plain.sentences() == [
        "trial.toml, [[unit]] 2, pair: the key is missing or empty; accepted: the pair that this unit belongs to.",
        'trial.toml, [[unit]], pair: pair a holds "T1 (R)"; accepted: two units in each pair, in different arms.',
    ]
    plain.swap("trial.toml", "position = 2", 'pair = "a"')
    assert plain.sentences() == []


def test_a_fault_in_the_plan_does_not_hide_faults_elsewhere(plain):
    plain.swap("trial.toml", "days = 42", "days = 42.5")
    plain.swap("series.csv", "T2,", "T7,")
    assert plain.sentences() == [
        "trial.toml, [design] days: 42.5 is not a whole number; accepted: a whole number from 0 to 3650.",
        "series.csv, row 2, column unit: T7 is not a unit of trial.toml; accepted: T1, T2.",
    ]
