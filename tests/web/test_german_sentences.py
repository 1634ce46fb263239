"""Sentences that services make, in the language in which a page is asked; the same words as ever where that is English."""

import pytest
from django.utils.translation import override
from tests.web.round_trials import _asked, _taken_in  # noqa: F401 - fixtures
from tests.web.test_round import ROUND, reading, send

GERMAN = {"headers": {"accept-language": "de"}}
CHECKS = (
    ("the zones is 40; accepted: at most 30.", "Zonen: 40; angenommen wird: höchstens 30."),
    ("T9 is not a unit of this trial; accepted: T1, T2.", "T9 ist keine Einheit dieses Versuchs; angenommen wird: T1, T2."),
    ("Its heading says nitrate, and its cells are dates", "Ihre Überschrift sagt nitrate, und ihre Zellen sind Daten"),
    ("77 °C is unusual for temperature, which is 4 to 40 °C in most tanks; 77 °F would be 25 °C",
     "77 °C ist ungewöhnlich für temperature: in den meisten Becken sind es 4 bis 40 °C; 77 °F wären 25 °C"),
    ("Load the page again. Choose the file again.", "Lade die Seite neu. Wähle die Datei noch einmal."),
    ("This work was cut off 3 times at the same place, by the computer or by whoever ended fairtank. The computer may have too little "
     "memory for it: close what else is open and ask for it again; it goes on where it stopped.", "Diese Arbeit wurde 3-mal an derselben"),
)  # fmt: skip


@pytest.mark.parametrize(("english", "german"), CHECKS)
def test_a_finished_sentence_is_told_in_german_and_stays_as_it_is_in_english(english, german):
    from fairtank.web.spoken import spoken

    assert spoken(english) == english
    with override("de"):
        assert spoken(english).startswith(german)
        assert spoken("A sentence nobody wrote of a tank.") == "A sentence nobody wrote of a tank."


def test_a_sentence_that_would_stay_half_english_stays_as_it_is():
    from fairtank.web.spoken import spoken, wholly_spoken

    half = "Every lamp of the hall is as its owner says."
    with override("de"):
        assert wholly_spoken("Load the page again. Choose the file again.") == "Lade die Seite neu. Wähle die Datei noch einmal."
        assert spoken(half) != half, "else this asks nothing"
        assert wholly_spoken(half) == half
    assert wholly_spoken(half) == half


def test_a_refusal_is_put_together_from_its_parts_in_each_language():
    from fairtank.errors import InputError
    from fairtank.web.said import refusal_lines, refusal_told

    error = InputError("the name", "missing", "a name or letter of 1 to 60 characters", "It stands beside each answer.")
    assert refusal_lines(error) == [f"T{str(error)[1:]}"], "with a capital"
    with override("de"):
        assert refusal_told(error) == (
            "Name: nicht angegeben; angenommen wird: ein Name oder Buchstabe mit 1 bis 60 Zeichen. Er steht neben jeder Antwort.")
        assert str(error) == "the name is missing; accepted: a name or letter of 1 to 60 characters. It stands beside each answer."


def test_a_piece_of_a_sentence_is_not_turned_where_it_is_what_somebody_wrote():
    from fairtank.web.spoken import spoken

    with override("de"):
        assert spoken("its heading says unit of measure") == "ihre Überschrift sagt unit of measure"


def test_work_has_its_name_and_its_kept_reason_in_the_language_of_the_page(asked):
    from fairtank.records.models import Job

    reason = "The disk is full. Make room on it and ask for this again; nothing that you recorded is lost."
    job = Job.objects.create(kind="measure", state="failed", reason=reason)
    english, german = (asked.get(f"/jobs/{job.pk}/part/", **more).content.decode() for more in ({}, GERMAN))
    assert "Measuring the photos" in english
    assert reason in english
    assert "Die Fotos werden gemessen" in german
    assert "Die Festplatte ist voll. Schaffe Platz" in german
    job.reason = "Something that no piece says."
    job.save()
    assert f'<div lang="en"><p>{job.reason}' in asked.get(f"/jobs/{job.pk}/part/", **GERMAN).content.decode()


def test_the_round_waits_without_a_connection_and_refuses_in_the_language_of_the_page(asked):
    english, german = (asked.get(ROUND, **more).content.decode() for more in ({}, GERMAN))
    assert "waits for the connection" in english
    assert "wartet auf die Verbindung" in german
    wrong = [reading("abc-1", "many")]
    assert send(asked, wrong).json()["answers"][0]["said"] == (
        "Many is not a number; accepted: a number, or one below detection such as <0.5.")
    asked.defaults["HTTP_ACCEPT_LANGUAGE"] = "de"
    assert send(asked, wrong).json()["answers"][0]["said"] == (
        "Many ist keine Zahl; angenommen wird: eine Zahl, oder ein Wert unter der Nachweisgrenze wie <0.5.")
