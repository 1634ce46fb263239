"""The words page: texts to copy and to keep, a text of the keeper's with its flags, and nothing before the trial was read."""

import html
import re

import pytest
from tests.web.judged_trials import UNITS, shelved, text_of, worked_out


@pytest.fixture
def over(shelf, tmp_path):
    """A trial that was read."""
    trial = shelved(tmp_path / "glasses")
    worked_out(trial, "judge")
    return trial


@pytest.fixture
def told(shelf, tmp_path):
    """A trial with its words; putting them together judges it too."""
    trial = shelved(tmp_path / "glasses")
    worked_out(trial, "words")
    return trial


def page_of(asked, trial, *, status=200):
    answer = asked.get(f"/trials/{trial.slug}/words/")
    assert answer.status_code == status
    return text_of(answer)


def test_a_button_puts_them_together_with_the_address_of_the_data(asked, over):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job
    from fairtank.records.selectors.results import answer_of

    assert "Put the words together" in page_of(asked, over)
    answer = asked.post(f"/trials/{over.slug}/words/ask/", {"kit_link": " https://example.org/kit "})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/trials/{over.slug}/words/")
    assert Job.objects.get(kind="words").given == {"kit_link": "https://example.org/kit"}
    assert work_once()
    page = html.unescape(page_of(asked, over))
    assert "All data, to check or to repeat it (the kit): https://example.org/kit" in page
    assert set(answer_of(over, "words").result.content["texts"]) == {"description.txt", "outline.md", "alt-texts.csv"}


def test_each_text_can_be_copied_and_kept_as_the_file_that_the_command_writes(asked, told):
    page = page_of(asked, told)
    copied = re.findall(r'data-copies="([^"]*)"', page)
    assert copied
    assert all(f'<textarea class="to-copy" id="{key}"' in page for key in copied)
    answer = asked.get(f"/trials/{told.slug}/words/description.txt")
    assert answer.status_code == 200
    assert "attachment" in answer.headers["Content-Disposition"]
    assert html.escape(text_of(answer).splitlines()[0]) in page
    assert asked.get(f"/trials/{told.slug}/words/other.txt").status_code == 404


def test_a_text_is_marked_where_it_claims_too_much_and_one_that_does_not_passes(asked, told):
    text = "Six <b>tanks</b>.\r\nThis proves that two glasses work!"
    answer = asked.post(f"/trials/{told.slug}/words/check/", {"text": text})
    assert answer.status_code == 200
    page = text_of(answer)
    assert 'Six &lt;b&gt;tanks&lt;/b&gt;.\nThis <mark>proves<sup><a href="#flag-1">1</a></sup></mark>' in page
    assert '<li id="flag-1"><p><q lang="">proves</q></p>' in page
    assert "May be said:" in page
    assert f">{html.escape(text)}</textarea>" in page, "what was typed stays in the box"
    passes = text_of(asked.post(f"/trials/{told.slug}/words/check/", {"text": "We asked whether a second glass slows the algae."}))
    assert "Nothing in this text says more than the finding carries" in passes
    assert "<mark>" not in passes
    assert "There is no text to check." in text_of(asked.post(f"/trials/{told.slug}/words/check/", {"text": " "}))
    refused = asked.post(f"/trials/{told.slug}/words/check/", {"text": "x" * 50_001})
    assert refused.status_code == 422
    assert "at most 50000" in text_of(refused)


def test_before_the_trial_was_read_nothing_is_told_and_nothing_is_checked(asked, shelf, tmp_path):
    running = shelved(tmp_path / "running", day=10, until=9)
    assert "First the finding has to be worked out" in page_of(asked, running)
    worked_out(running, "judge")
    page = page_of(asked, running)
    assert "Words are written when the trial was read" in page
    assert "Put the words together" not in page
    for answer in (asked.post(f"/trials/{running.slug}/words/check/", {"text": "It works."}),
                   asked.post(f"/trials/{running.slug}/words/ask/"), asked.get(f"/trials/{running.slug}/words/description.txt")):
        assert answer.status_code == 403
        assert not any(f">{unit}<" in text_of(answer) for unit in UNITS)
