"""Today: what all running trials ask for, in words; a constant number of queries."""

from tests.web.round_trials import NOW, _asked, _taken_in, fill, queries  # noqa: F401 - fixtures


def test_the_due_rounds_of_all_trials_stand_there_and_what_is_overdue_in_words(asked):
    page = asked.get("/today/").content.decode()
    assert page.count("Begin the round") == 2
    assert "<strong>Overdue:</strong> Wipe the front glass, was due 2 days ago" in page
    assert "Photos of all tanks" in page


def test_what_is_done_is_not_asked_for_again(asked):
    fill("small")
    fill("blind")
    page = asked.get("/today/").content.decode()
    assert "Photos of all tanks" not in page
    assert "Feed potassium" not in page
    assert "Water tests" in page, "readings of nitrate are no test of temperature and pH"


def test_queries_do_not_grow_with_trials_or_rows(asked):
    before = queries(asked, "/today/")
    fill("small")
    from fairtank.records.models import Trial

    Trial.objects.filter(slug="blind").update(planned=False)
    # The keeper's units are looked up where an amount is told; the dose is done now, so that none is.
    assert queries(asked, "/today/") == before - 1
    assert before <= 8


def test_an_empty_page_teaches(asked):
    from fairtank.records.models import Trial

    Trial.objects.update(planned=False)
    assert "so nothing is due" in asked.get("/today/").content.decode()


def test_a_trial_that_is_over_or_not_begun_asks_for_nothing(asked):
    from datetime import timedelta

    from fairtank.records.models import Trial

    Trial.objects.filter(slug="small").update(start=NOW.date() + timedelta(days=2))
    Trial.objects.filter(slug="blind").update(start=NOW.date() - timedelta(days=90))
    page = asked.get("/today/").content.decode()
    assert "starts in 2 days" in page
    assert "Begin the round" not in page
