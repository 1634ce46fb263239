"""How the tanks may go: asked for by a button, the sentence first, charts with their tables, what was assumed, what it cannot say."""

import html
import re

import pytest
from tests.web.judged_trials import shelved, text_of


def page_of(asked, trial, more=""):
    answer = asked.get(f"/trials/{trial.slug}/forecast/{more}")
    assert answer.status_code == 200
    return html.unescape(text_of(answer))


@pytest.fixture
def foreseen(shelf, tmp_path, monkeypatch):
    """A trial whose forecast is worked out of few courses over few days: what is told of them is tested elsewhere."""
    from fairtank.records.jobs import forecast
    from fairtank.records.services.forecasting import trial_forecast

    trial = shelved(tmp_path / "glasses", values=False, day=0)
    told = trial_forecast(root=tmp_path / "glasses", days=20, members=20, workers=1)
    monkeypatch.setattr(forecast, "trial_forecast", lambda **_given: told)
    return trial


def test_a_button_has_it_worked_out_and_the_sentence_stands_before_the_pictures(asked, foreseen):
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.models import Job

    assert "not a promise" in page_of(asked, foreseen)
    there = f"/trials/{foreseen.slug}/forecast/"
    answer = asked.post(f"{there}ask/", {"days": "20", "soil": "rich"})
    assert (answer.status_code, answer.headers["Location"]) == (303, there)
    assert Job.objects.get(trial=foreseen, kind="forecast").given == {"days": 20, "soil": "rich"}
    assert "forecast/ask/" not in page_of(asked, foreseen), "it is not asked for twice while it waits"
    assert work_once()
    page = page_of(asked, foreseen)
    parts = ('class="verdict"', 'data-chart="forecast-total-ammonia"', "What it says", "What was assumed", "What it cannot say")
    places = [page.index(part) for part in parts]
    assert places == sorted(places)
    assert re.search(r'<p class="verdict">[^<]*[Nn]o (fauna|day for fauna)', page)
    assert len(re.findall(r'<figure data-chart="forecast-', page)) == len(re.findall("the bands, week by week</caption>", page)) == 6
    assert "--" not in re.sub(r"<script.*?</script>|<!--.*?-->", "", page, flags=re.DOTALL), "no option of a command"
    assert 'value="20"' in page[page.index('id="days"'):]
    assert 'value="rich" selected' in page


@pytest.mark.parametrize("days", ["", "6", "366", "many", "12345678"])
def test_days_that_cannot_be_looked_at_are_refused_in_a_sentence(asked, shelf, tmp_path, days):
    from fairtank.records.models import Job

    trial = shelved(tmp_path / "glasses", values=False, day=0)
    answer = asked.post(f"/trials/{trial.slug}/forecast/ask/", {"days": days, "soil": "rich"})
    assert answer.status_code == 422
    assert "a whole number from 7 to 365" in text_of(answer)
    assert not Job.objects.exists()


def test_while_people_score_blind_no_reading_is_told_by_arm(asked, shelf, tmp_path):
    from fairtank.records.models import Seat

    trial = shelved(tmp_path / "blind", blinded=True)
    Seat.objects.create(trial=trial, measure="algae_score", way="score", rater="Ines", tasks=[1, 2], seed=1)
    assert "is not shown yet" in page_of(asked, trial)
    assert "is not shown yet" not in page_of(asked, trial, "?arms=shown")


def test_the_line_to_plan_with_leads_to_a_page():
    from fairtank.web.said import in_pages

    told = in_pages("To plan with it: fairtank detect FOLDER --sd 0.32, and once more with --sd 0.5.")
    assert told == "To plan with it, give 0.32 as the spread of like tanks on the page “What it can show”, and once more 0.5."
