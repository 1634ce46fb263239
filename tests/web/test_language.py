"""The pages in German: by what the browser asks for, then by what was chosen; numbers with a point, and English said to be English."""

import pytest
from tests.web.planned_trials import page_text, planned_trial

GERMAN = {"accept-language": "de-AT,de;q=0.9,en;q=0.5"}


def test_the_first_visit_is_in_the_language_of_the_browser_and_a_choice_wins(asked):
    first = asked.get("/settings/", headers=GERMAN)
    assert (first.headers["Content-Language"], '<html lang="de"' in page_text(first)) == ("de", True)
    assert {"Accept-Language", "Cookie"} <= set(first.headers["Vary"].split(", "))
    assert "Maßeinheiten" in page_text(first)
    asked.post("/settings/look/", {"language": "en"}, headers=GERMAN)
    assert '<html lang="en"' in page_text(asked.get("/settings/", headers=GERMAN))
    assert '<html lang="en"' in page_text(asked.get("/settings/", headers={"accept-language": "fr"}))


def test_a_sentence_told_once_and_a_refusal_are_in_the_language_of_the_page(asked):
    asked.post("/settings/keep/", {"keeper_name": "Ada"}, headers=GERMAN)
    assert "Gespeichert." in page_text(asked.get("/settings/", headers=GERMAN))
    assert "An dieser Adresse ist nichts" in page_text(asked.get("/no-such-place/", headers=GERMAN))
    assert "Diesen Versuch gibt es im Regal nicht." in page_text(asked.get("/trials/none/", headers=GERMAN))


@pytest.mark.parametrize(("sent", "leads_to"), [
    ({"language": "de", "back": "/login/?next=/x"}, "/login/?next=/x"), ({"language": "de", "back": "//elsewhere.example/"}, "/"),
    ({"language": "de", "back": "https://elsewhere.example/"}, "/"), ({"language": "xx"}, "/"),
])
def test_a_language_can_be_chosen_before_a_login_and_leads_nowhere_else(asked, sent, leads_to):
    answer = asked.post("/language/", sent)
    assert (answer.status_code, answer.headers["Location"]) == (303, leads_to)
    assert ("django_language" in answer.cookies) == (sent["language"] == "de")


def test_numbers_are_shown_and_stand_in_fields_with_a_point_and_may_be_typed_with_a_comma(asked):
    from django.template import Context, Template
    from django.utils.translation import override

    from fairtank.records.models import Tank

    with override("de"):
        shown = Template("{{ n }} {{ n|floatformat:2 }} {{ many }} {{ size|filesizeformat }}")
        told = shown.render(Context({"n": 6.5, "many": 12345, "size": 1600}))
    assert told.replace("\N{NO-BREAK SPACE}", " ") == "6.5 6.50 12345 1.6 KB"
    typed = {"key": "T1", "length_cm": "60,5", "width_cm": "30", "height_cm": "36", "glass_mm": "6", "water_line_cm": "33", "rim": "open"}
    asked.post("/tanks/new/", typed, headers=GERMAN)
    tank = Tank.objects.get()
    assert tank.length_mm == 605
    assert 'value="60.5"' in page_text(asked.get(f"/tanks/{tank.pk}/", headers=GERMAN))


def test_a_factor_and_the_amount_of_a_chore_may_be_typed_with_a_comma(asked):
    from fairtank.records.models import FactorValue

    address = planned_trial().get_absolute_url()
    assert asked.post(f"{address}equal/lamp_age/", {"value-T1": "12,5", "unit": "months"}, headers=GERMAN).status_code == 303
    assert list(FactorValue.objects.filter(factor="lamp_age").values_list("value", flat=True)) == ["12.5"]
    chore = {"title": "Iron", "kind": "dose", "every": "weekly", "at": "18:00", "minutes": "2,5", "amount": "1,5", "unit_of_measure": "mL"}
    assert asked.post(f"{address}schedule/chore/", chore, headers=GERMAN).status_code == 303
    assert "1.5 mL" in page_text(asked.get(f"{address}schedule/", headers=GERMAN))


def test_sentences_that_stay_english_say_so_on_a_german_page_alone(asked):
    address = planned_trial().get_absolute_url()
    german = page_text(asked.get(f"{address}even/", headers=GERMAN))
    assert '<p class="verdict" lang="en">' in german
    assert "Was unterscheidet die Arme sonst noch?" in german
    assert 'lang="en">' not in page_text(asked.get(f"{address}even/")).replace('<html lang="en">', "")
    bench = page_text(asked.get("/bench/carbonate", headers=GERMAN))
    assert '<h1 lang="en">' in bench
    assert "Ausrechnen" in bench


def test_charts_that_are_held_do_not_mix_languages(shelf, monkeypatch):
    from types import SimpleNamespace

    from django.utils.translation import override

    from fairtank.web import figures

    chart = SimpleNamespace(key="one", title="t", description="d", caption="", head=[], cells=[], drawn={},
                            table=SimpleNamespace(rows=[1, 2], caption="c"))
    monkeypatch.setattr(figures, "charts_of", lambda result, measure: [chart])
    result = SimpleNamespace(pk=0, made_at=None, digest="of a test")
    told = {}
    for language in ("en", "de", "en"):
        with override(language):
            told[language] = str(figures.figures_of(result)["one"])
    assert "The same as a table: 2 rows" in told["en"]
    assert "Dasselbe als Tabelle: 2 Zeilen" in told["de"]
