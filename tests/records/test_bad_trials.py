"""Trials with something wrong or odd, through the outer door: each is refused or told in a sentence, and no number is missing its value."""

import json
import math
from dataclasses import fields, is_dataclass

from tests.checking import every
from tests.cli.running import run_here
from tests.records.odd_trials import (
    add,
    arms,
    both,
    changed,
    design,
    drawn,
    events,
    four_ways,
    keep,
    looks,
    plain,
    primary,
    put,
    steps,
    turn,
    units,
)

from fairtank.records.services.trials import trial_judge

NO_REPLICATES = "Days, photos or readings of one tank are no replicates: whatever else happens to that tank is in all of them"
ENDS = "2026-04-12"

REFUSED = {
    # days offered as tanks
    "days of one tank as units": (
        units(*({"key": f"{arm} sample {number}", "arm": arm, "tank": f"tank {arm}"} for arm in "RC" for number in range(1, 8)),
              days=lambda key: range(0, 43, 3)),
        "trial.toml, [design] shared_water: the key is missing"),
    "days of one tank as units with water of their own": (
        both(units(*({"key": f"{arm} sample {number}", "arm": arm, "tank": f"tank {arm}"} for arm in "RC" for number in range(1, 8))),
             design(shared_water="false")),
        f"R sample 4 and 3 more stand in one tank (tank R) under one arm and are not told apart as its compartments. {NO_REPLICATES}"),
    "days of one tank as pairs": (
        both(units(*({"key": f"{arm}-{number}", "arm": arm, "tank": f"tank {arm}", "pair": f"day {number}"}
                     for arm in "RC" for number in range(1, 8))), design(kind='"pairs"', shared_water="false")), NO_REPLICATES),
    "units named by their only day": (
        units(*({"key": f"{arm} day {day}", "arm": arm} for arm in "RC" for day in range(7, 43, 7)),
              days=lambda key: range(int(key.split()[-1]), int(key.split()[-1]) + 1)),
        f"R day 7, R day 14, R day 21, R day 28 and 2 more are named by days and have a value on one day each. {NO_REPLICATES}"),
    "units that are numbers of days": (
        units(*({"key": f"{arm}{day}", "arm": arm} for arm in "RC" for day in range(7, 43, 7)),
              days=lambda key: range(int(key[1:]), int(key[1:]) + 1)),
        NO_REPLICATES),
    "both arms mixed over compartments of one tank and single tanks": (
        both(units({"key": "A1", "arm": "R", "tank": "A", "compartment": "1"}, {"key": "A2", "arm": "C", "tank": "A", "compartment": "2"},
                   {"key": "B", "arm": "R"}, {"key": "D", "arm": "C"}), design(shared_water="true")),
        "A holds both arms while another tank holds only one"),
    # arms
    "a unit without an arm": (lambda trial: trial["units"][0].pop("arm"), "trial.toml, [[unit]] 1, arm: the key is missing"),
    "a unit with an empty arm": (lambda trial: trial["units"][0].update(arm=""),
                                 "trial.toml, [[unit]] 1, arm: an empty text cannot be used as a key"),
    "a unit with an unknown arm": (lambda trial: trial["units"][0].update(arm="X"), "X is not an arm of trial.toml; accepted: R, C"),
    "an arm without a unit": (lambda trial: [unit.update(arm="R") for unit in trial["units"]], "no unit was given to arm C"),
    "no reference": (lambda trial: trial["arms"][0].update(role="changed"), "no arms have the role reference"),
    "a unit twice": (lambda trial: trial["units"][1].update(key="R1"), "R1 is already the key of [[unit]] 1"),
    # values
    "a value that is no number": (add(("R1", 5, "algae_cover", "nan")), "row 182, column value: nan is not a number"),
    "an infinite value": (add(("R1", 5, "algae_cover", "inf")), "row 182, column value: inf is not a number"),
    "an overflowing value": (add(("R1", 5, "canopy_height", "1e999")), "1e999 is out of range; accepted: a number"),
    "an empty value": (add(("R1", 5, "algae_cover", "")), "series.csv, row 182, column value: the cell is empty"),
    "a word for a value": (add(("R1", 5, "algae_cover", "none")), "none is not a number"),
    "a share above 100": (add(("R1", 5, "algae_cover", 100.5)), "100.5 is out of range; accepted: a share in % from 0 to 100"),
    "a share below 0": (add(("R1", 5, "algae_cover", -1)), "-1 is out of range"),
    "a height below 0": (add(("R1", 5, "canopy_height", -1)), "-1 is out of range"),
    "an absurd value": (add(("R1", 5, "canopy_height", 2e12)),
                        "canopy_height of R1 on day 5 is 2000000000000.0; accepted: a number below 1e+12"),
    "a value of an unknown unit": (add(("R9", 5, "algae_cover", 5)), "R9 is not a unit of trial.toml"),
    "a value of an unknown measure": (add(("R1", 5, "vigour", 5)), "vigour is not a measure of trial.toml"),
    "half a day": (add(("R1", 5.5, "algae_cover", 5)), "5.5 is not a whole number; accepted: a whole number of days since day 0"),
    "a day without a number": (add(("R1", "", "algae_cover", 5)), "column day: the cell is empty"),
    "a day far before the start": (add(("R1", -61, "algae_cover", 5)), "day -61 is far from the days of the trial"),
    "a day far after the end": (add(("R1", 103, "algae_cover", 5)), "day 103 is far from the days of the trial"),
    # margin, window, threshold, looks
    "a margin of 0": (primary(margin=0), "margin: 0 is out of range; accepted: a number above 0"),
    "a margin below 0": (primary(margin=-0.5), "margin: -0.5 is out of range; accepted: a number above 0"),
    "a margin that is no number": (primary(margin=math.nan), "margin: nan is out of range; accepted: a number above 0"),
    "an endless margin": (primary(margin=math.inf), "margin: inf is out of range; accepted: a number above 0"),
    "an enormous margin": (primary(margin=1e300), "a step in log-odds, from 10 % to 100 %. Accepted: up to 3. Did you mean per cent?"),
    "a window beyond the end": (lambda trial: trial["measures"][0].update(window=[0, 50]), "window: 50 is out of range"),
    "looks without their shares": (looks("[14, 42]", "[0.05]"), "the number of shares is 1, of days 2"),
    "looks that spend too much": (looks("[14, 42]", "[0.03, 0.03]"), "the shares add up to 0.06"),
    "looks that end too early": (looks("[14, 28]", "[0.01, 0.04]"), "the last look is on day 28; accepted: day 42"),
    "a look that costs nothing": (looks("[14, 42]", "[0.0, 0.05]"), "budget: 0.0 is out of range; accepted: a list of numbers above 0"),
    "a threshold that is not said": (primary(summary="threshold"), "threshold: the key is missing"),
    "no primary measure": (primary(role="secondary"), "no measures have the role primary"),
    # designs
    "a change without a run-in": (primary(summary="change"), "change needs a run-in of at least 10 photographed days"),
    "a slope over a week": (lambda trial: trial["measures"][0].update(summary="slope", window=[0, 6]), "a slope needs at least 8"),
    "a swap without its day": (design(kind='"swap"'), "swap_day: the key is missing"),
    "pairs that are none": (design(kind='"pairs"'), "pair: the key is missing or empty"),
    "rounds that are none": (design(kind='"rounds"'), "round: the key is missing or empty"),
    "a kind that nobody knows": (design(kind='"race"'), "race is none of the words known here"),
    # events
    "an event of an unknown unit": (events(("R9", "2026-03-05", "", "leak", "", "exclude_unit")), "R9 is not a unit of trial.toml"),
    "an event that ends before it begins": (events(("R1", "2026-03-05", "2026-03-04", "leak", "", "")), "lies before the event begins"),
    "an event with an unknown effect": (events(("R1", "2026-03-05", "", "leak", "", "forget")), "forget is none of the words known here"),
    "an event without a time": (events(("R1", "", "", "leak", "", "keep")), "column at: the cell is empty"),
}


@every("name", REFUSED)
def test_what_cannot_be_judged_is_refused_in_sentences(name, tmp_path, capsys):
    change, said = REFUSED[name]
    ran = run_here(capsys, "judge", put(tmp_path / name, changed(change)), "--json")
    assert (ran.code, ran.out) == (1, "")
    told = ran.err.replace("\u00a0", " ").strip()
    assert said in " ".join(told.split())
    assert told.endswith(".")


def one_day(day):
    return keep(lambda row: row[1] == day)


def only(*kept):
    """The trial with these units alone."""
    return both(keep(lambda row: row[0] in kept),
                lambda trial: trial.update(units=[unit for unit in trial["units"] if unit["key"] in kept]))


def of(unit, test):
    """Rows of one unit that pass; all rows of the others."""
    return keep(lambda row: row[0] != unit or test(row))


TOLD = {
    # values that are missing: the unit is told as spoilt
    "a series that stops": (of("R1", lambda row: row[1] < 20), "R1 has no value between day 18 and day 42, a gap of 24 days"),
    "a unit without any row": (of("R1", lambda row: False), "R1 has no value from day 0 to day 42."),
    "a series with one point": (of("R1", lambda row: row[1] == 21), "R1 has no value between day 0 and day 21"),
    "a series with a hole": (of("R1", lambda row: not 9 < row[1] < 21), "R1 has no value between day 9 and day 21, a gap of 12 days"),
    "few days at the right distance": (of("R1", lambda row: row[1] in (6, 12, 18, 24)), "R1 has no value between day 24 and day 42"),
    "one arm without a row": (keep(lambda row: row[0][0] == "R"), "C1 has no value from day 0 to day 42."),
    "no row at all": (keep(lambda row: False), "R1 has no value from day 0 to day 42."),
    "a measure without any value": (keep(lambda row: row[2] == "canopy_height"), "C3 has no value from day 0 to day 42."),
    "a second measure without any value": (keep(lambda row: row[2] == "algae_cover"), "C3 has no value from day 0 to day 42."),
    "every series with one point": (keep(lambda row: row[1] == 3 * int(row[0][1]) + 12), "R1 has no value between day 15 and day 42"),
    "one row in the whole folder": (lambda trial: trial.update(series=trial["series"][:1]), "R2 has no value from day 0 to day 42."),
    "values on the last days only": (keep(lambda row: row[1] > 36), "R1 has no value between day 0 and day 39"),
    # what events take out is told with the event
    "a unit taken out": (events(("R1", "2026-03-05", "", "leak", "new seal", "exclude_unit")),
                         "R1 was taken out by an event on day 4: leak (new seal)."),
    "a unit taken out by an event of no kind": (events(("R1", "2026-03-05", "", "", "", "exclude_unit")),
                                                "R1 was taken out by an event on day 4."),
    "all units taken out": (events(("*", "2026-03-05", "", "outage", "", "exclude_unit")),
                            "C3 was taken out by an event on day 4: outage."),
    "all days taken out": (events(("*", "2026-03-01", ENDS, "outage", "", "exclude_window")), "R1 has no value from day 0 to day 42."),
    "days of one unit taken out": (events(("R1", "2026-03-05", "2026-03-20", "trim", "", "exclude_window")),
                                   "R1 has no value between day 3 and day 21"),
    # days outside
    "days before the start": (add(("R1", -3, "algae_cover", 90), ("R2", -3, "algae_cover", 90), ("R1", -1, "algae_cover", 90)),
                              "Values from before day 0 (2 days) were not used: the trial begins on day 0."),
    "days after the end": (add(("R1", 45, "algae_cover", 90)),
                           "Values from after the last day (1 day) were not used: the trial ends on day 42."),
    # no scatter
    "all values equal": (turn(lambda row: 10), "at the limit of the scale"),
    "all values of an arm equal": (turn(lambda row: 10 if row[0][0] == "R" else row[3]), "at the limit of the scale"),
    "all values 0": (turn(lambda row: 0), "at the limit of the scale"),
    "all values 100": (turn(lambda row: 100), "at the limit of the scale"),
    "an arm at 0": (turn(lambda row: 0 if row[0][0] == "C" else row[3]), "at the limit of the scale"),
    # fewer tanks than a verdict needs
    "one tank each": (only("R1", "C1"), '"alone"'),
    "one tank against three": (only("R1", "C1", "C2", "C3"), '"alone"'),
    "compartments counted as tanks": (
        both(units(*({"key": f"{arm}{part}", "arm": arm, "tank": arm, "compartment": str(part)} for arm in "RC" for part in range(3))),
             design(shared_water="false")), "Compartments of one tank were counted as tanks of their own."),
    "compartments that share water": (
        both(units(*({"key": f"{arm}{part}", "arm": arm, "tank": arm, "compartment": str(part)} for arm in "RC" for part in range(3))),
             design(shared_water="true")), "Compartments that share water were averaged first: each tank counts once."),
    "no lot": (design(drawn="false"), "not by lot"),
    "a trial that goes on": (keep(lambda row: row[1] <= 21), "The trial is not over: values reach day 21 of 42."),
}


@every("name", TOLD)
def test_what_is_odd_is_told_and_never_dropped_in_silence(name, tmp_path, capsys):
    change, said = TOLD[name]
    ran = run_here(capsys, "judge", put(tmp_path / name, changed(change)), "--json")
    assert (ran.code, ran.err) == (0, "")
    assert said in ran.out.replace("\u00a0", " ")


def refuse_constant(word):
    raise AssertionError(f"findings.json holds {word}")


def floats_of(value):
    """Every float in a finding, however deep."""
    if isinstance(value, float):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from floats_of(one)
    elif is_dataclass(value):
        for field in fields(value):
            yield from floats_of(getattr(value, field.name))


ODD = {name: change for name, (change, _) in TOLD.items()} | {
    "values of millions of millions": both(
        primary(key="weight", title="Weight", scale="identity"), keep(lambda row: row[2] == "algae_cover"),
        lambda trial: trial["measures"].pop(),
        lambda trial: trial.update(series=[(*row[:2], "weight", 1e10 * row[3]) for row in trial["series"]])),
    "values of 1e-300": turn(lambda row: 1e-300),
    "values that differ in the last digit": turn(lambda row: 10 + 1e-13 * row[1]),
    "a share of 0 and 100 by turns": turn(lambda row: 100 * (row[1] % 2)),
    "every day at once": lambda trial: trial["series"].extend([(*row[:3], row[3] + 1) for row in list(trial["series"])]),
    "a trial of one day": both(design(days=0), one_day(0)),
    "rows that go on after the end": design(days=30),
    "a threshold that nobody reaches": both(primary(summary="threshold", threshold=99), lambda trial: trial["measures"][0].pop("margin")),
    "a threshold that all start above": both(primary(summary="threshold", threshold=1), lambda trial: trial["measures"][0].pop("margin")),
    "a slope of nothing": both(primary(summary="slope", margin=0.01), turn(lambda row: 10)),
    "a slope of values at the limit": both(primary(summary="slope", margin=0.01), turn(lambda row: 100)),
    "a run-in without a value": both(design(kind='"run_in"', run_in_days=14), primary(summary="change"), keep(lambda row: row[1] >= 14)),
    "a run-in and nothing after": both(design(kind='"run_in"', run_in_days=14), primary(summary="change"), keep(lambda row: row[1] < 14)),
    "a swap with one period": both(design(kind='"swap"', swap_day=21, washout_days=3), primary(summary="swap"),
                                   lambda trial: trial["measures"].pop(), keep(lambda row: row[1] < 21 and row[2] == "algae_cover")),
    "a swap of equal values": both(design(kind='"swap"', swap_day=21, washout_days=3), primary(summary="swap"),
                                   lambda trial: trial["measures"].pop(), keep(lambda row: row[2] == "algae_cover"), turn(lambda row: 10)),
    "pairs of equal values": both(design(kind='"pairs"'), turn(lambda row: 10),
                                  lambda trial: [unit.update(pair=unit["key"][1]) for unit in trial["units"]]),
    "pairs without a partner": both(design(kind='"pairs"'), keep(lambda row: row[0] in ("R1", "C2")),
                                    lambda trial: [unit.update(pair=unit["key"][1]) for unit in trial["units"]]),
    "rounds of equal values": both(
        design(kind='"rounds"'), turn(lambda row: 10),
        lambda trial: [unit.update(round=unit["key"][1], tank="AB"[(unit["arm"] == "R") == (int(unit["key"][1]) % 2 == 0)])
                       for unit in trial["units"]]),
    "planned looks": looks("[14, 42]", "[0.01, 0.04]"),
    "a margin as large as it may be": primary(margin=3),
    "a tiny margin": primary(margin=1e-300),
    "a window of one day": lambda trial: trial["measures"][0].update(window=[21, 21]),
    "a window of one day without a value": lambda trial: trial["measures"][0].update(window=[20, 20]),
    "a measure on another scale": primary(scale="identity"),
    "a share on the log scale": primary(scale="log"),
    "zeros on the log scale": both(primary(scale="log"), turn(lambda row: 0)),
    "a unit in quotation marks": lambda trial: trial["units"][0].update(position='\\"left\\"'),
    "several arms": arms({"key": "R"}, {"key": "A"}, {"key": "B"}),
    "several arms of one tank": arms({"key": "R"}, {"key": "A"}, {"key": "B"}, each=1),
    "several arms of equal values": both(arms({"key": "R"}, {"key": "A"}, {"key": "B"}), turn(lambda row: 10)),
    "all pairs of arms, one of them without a value": both(arms({"key": "R"}, {"key": "A"}, {"key": "B"}, compare='"all"'),
                                                           keep(lambda row: row[0][0] != "B")),
    "a ladder": steps(0, 5, 10, each=3),
    "a ladder of one tank on each step": steps(0, 5, 10, 20, each=1),
    "a ladder of equal values": both(steps(0, 5, 10), turn(lambda row: 10)),
    "a ladder with a step lost": both(steps(0, 5, 10), keep(lambda row: row[0][:2] != "D1")),
    "a ladder with steps far apart": steps(0, 1e-9, 1e9),
    "two changes": four_ways(),
    "two changes of one tank each": four_ways(each=1),
    "two changes of equal values": both(four_ways(), turn(lambda row: 10)),
    "two changes with one way lost": both(four_ways(), keep(lambda row: row[0][0] != "B")),
    "a drawn start": drawn(14, 27, 20),
    "a drawn start of equal values": both(drawn(14, 27, 20), turn(lambda row: 10)),
    "a drawn start without a value before": both(drawn(14, 27, 20), keep(lambda row: row[1] >= 20)),
    "a drawn start with one point": both(drawn(14, 27, 20), keep(lambda row: row[1] == 20)),
    "a drawn start with one tank lost": both(drawn(14, 27, 20), keep(lambda row: row[0] == "R1")),
    "an event on the last day": events(("C1", ENDS, "", "trim", "", "exclude_window")),
    "an event before the start": events(("C1", "2026-02-20", "", "trim", "", "exclude_unit")),
    "seven tanks against one": lambda trial: (
        trial["units"].extend({"key": f"R{number}", "arm": "R"} for number in range(4, 8)),
        trial["series"].extend((f"R{number}", day, "algae_cover", 20 + number) for number in range(4, 8) for day in range(0, 43, 3)),
        trial.update(units=[unit for unit in trial["units"] if unit["key"] not in ("C2", "C3")],
                     series=[row for row in trial["series"] if row[0] not in ("C2", "C3")])),
}


@every("name", ODD)
def test_every_finding_of_an_odd_trial_has_a_sentence_and_only_finite_numbers(name, tmp_path, capsys):
    root = put(tmp_path / name, changed(ODD[name]))
    ran = run_here(capsys, "judge", root)
    assert ran.code == 0, ran.err
    document = json.loads((root / "out" / "findings.json").read_text(encoding="utf-8"), parse_constant=refuse_constant)
    assert document["findings"]
    for finding in document["findings"]:
        assert finding["sentence"].endswith(".")
        assert "nan" not in finding["sentence"].lower().split()
        assert "inf" not in finding["sentence"].lower().split()
    judged = trial_judge(root=root, out=None)
    assert all(math.isfinite(number) for finding in judged.findings for number in floats_of(finding))


def test_several_values_of_a_tank_on_one_day_count_as_their_median(tmp_path, capsys):
    plainly = run_here(capsys, "judge", put(tmp_path / "plain", plain()), "--json")
    twice = changed(lambda trial: trial["series"].extend((*row[:3], row[3] + off) for row in list(trial["series"]) for off in (-5, 5)))
    again = run_here(capsys, "judge", put(tmp_path / "twice", twice), "--json")
    first, second = (json.loads(ran.out)["findings"] for ran in (plainly, again))
    assert first == second


def test_the_same_values_in_another_order_are_the_same_finding(tmp_path, capsys):
    plainly = run_here(capsys, "judge", put(tmp_path / "plain", plain()), "--json")
    mixed = run_here(capsys, "judge", put(tmp_path / "mixed", changed(lambda trial: trial["series"].reverse())), "--json")
    assert json.loads(plainly.out)["findings"] == json.loads(mixed.out)["findings"]


def test_values_outside_the_trial_change_no_number(tmp_path, capsys):
    plainly = run_here(capsys, "judge", put(tmp_path / "plain", plain()), "--json")
    outside = changed(add(*((unit, day, "algae_cover", 99) for unit in ("R1", "C1") for day in (-9, -1, 43, 60))))
    again = run_here(capsys, "judge", put(tmp_path / "outside", outside), "--json")
    first, second = (json.loads(ran.out)["findings"][0] for ran in (plainly, again))
    assert len(second.pop("cautions")) == len(first.pop("cautions")) + 2
    assert first == second
