"""The lot in the pages: told before it is drawn, drawn once, again only with a reason, and no arm where somebody scores blind."""

import pytest
from tests.web.planned_trials import page_text, planned_trial


@pytest.fixture
def address(asked):
    """Of a planned trial's draw."""
    return f"{planned_trial().get_absolute_url()}draw/"


def test_before_the_draw_the_page_tells_how_many_draws_are_possible(asked, address):
    page = page_text(asked.get(address))
    assert "There are 6 possible draws of the arms, all equally likely." in page
    assert "It will be drawn without blocks, with every arm equally often in all." in page


def test_a_draw_needs_its_tick_and_its_seed_must_be_digits(asked, address):
    from fairtank.records.models import Document

    assert "Tick the box" in page_text(asked.post(address, {"seed": "5"}))
    wrong = asked.post(address, {"seed": "lucky", "sure": "yes"})
    assert wrong.status_code == 422
    assert 'value="lucky"' in page_text(wrong)
    assert not Document.objects.filter(path="draw.json").exists()


def test_the_pages_draw_what_the_command_draws(asked, address, tmp_path):
    from fairtank.records.models import Trial
    from fairtank.records.selectors.trial_state import papers_of
    from fairtank.records.services.drawing import DrawRequest, trial_draw
    from fairtank.records.services.exporting import trial_export

    trial = Trial.objects.get()
    root = trial_export(trial=trial, root=tmp_path / "same")
    by_command = trial_draw(root=root, request=DrawRequest(seed=482915), out=tmp_path / "out", list_to=tmp_path / "list")
    assert asked.post(address, {"seed": "482 915", "sure": "yes", "witness": "a friend"}).status_code == 303
    last = papers_of(trial).draws[-1]
    assert (last.arms, last.witness) == (by_command.draw.arms, "a friend")
    assert asked.get(f"{address}papers/sealed-list.csv").content == (tmp_path / "list" / "sealed-list.csv").read_bytes()


def test_it_is_drawn_again_only_with_a_reason_and_both_draws_are_told(asked, address):
    asked.post(address, {"seed": "1", "sure": "yes"})
    refused = asked.post(address, {"seed": "2", "sure": "yes"})
    assert refused.status_code == 422
    assert "only with a reason" in page_text(refused)
    assert "--" not in page_text(refused).split('role="alert"')[1].split("</p>")[0]
    asked.post(address, {"seed": "2", "sure": "yes", "reason": "a tank leaks"})
    page = page_text(asked.get(address))
    assert "The lot was drawn 2 times" in page
    assert "seed 1" in page


def test_a_draw_that_is_sent_twice_changes_nothing(asked, address):
    from fairtank.records.models import Change

    asked.post(address, {"seed": "1", "sure": "yes"})
    count = Change.objects.count()
    assert asked.post(address, {"seed": "1", "sure": "yes"}).status_code == 303
    assert Change.objects.count() == count


def test_no_arm_is_told_to_whoever_scores(asked, address):
    asked.post(address, {"seed": "1", "sure": "yes"})
    assert 'class="arm"' not in page_text(asked.get(address))
    assert page_text(asked.get(f"{address}?arms=shown")).count('class="arm"') == 4
    codes = page_text(asked.get(f"{address}codes/"))
    assert codes.count("<strong>") == 4
    assert "feed" not in codes.split('<ol class="codes">')[1]


def test_papers_are_there_once_it_was_drawn(asked, address):
    assert asked.get(f"{address}papers/scoring-sheet.pdf").status_code == 404
    asked.post(address, {"seed": "1", "sure": "yes"})
    sheet = asked.get(f"{address}papers/scoring-sheet.pdf")
    assert sheet.content.startswith(b"%PDF")
    assert asked.get(f"{address}papers/seal.json").status_code == 404
