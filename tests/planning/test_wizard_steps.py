"""The questions of a plan: what is asked next, what is refused and how, and that stopping anywhere changes nothing."""

import string
from datetime import date

import pytest

from checking import every
from fairtank.planning.wizard.asking import STEPS, standing
from fairtank.planning.wizard.reading import accepted, proposal, read_answer, text_of, understood
from fairtank.planning.wizard.step import KINDS, Told
from fairtank.planning.wizard.templates import template_names, template_of

TODAY = date(2026, 3, 1)
HOSTILE = ['"; rm -rf /', "a\nb = 1", "]]\n[trial]", "\U0001f420" * 50, "'''", '"""', "\\u0000", "x" * 10_000, "\x00", "\u202ereversed",
           "{measure}", "%s%n", "  ", "<script>", "=1+1", "1e999", "-0", "nan", "١٢", "0x10", "1_0", "9" * 400]  # fmt: skip


def answered(typed, template=None, begun=None):
    """All questions answered with what is typed, else with what is proposed; begun: what was answered before."""
    answers = dict(begun or {})
    while (found := standing(answers, template=template, today=TODAY)).step is not None:
        read = read_answer(found.step, typed.get(found.step.key, ""), found.told)
        assert read.value is not None, (found.step.key, read.refusal)
        answers[found.step.key] = read.value
    return found


TYPED = {"change": "more flow", "money": "500", "tank_cost": "90", "window": "some",
         "moves": "photoperiod, flow", "tanks": "5", "shelves": "2", "lamp": "18, 7, 10", "flow": "200, 400"}


def test_every_question_has_a_key_of_its_own_and_is_complete():
    assert len({step.key for step in STEPS}) == len(STEPS)
    for step in STEPS:
        assert step.kind in KINDS
        assert step.question
        assert step.help.endswith((".", "?"))


def test_a_question_says_in_a_sentence_what_may_be_typed():
    found = answered(TYPED)
    for step in STEPS:
        assert accepted(step, found.told).startswith("Type ")
        assert accepted(step, found.told).endswith(".")


def test_stopping_after_any_answer_changes_nothing_in_the_end():
    whole = answered(TYPED).told.answers
    typed = {key: text_of(value) for key, value in whole.items()}
    for count in range(len(whole) + 1):
        begun = dict(list(whole.items())[:count])
        assert list(standing(begun, today=TODAY).told.answers) == list(begun)
        assert answered(typed, begun=begun).told.answers == whole


@pytest.mark.parametrize("template", template_names())
def test_a_template_answers_every_question_by_itself(template):
    proposes = template_of(template).answers
    found = answered({}, proposes)
    for key, value in proposes.items():
        if key in found.told.answers:
            assert text_of(found.told.answers[key]) == text_of(value), key
    assert "example" in found.told.text("title")
    assert "nvented example" in found.told.text("rationale")
    assert set(proposes) - set(found.told.answers) <= {"design_kind"}


def test_the_order_in_which_answers_are_kept_does_not_matter():
    whole = answered(TYPED)
    mixed = dict(sorted(whole.told.answers.items()))
    assert standing(mixed, today=TODAY).told.answers == whole.told.answers


def test_every_answer_reads_back_as_it_was_written():
    whole = answered(TYPED)
    told = Told({}, today=TODAY)
    for step in whole.asked:
        value = whole.told.answers[step.key]
        if text_of(value):
            assert read_answer(step, text_of(value), told).value == value
        told = Told({**told.answers, step.key: value}, today=TODAY)


@every("hostile", HOSTILE, ids=lambda text: ascii(text[:12]))
def test_whatever_is_typed_is_taken_or_refused_in_a_short_sentence(hostile):
    whole = answered(TYPED)
    told = Told({}, today=TODAY)
    for step in whole.asked:
        read = read_answer(step, hostile, told)
        assert (read.value is None) == bool(read.refusal)
        if read.refusal:
            assert read.refusal[-1] in string.punctuation
            assert len(read.refusal) < 400
        elif isinstance(read.value, str):
            assert "\n" not in read.value
            assert len(read.value) <= max(step.longest, 40)
        told = Told({**told.answers, step.key: whole.told.answers[step.key]}, today=TODAY)


REFUSED = {
    "flow": ("200", "is 1 number"),
    "change": ("", "An answer is needed here."), "title": ("x" * 101, "accepted: at most 100"),
    "moves": ("1, 99", "“99” is none of the answers."), "primary": ("speed", "“speed” is none of the answers."),
    "others": ("none, 77", "is none of the answers"), "expect": ("4", "Type a number from 1 to 3, or the word itself."),
    "course": ("maybe", "“maybe” is none"), "level": ("100", "Type one from 0.5 to 99.5 %"),
    "margin": ("95", "leads out of what algae cover can be"), "tanks": ("1", "Type one from 2 to 24."),
    "weeks": ("six", "“six” is not a whole number."), "money": ("lots", "“lots” is not a number."), "tank_cost": ("0", "is out of range"),
    "design": ("best", "is none of the answers"), "run_in_days": ("40", "Then fewer than 14 days are left"),
    "start": ("2026-02-30", "is no day of the calendar"), "photo_rule": ("9", "is none of the answers"),
    "blinded": ("perhaps", "is neither yes nor no"), "shelves": ("7", "more than there are tanks (5)"),
    "window": ("x", "is none"), "window_tanks": ("6", "There are 5 tanks."), "lamp_age": ("1, 2", "There are 2 numbers."),
    "filter_age": ("-1", "is out of range"), "stock": ("x", "is none"), "planted_by": ("x" * 81, "at most 80"),
    "shared_water": ("a bit", "is neither yes nor no"), "disclosure": ("x" * 401, "at most 400"), "setup": ("1", "is neither"),
    "size": ("45, 28, 160, 6", "out of range for height. Type 4 numbers"), "bed": ("moss", "is none"), "bed_cm": ("29", "more than half"),
    "plants": ("moss", "Type each plant once with its pieces"), "lamp": ("8, 18, 30", "“30” is out of range for light with the change."),
    "water": ("50, 4, 30", "KH from 0 to 40 dKH"),
}  # fmt: skip


def test_every_question_refuses_what_cannot_be_with_its_reason():
    typed = {**TYPED, "design": "run_in_5", "run_in_days": "14"}
    whole = answered(typed)
    asked = {step.key: step for step in whole.asked}
    told, seen = Told({}, today=TODAY), set()
    for key, step in asked.items():
        if key in REFUSED:
            text, reason = REFUSED[key]
            read = read_answer(step, text, told)
            assert read.value is None, key
            assert reason in read.refusal, key
            seen.add(key)
        told = Told({**told.answers, key: whole.told.answers[key]}, today=TODAY)
    assert seen == set(REFUSED)
    assert set(asked) - seen == {"reference", "question", "rationale"}


def test_an_answer_that_no_longer_fits_is_asked_again_with_the_reason():
    whole = dict(answered({**TYPED, "money": "0", "tanks": "6", "design": "side_by_side_6"}).told.answers)
    whole["tanks"] = 2
    found = standing(whole, today=TODAY)
    assert found.step.key == "design"
    assert "is none of the answers" in found.refusal


def test_what_a_template_proposes_gives_way_where_it_does_not_fit():
    step = next(step for step in STEPS if step.key == "others")
    told = Told({"primary": "plant_cover"}, template={"others": ("plant_cover",)}, today=TODAY)
    assert proposal(step, told) == ("algae_cover",)


def test_the_start_that_is_proposed_is_a_saturday_that_leaves_two_weeks():
    step = next(step for step in STEPS if step.key == "start")
    for day in range(1, 29):
        found = step.default(Told({}, today=date(2026, 2, day)))
        assert found.weekday() == 5
        assert 14 <= (found - date(2026, 2, day)).days <= 20


def test_a_low_level_makes_the_proposed_difference_smaller():
    assert answered({"change": "x", "level": "3", "expect": "less"}).told.answers["margin"] == 1.5
    assert answered({"change": "x", "level": "40", "expect": "less"}).told.answers["margin"] == 5.0


def test_questions_that_do_not_matter_are_not_asked():
    keys = set(answered({"change": "x", "setup": "no"}).told.answers)
    assert not keys & {"tank_cost", "window_tanks", "size", "changed_bed", "bed"}
    assert not keys & {"flow", "doses", "device"}
    assert {"tank_cost", "window_tanks"} <= set(answered(TYPED).told.answers)


def test_what_the_changed_tanks_get_is_asked_and_nothing_is_proposed_for_it():
    for moves, key, text in (("flow", "flow", "200, 400"), ("doses", "doses", "2, 1, 3"), ("photoperiod", "lamp", "18, 7, 10"),
                             ("water_change", "water", "4, 7, 25, 50")):
        told = answered({"change": "x", "moves": moves, key: text}).told
        step = next(step for step in STEPS if step.key == key)
        assert step.default(told) is None
        assert text_of(told.answers[key]) == text
    assert "device" in answered({"change": "x", "moves": "none"}).told.answers
    doses = next(step for step in STEPS if step.key == "doses")
    assert "must be above 0" in read_answer(doses, "0, 0, 3", told).refusal
    assert "doses a week from 0.1 to 14" in read_answer(doses, "2, 1, 15", told).refusal


def test_hours_that_the_words_say_reach_the_changed_tanks_or_are_asked_for():
    found = answered({"change": "7 h of light", "reference": "8 h of light"})
    assert found.told.names("moves") == ("photoperiod",)
    assert found.told.answers["lamp"] == (18.0, 8.0, 7.0)
    lamp = next(step for step in STEPS if step.key == "lamp")
    assert "says 7 h for the tanks with the change, and this says 9 h" in read_answer(lamp, "18, 8, 9", found.told).refusal
    unticked = standing({**found.told.answers, "moves": ()}, today=TODAY)
    assert unticked.step.key == "moves_too"
    assert read_answer(unticked.step, "", unticked.told).value is None


def test_what_the_change_moves_and_is_alike_all_the_same_is_asked_back():
    told = answered({"change": "x", "moves": "flow", "flow": "200, 400"}).told
    asked = standing({**told.answers, "flow": (200.0, 200.0)}, today=TODAY)
    assert asked.step.key == "alike"
    assert "all tanks get the same of it" in asked.step.question_for(asked.told)
    assert "go back" in read_answer(asked.step, "no", asked.told).refusal


def test_a_start_long_past_is_asked_back_and_taken_where_it_is_meant():
    told = answered({"change": "x"}).told
    asked = standing({**told.answers, "start": date(2020, 3, 1)}, today=TODAY)
    assert asked.step.question_for(asked.told) == "Day 0, 2020-03-01, lies 6 years back. Is this a trial that already ran?"
    assert read_answer(asked.step, "yes", asked.told).value is True
    assert "go back to the date" in read_answer(asked.step, "no", asked.told).refusal


def test_four_numbers_of_a_tank_are_read_with_their_units_and_said_back():
    size, told = next(step for step in STEPS if step.key == "size"), Told()
    read = read_answer(size, "45 x 28 x 36 cm, 6 mm", told)
    assert read.value == (45.0, 28.0, 36.0, 6.0)
    assert understood(size, read.value, told) == "length 45 cm, width 28 cm, height 36 cm, glass 6 mm"
    assert "in another unit" in read_answer(size, "450 mm, 28, 36, 6", told).refusal
