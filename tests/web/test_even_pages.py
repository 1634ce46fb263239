"""How even the units are and what each has, and what the trial could show, in the pages."""

import pytest
from tests.web.planned_trials import page_text, planned_trial


@pytest.fixture
def address(asked):
    """Of a planned trial."""
    return planned_trial().get_absolute_url()


def test_a_trial_without_a_plan_leads_to_it(asked):
    asked.post("/trials/new/")
    for page in ("even", "equal", "show", "draw", "seal", "schedule"):
        assert "The plan comes first" in page_text(asked.get(f"/trials/a-new-trial/{page}/")), page


def test_what_was_written_down_of_each_unit_is_told_first_in_sentences(asked, address):
    page = page_text(asked.get(f"{address}even/"))
    assert "Age of the lamp" in page
    assert "3 months in arm R; 12 months in arm C" in page
    assert page.count("<svg") == 2


def test_the_pages_say_what_the_command_says(asked, address):
    from fairtank.publish.phrases import plain_text
    from fairtank.records.models import Trial
    from fairtank.records.selectors.foreseen import even_shown
    from fairtank.records.services.evening import trial_even
    from fairtank.records.services.working import opened

    trial = Trial.objects.get()
    with opened(trial) as root:
        said = [plain_text(line) for line in trial_even(root=root).sentences]
    assert even_shown(trial).document["sentences"] == said


def test_values_are_written_down_for_each_unit_and_take_the_place_of_those_before(asked, address):
    from fairtank.records.models import FactorValue, Trial

    sent = {f"value-T{number}": "6" for number in range(1, 5)}
    assert asked.post(f"{address}equal/lamp_age/", {**sent, "unit": "months"}).status_code == 303
    rows = FactorValue.objects.filter(trial=Trial.objects.get(), factor="lamp_age")
    assert list(rows.values_list("unit__key", "value")) == [(f"T{number}", "6") for number in range(1, 5)]
    assert "T1: 6 months" in page_text(asked.get(f"{address}equal/"))
    odd = {f"value-T{number}": "6\x02" for number in range(1, 5)}
    assert asked.post(f"{address}equal/lamp_age/", {**odd, "unit": "months\x97", "note": "new\x07 lamp"}).status_code == 303
    assert set(rows.filter(removed_at=None).values_list("value", "unit_of_measure", "note")) == {("6", "months", "new lamp")}


def test_a_value_that_cannot_be_used_is_refused_at_its_unit_and_nothing_is_stored(asked, address):
    from fairtank.records.models import FactorValue

    before = list(FactorValue.objects.values_list("pk", flat=True))
    page = asked.post(f"{address}equal/lamp_age/", {"value-T1": "3", "value-T2": "9e99", "unit": "months"})
    text = page_text(page)
    assert page.status_code == 422
    assert "is out of range" in text
    assert 'value="9e99"' in text
    assert list(FactorValue.objects.values_list("pk", flat=True)) == before
    assert asked.get(f"{address}equal/moon/").status_code == 404


def test_a_word_where_a_number_is_asked_for_is_refused_but_for_none(asked, address):
    page = asked.post(f"{address}equal/lamp_age/", {"value-T1": "abc", "value-T2": "none", "value-T3": "3", "unit": "months"})
    assert page.status_code == 422
    assert page_text(page).count("abc is not a number; accepted: a number in months, or none.") == 1
    assert asked.post(f"{address}equal/lamp_age/", {"value-T1": "none", "value-T2": "3 weeks", "unit": ""}).status_code == 303


def test_what_the_trial_could_show_is_the_command_s_sentence_and_follows_what_is_tried(asked, address):
    from fairtank.records.models import Trial
    from fairtank.records.selectors.foreseen import can_show

    plain = page_text(asked.get(f"{address}show/"))
    assert can_show(Trial.objects.get()).document["sentence"].split(",")[0] in plain
    tried = page_text(asked.get(f"{address}show/?sd=0.1"))
    assert "This is with what you typed below" in tried
    wrong = asked.get(f"{address}show/?sd=a+lot")
    assert wrong.status_code == 422
    assert "“a lot” is not a number." in page_text(wrong)


def test_other_sizes_of_the_trial_may_be_tried_without_changing_the_plan(asked, address):
    from fairtank.records.models import Trial
    from fairtank.records.selectors.foreseen import Tried, can_show

    trial = Trial.objects.get()

    def smallest(**tried):
        return can_show(trial, Tried(**tried)).document["designs"][0]["difference"]

    assert smallest(per_arm=8) < smallest(per_arm=2) == smallest()
    assert "8 tanks per arm, day 0 to 56" in page_text(asked.get(f"{address}show/?per_arm=8&weeks=8"))
    assert asked.get(f"{address}show/?per_arm=many").status_code == 422
    assert "accepted: 1 to 20" in page_text(asked.get(f"{address}show/?per_arm=99"))
    trial.refresh_from_db()
    assert trial.days == 42
