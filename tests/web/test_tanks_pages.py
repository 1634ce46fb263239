"""Tanks in the pages: written down, looked at while typed, their history, taken away and brought back."""

import pytest
from tests.web.planned_trials import page_text

TANK = {"key": "T1", "title": "left one", "length_cm": "60", "width_cm": "30", "height_cm": "36", "glass_mm": "6", "water_line_cm": "33",
        "rim": "open", "dividers": "0"}


@pytest.fixture
def tank(asked):
    """One that is written down."""
    from fairtank.records.models import Tank

    assert asked.post("/tanks/new/", TANK).status_code == 303
    return Tank.objects.get()


def test_an_empty_list_teaches(asked):
    assert "Measure one with a tape" in page_text(asked.get("/tanks/"))


def test_a_tank_tells_its_litres_and_the_usual_caution(asked, tank):
    # 588 x 288 mm inside, 330 mm of water: 55.88 L
    text = page_text(asked.get(f"/tanks/{tank.pk}/"))
    assert "55.9 L to the water line" in text
    assert "glazier or structural professional" in text
    assert "<svg" in text


def test_what_is_typed_is_told_before_it_is_kept(asked):
    from fairtank.records.models import Tank

    part = page_text(asked.post("/tanks/look/", {**TANK, "length_cm": "30"}))
    assert "27.4 L" in part  # 288 x 288 x 330 mm: 27.37 L
    assert "stand here" in page_text(asked.post("/tanks/look/", {"length_cm": "30"}))
    assert "55.9 L" in page_text(asked.post("/tanks/new/", {**TANK, "only": "look"}))
    assert not Tank.objects.exists()


def test_what_cannot_be_is_refused_at_its_field(asked):
    page = asked.post("/tanks/new/", {**TANK, "water_line_cm": "40", "glass_mm": "thin"})
    text = page_text(page)
    assert page.status_code == 422
    assert 'id="wrong-glass_mm"' in text
    assert 'value="thin"' in text
    high = page_text(asked.post("/tanks/new/", {**TANK, "water_line_cm": "40"}))
    assert 'id="wrong-water_line_cm"' in high
    assert "above the rim" in high


def test_its_history_is_kept_by_day(asked, tank):
    assert asked.post(f"/tanks/{tank.pk}/note/", {"at": "2026-03-01", "said": "glued anew"}).status_code == 303
    assert "2026-03-01</span> glued anew" in page_text(asked.get(f"/tanks/{tank.pk}/"))
    refused = asked.post(f"/tanks/{tank.pk}/note/", {"at": "tomorrow", "said": "moved"})
    assert refused.status_code == 422
    assert ">moved</textarea>" in page_text(refused)


def test_it_is_taken_away_and_brought_back(asked, tank):
    asked.post(f"/tanks/{tank.pk}/take-away/")
    assert asked.get(f"/tanks/{tank.pk}/").status_code == 404
    assert "Bring left one back" in page_text(asked.get("/tanks/"))
    asked.post(f"/tanks/taken-away/{tank.pk}/")
    assert asked.get(f"/tanks/{tank.pk}/").status_code == 200


def test_the_list_asks_as_few_questions_of_the_database_however_many_tanks_there_are(asked, tank):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.models import Tank

    def queries():
        with CaptureQueriesContext(connection) as asks:
            asked.get("/tanks/")
        return len(asks)

    queries()  # what was told is shown once
    few = queries()
    sizes = {name: getattr(tank, name) for name in ("length_mm", "width_mm", "height_mm", "glass_mm", "water_mm")}
    Tank.objects.bulk_create(Tank(key=f"B{number}", **sizes) for number in range(30))
    assert queries() == few <= 8
