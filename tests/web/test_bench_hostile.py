"""The bench and what nobody should send it: text that looks like a page or a command, too much of it, and things at random."""

import re
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.web.bench_pages import CARBONATE, OXYGEN_CLAIM, Sheet

from fairtank import registry
from fairtank.web.fields import form_of

KEYS = [entry.key for entry in registry.entries("calculator")]


def test_what_was_typed_is_text_and_nothing_else(sheet):
    nasty = '"><script>alert(1)</script><svg onload=alert(1) {{ 7*7 }}'
    page = sheet("oxygen_claim", dict.fromkeys((*OXYGEN_CLAIM, "number-surface", "range-from"), nasty))
    assert "<script>alert" not in page.page
    assert "<svg onload" not in page.page
    assert "{{ 7*7 }}" in page.page
    assert page.open == []


@pytest.mark.parametrize("text", ["$(touch x)", "`touch x`", "6.6; touch x", '6.6" ; touch x', "6.6\ntouch x", "6.6 && x", "%PATH%"])
def test_no_command_is_made_of_what_no_question_is_made_of(sheet, text):
    page = sheet("carbonate", {**CARBONATE, "ph": text})
    assert page.commands == []
    assert page.refusals


def test_more_fields_than_there_can_be_are_turned_away(bench):
    answer = bench.get("/bench/carbonate", {f"x{number}": "1" for number in range(5200)})
    assert answer.status_code == 404
    assert "The address names more than five thousand fields." in answer.content.decode()


def test_unknown_fields_are_passed_over(sheet):
    assert sheet("carbonate", {"nothing": "1", "__class__": "2", "error-": "3"}).words == sheet("carbonate").words


def test_of_a_field_that_comes_twice_the_last_counts(bench):
    page = Sheet(bench.get("/bench/oxygen_saturation_mg_l?temp_c=5&temp_c=20").content.decode())
    assert "9.09 mg/L" in page.words


def test_the_bench_only_answers_to_being_read(shelf, bench):
    for address in ("/bench/", "/bench/carbonate"):
        assert bench.post(address).status_code == 405
        assert bench.head(address).status_code == 200


@pytest.mark.parametrize("address", ["/bench/", "/bench/carbonate"])
def test_a_form_may_be_sent_to_these_pages_only_and_nothing_runs_but_their_own_files(bench, address):
    parts = dict(part.split(" ", 1) for part in bench.get(address).headers["Content-Security-Policy"].split("; "))
    assert parts["default-src"] == "'none'"
    assert parts["form-action"] in ("'self'", "'none'")
    assert parts.get("script-src", "'self'") == "'self'"
    assert not any("unsafe" in part for part in parts.values())


PARTS = [*"0123456789.,:;±%- ", "6.6", "e9", "1e308", "nan", "inf", "degF", "US gal", "mg/L", "sd", "exact", "still", "KNO3", "<b>",
         "é" * 40, "\x00", "\u202e", "−", "٣", "\ud7ff", "\n"]
TEXT = st.lists(st.sampled_from(PARTS), max_size=8).map("".join)


@settings(max_examples=100, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_asked_is_answered_or_refused_in_sentences(bench, sheet, data):
    entry = registry.entry("calculator", data.draw(st.sampled_from(KEYS)))
    names = [f"{before}{own.name}" for own in entry.inputs for before in ("", "", "", "error-", "number-")]
    names += ["range-along", "range-from", "range-to", "range-step", "range-part", "other"]
    values = st.one_of(TEXT, st.floats().map(str), st.sampled_from([own.name for own in entry.inputs]))
    changed = data.draw(st.dictionaries(st.sampled_from(names), values, min_size=1, max_size=3))
    page = sheet(entry.key, {**form_of(entry, {}).typed, **changed})
    assert page.open == []
    assert ("No answer yet" in page.words) is (not page.commands)
    assert all(text.rstrip()[-1] in ".?!" or re.search(r"\d$", text) for text in page.refusals)


def test_a_text_of_spaces_and_signs_takes_no_time(sheet):
    begun = time.process_time()
    for text in (" " * 19_000, "+ " * 9_000, "1 sd " * 3_000, "exact " * 3_000, ",;" * 9_000):
        sheet("carbonate", {**CARBONATE, "ph": text})
        sheet("area_from_matrix", {"matrix": text, "areas": text})
    assert time.process_time() - begun < 5
