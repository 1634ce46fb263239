"""trial.toml with more than two arms: doses, changes, planned comparisons; each refusal with its sentence, and back again."""

from dataclasses import replace

from checking import every
from fairtank.records.folder import read_folder
from fairtank.records.folder.plan_toml import draft_from_text
from fairtank.records.folder.plan_writer import text_from_plan
from fairtank.records.folder.problems import Problems

HEAD = """[trial]
title = "Several arms"

[design]
kind = "{kind}"
start = 2026-03-01
days = 42
drawn = true
{design}
"""
MEASURE = """
[[measure]]
key = "algae_cover"
role = "primary"
"""


def text_of(kind, arms, *, design="", per_arm=2):
    """A plan: arms as (key, further lines); the first is the reference."""
    text = HEAD.format(kind=kind, design=design)
    for place, (key, lines) in enumerate(arms):
        text += f'\n[[arm]]\nkey = "{key}"\nrole = "{"changed" if place else "reference"}"\n{lines}\n'
    for key, _ in arms:
        for number in range(per_arm):
            text += f'\n[[unit]]\nkey = "{key}{number}"\narm = "{key}"\n'
    return text + MEASURE


def plan_of(text):
    problems = Problems()
    draft = draft_from_text(text, problems)
    assert not problems, problems.as_error()
    return draft.plan


def sentences(text):
    problems = Problems()
    assert draft_from_text(text, problems).plan is None
    return [str(problem) for problem in problems.as_error().problems]


def doses(*values):
    return [(f"D{place}", "" if value is None else f"dose = {value}") for place, value in enumerate(values)]


TWO = [("R", ""), ("A", "")]
WAYS = [("N", "changes = []"), ("L", 'changes = ["light"]'), ("C", 'changes = ["co2"]'), ("LC", 'changes = ["light", "co2"]')]


def ways(**changed):
    return [(key, changed.get(key, lines)) for key, lines in WAYS]


def test_a_ladder_is_read_and_written_back():
    plan = plan_of(text_of("ladder", doses(0, 10, "20.5"), design='dose_unit = "mg/L"\ntank_litres = 54\nearlier_tanks = false'))
    assert (plan.kind, plan.dose_unit, plan.tank_litres, plan.earlier_tanks) == ("ladder", "mg/L", 54.0, False)
    assert [arm.dose for arm in plan.arms] == [0.0, 10.0, 20.5]
    assert plan_of(text_from_plan(plan)) == plan


def test_two_changes_are_read_and_written_back():
    plan = plan_of(text_of("two_changes", WAYS))
    assert [arm.changes for arm in plan.arms] == [(), ("light",), ("co2",), ("light", "co2")]
    assert plan_of(text_from_plan(plan)) == plan
    assert 'changes = ["light", "co2"]' in text_from_plan(plan)


def test_the_reference_of_two_changes_may_leave_its_empty_list_out():
    assert plan_of(text_of("two_changes", ways(N=""))) == plan_of(text_of("two_changes", WAYS))


def test_all_pairs_of_several_arms_are_read_and_written_back():
    plan = plan_of(text_of("side_by_side", [("R", ""), ("A", ""), ("B", "")], design='compare = "all"'))
    assert plan.compare == "all"
    assert plan_of(text_from_plan(plan)) == plan


def test_what_was_not_said_is_not_written():
    text = text_from_plan(plan_of(text_of("side_by_side", TWO)))
    for key in ("compare", "dose", "changes", "earlier_tanks", "tank_litres"):
        assert f"{key} =" not in text


REFUSED = [
    (text_of("ladder", doses(0, None, 20)), "[[arm]] 2, dose: the key is missing; accepted: how much of the change the arm receives, "
     "a number of 0 or more, as kind is ladder."),
    (text_of("ladder", doses(0, -1, 20)), "[[arm]] 2, dose: -1 is out of range; accepted: how much of the change the arm receives, "
     "a number of 0 or more."),
    (text_of("ladder", doses(0, '"10"', 20)), "[[arm]] 2, dose: 10 stands in quotation marks, which makes a text of it; accepted: "
     "a number, without quotation marks; here 10."),
    (text_of("ladder", doses(0, "nan", 20)), "[[arm]] 2, dose: nan is out of range; accepted: a number."),
    (text_of("ladder", doses(0, 10, 20, 10)), "[[arm]] 4, dose: 10 is already the dose of [[arm]] 2; accepted: a dose of its own for each "
     "arm."),
    (text_of("ladder", doses(0, 10)), "[[arm]] 2, dose: the ladder has 2 different doses (0, 10); accepted: at least 3 different doses; "
     "with two plan the trial side by side."),
    (text_of("side_by_side", doses(0, 10)), "[[arm]] 1, dose: the key does not fit a trial of kind side_by_side; "
     'accepted: dose only with kind = "ladder" in [design].'),
    (text_of("side_by_side", [("R", ""), ("A", 'changes = ["light"]')]), "[[arm]] 2, changes: the key does not fit a trial of kind "
     'side_by_side; accepted: changes only with kind = "two_changes" in [design].'),
    (text_of("side_by_side", TWO, design='dose_unit = "mg/L"'), "[design] dose_unit: the key does not fit a trial of kind "
     'side_by_side; accepted: dose_unit only with kind = "ladder".'),
    (text_of("side_by_side", TWO, design='compare = "all"'), "[design] compare: all pairs were asked for, and there is "
     "only one: the plan has 2 arms; accepted: all with three arms or more; else leave it out."),
    (text_of("ladder", doses(0, 10, 20), design='compare = "all"'), "[design] compare: all does not fit a trial of kind ladder; "
     "accepted: all only with kind = side_by_side or run_in."),
    (text_of("side_by_side", TWO, design='compare = "best"'), "[design] compare: best is none of the words known here; "
     "accepted: reference, all."),
    (text_of("side_by_side", TWO, design='earlier_tanks = "no"'), "[design] earlier_tanks: no is neither true nor false; "
     "accepted: true or false without quotation marks."),
    (text_of("side_by_side", TWO, design="tank_litres = 0"), "[design] tank_litres: 0 is out of range; "
     "accepted: a number above 0."),
    (text_of("two_changes", WAYS[:3]), "[design] kind: an arm is missing: light and co2; accepted: four arms with changes = [], "
     '["light"], ["co2"] and ["light", "co2"], in names of your own.'),
    (text_of("two_changes", ways(LC='changes = ["light"]')), '[[arm]] 4, changes: [light] are already the changes of [[arm]] 2; '
     'accepted: four arms with changes = [], ["light"], ["co2"] and ["light", "co2"], in names of your own.'),
    (text_of("two_changes", ways(LC='changes = ["food"]')), '[design] kind: the arms name 3 changes (light, co2, food); '
     'accepted: two changes: four arms with changes = [], ["light"], ["co2"] and ["light", "co2"], in names of your own.'),
    (text_of("two_changes", [WAYS[1], WAYS[0], *WAYS[2:]]), "[[arm]] 1, role: the reference has the changes [light]; "
     "accepted: the arm with neither change as reference."),
    (text_of("two_changes", ways(L='changes = "light"')), '[[arm]] 2, changes: light is not a list; accepted: a list of short names in '
     'quotation marks, each once, such as ["light", "co2"]: 1 to 40 printable characters without / \\ .. ; or *.'),
    (text_of("two_changes", ways(LC='changes = ["light", "light"]')), '[[arm]] 4, changes: [light, light] cannot stand here; accepted: a '
     'list of short names in quotation marks, each once, such as ["light", "co2"]: 1 to 40 printable characters without / \\ .. ; or *.'),
]


@every(("text", "sentence"), REFUSED, ids=[sentence[:48] for _, sentence in REFUSED])
def test_each_refusal_has_its_sentence(text, sentence):
    assert f"trial.toml, {sentence}" in sentences(text)


def test_a_plan_in_a_folder_is_read_with_its_doses(plain):
    plain.put("trial.toml", text_of("ladder", doses(0, 10, 20), per_arm=1))
    plain.put("series.csv", "unit,day,measure,value\n" + "".join(f"D{arm}0,{day},algae_cover,{9 + arm}\n"
                                                                for arm in range(3) for day in range(0, 43, 6)))
    plan = read_folder(plain.root).plan
    assert [arm.dose for arm in plan.arms] == [0.0, 10.0, 20.0]
    assert plan_of(text_from_plan(replace(plan, dose_unit="g"))).dose_unit == "g"
