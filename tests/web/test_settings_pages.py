"""Settings in the pages: units that change what is shown and never what is stored, this browser's look, backups, what was taken away."""

import pytest
from tests.web.planned_trials import page_text

TANK = {"key": "T1", "length_cm": "60", "width_cm": "30", "height_cm": "36", "glass_mm": "6", "water_line_cm": "33", "rim": "open",
        "dividers": "0"}


def test_every_part_of_the_page_is_there(asked):
    text = page_text(asked.get("/settings/"))
    for words in ("Your name", "Units of measure", "Temperature", "Language", "Paper", "Keep the place", "Backup", "Where your data lie",
                  "Versions"):
        assert words in text


def test_us_units_change_what_is_shown_and_typed_and_not_what_is_stored(asked):
    from fairtank.records.models import Tank

    asked.post("/tanks/new/", TANK)
    before = Tank.objects.values().get()
    assert asked.post("/settings/keep/", {"measures": "us", "temperature": "degF"}).status_code == 303
    tank = Tank.objects.get()
    text = page_text(asked.get(f"/tanks/{tank.pk}/"))
    assert 'value="23.62"' in text  # 60 cm in inches
    assert "14.75 US gal" in text or "14.77 US gal" in text  # 55.9 L, to three digits
    typed = {"key": "T1", "length_cm": "23.62", "width_cm": "11.81", "height_cm": "14.17", "glass_mm": "0.2362", "water_line_cm": "12.99",
             "rim": "open", "dividers": "0"}
    asked.post(f"/tanks/{tank.pk}/", typed)
    assert Tank.objects.values().get() == before
    asked.post(f"/tanks/{tank.pk}/", {**typed, "length_cm": "24"})
    assert Tank.objects.get().length_mm == pytest.approx(609.6)


def test_a_name_that_is_too_long_is_refused_and_stays_typed(asked):
    page = asked.post("/settings/keep/", {"keeper_name": "x" * 80})
    assert page.status_code == 422
    assert f'value="{"x" * 80}"' in page_text(page)


def test_language_and_paper_are_kept_by_the_browser(asked):
    answer = asked.post("/settings/look/", {"theme": "dark", "language": "de"})
    assert answer.status_code == 303
    assert (answer.cookies["theme"].value, answer.cookies["django_language"].value) == ("dark", "de")
    page = asked.get("/settings/").content.decode()
    assert 'data-theme="dark"' in page
    assert 'name="language" value="de" checked' in page
    assert asked.post("/settings/look/", {"theme": "", "language": "en"}).cookies["theme"].value == ""


def test_a_backup_is_asked_for_once_and_given_out(asked, shelf):
    from fairtank.records.models import Job

    for _ in range(2):
        assert asked.post("/settings/job/backup/").status_code == 303
    assert Job.objects.filter(kind="backup").count() == 1
    (shelf / "backups").mkdir()
    (shelf / "backups" / "one.zip").write_bytes(b"zip")
    assert "one.zip" in page_text(asked.get("/settings/"))
    assert b"".join(asked.get("/settings/backups/one.zip").streaming_content) == b"zip"
    assert asked.get("/settings/backups/..%2F.secret").status_code == 404
    assert asked.post("/settings/job/judge/").status_code == 404


def test_what_was_taken_away_is_listed_and_comes_back(asked):
    from fairtank.records.models import Tank

    asked.post("/tanks/new/", TANK)
    tank = Tank.objects.get()
    asked.post(f"/tanks/{tank.pk}/take-away/")
    assert "T1" in page_text(asked.get("/settings/taken-away/"))
    assert asked.post(f"/settings/taken-away/tank/{tank.pk}/").status_code == 303
    assert Tank.objects.filter(pk=tank.pk).exists()
    assert asked.post("/settings/taken-away/session/1/").status_code == 404
