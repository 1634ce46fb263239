"""What goes into the glass in the pages: the setup by lines and as a text, the sheet, the files, weighing in."""

import tomllib

import pytest
from tests.web.planned_trials import page_text, planned_trial

TANK = {"key": "box", "length_cm": "45", "width_cm": "28", "height_cm": "36", "glass_mm": "6", "water_line_cm": "32", "rim": "open",
        "dividers": "0"}


@pytest.fixture
def trial(asked):
    """A planned trial of four tanks, each of them the one tank of the shelf."""
    from fairtank.records.models import Tank

    made = planned_trial()
    asked.post("/tanks/new/", TANK)
    tank = Tank.objects.get()
    address = f"{made.get_absolute_url()}build/setup/tanks/"
    answer = asked.post(address, {"mark": mark_of(made), **{f"tank-{unit.key}": tank.pk for unit in made.units.all()}})
    assert answer.status_code == 303
    made.refresh_from_db()
    return made


def mark_of(trial) -> str:
    """What a form carries of the setup that it shows."""
    from fairtank.records.services.shelf_setup import set_up

    return set_up(trial).mark


def document_of(trial) -> dict:
    """The setup of a trial as TOML reads it."""
    return tomllib.loads(trial.documents.get(path="setup.toml").text)


def add(asked, trial, head, **typed):
    """Add a line by its form."""
    return asked.post(f"{trial.get_absolute_url()}build/setup/{head}/0/", {"mark": mark_of(trial), **typed})


def with_soil(asked, trial):
    """A bed of a material of the keeper's list."""
    asked.post("/materials/new/", {"kind": "layer", "key": "clay", "title": "baked clay", "bulk_density_kg_l": "0.9",
                                    "particle_density_kg_l": "1.9", "pack": "9 L"})
    assert add(asked, trial, "layer", material="clay", mass_kg="5").status_code == 303


def test_a_trial_without_a_setup_says_how_to_begin(asked):
    made = planned_trial()
    page = page_text(asked.get(f"{made.get_absolute_url()}build/"))
    assert "Nothing is described yet" in page
    assert "Choose the tanks" in page


def test_the_tanks_of_the_shelf_become_those_of_the_setup_and_know_whom_they_serve(asked, trial):
    sizes = {"length_cm": 45, "width_cm": 28, "height_cm": 36, "glass_mm": 6, "water_line_cm": 32}
    assert document_of(trial)["tank"] == [{"keys": [unit.key for unit in trial.units.all()], **sizes, "rim": "open"}]
    page = page_text(asked.get("/tanks/"))
    assert f"({', '.join(unit.key for unit in trial.units.all())})" in page


def test_the_litres_are_those_of_the_inside(asked, trial):
    # 438 x 268 mm inside, 320 mm of water: 37.56 L
    assert "37.6 L of water" in page_text(asked.get(f"{trial.get_absolute_url()}build/"))


def test_a_line_brings_its_material_out_of_the_list_and_is_changed_and_taken_out(asked, trial):
    with_soil(asked, trial)
    found = document_of(trial)
    assert found["layer"] == [{"material": "clay", "mass_kg": 5}]
    assert found["material"][0]["bulk_density_kg_l"] == 0.9
    line = f"{trial.get_absolute_url()}build/setup/layer/1/"
    assert asked.post(line, {"mark": mark_of(trial), "material": "clay", "mass_kg": "11 lb"}).status_code == 303
    assert document_of(trial)["layer"][0]["mass_kg"] == pytest.approx(11 * 0.45359237)
    assert asked.post(f"{line}take-out/", {"mark": mark_of(trial)}).status_code == 303
    assert "layer" not in document_of(trial)


def test_what_cannot_be_built_says_what_is_missing(asked, trial):
    asked.post("/materials/new/", {"kind": "layer", "key": "clay", "bulk_density_kg_l": "0.9"})
    add(asked, trial, "layer", material="clay", mass_kg="5")
    for page in ("", "weigh/", f"weigh/{trial.units.first().key}/"):
        assert "The density of the grains of clay is not known" in page_text(asked.get(f"{trial.get_absolute_url()}build/{page}"))


def test_a_key_that_is_not_known_stays_where_it_stands(asked, trial):
    with_soil(asked, trial)
    text = trial.documents.get(path="setup.toml").text.replace("mass_kg = 5", 'mass_kg = 5\nwashed_with = "rain"')
    assert asked.post(f"{trial.get_absolute_url()}build/setup/text/", {"text": text}).status_code == 303
    asked.post(f"{trial.get_absolute_url()}build/setup/layer/1/", {"mark": mark_of(trial), "material": "clay", "mass_kg": "6"})
    assert document_of(trial)["layer"] == [{"material": "clay", "mass_kg": 6, "washed_with": "rain"}]


def test_a_line_is_refused_at_its_field_and_keeps_what_was_typed(asked, trial):
    with_soil(asked, trial)
    before = trial.documents.get(path="setup.toml").text
    page = add(asked, trial, "layer", material="clay", mass_kg="a handful")
    assert page.status_code == 422
    text = page_text(page)
    assert 'id="wrong-mass_kg"' in text
    assert 'value="a handful"' in text
    assert trial.documents.get(path="setup.toml").text == before


def test_a_form_of_an_older_setup_changes_nothing(asked, trial):
    old = mark_of(trial)
    with_soil(asked, trial)
    page = asked.post(f"{trial.get_absolute_url()}build/setup/layer/1/", {"mark": old, "material": "clay", "mass_kg": "1"})
    assert page.status_code == 422
    assert "changed since this page was opened" in page_text(page)
    assert document_of(trial)["layer"][0]["mass_kg"] == 5


def test_a_text_is_refused_with_every_problem(asked, trial):
    page = asked.post(f"{trial.get_absolute_url()}build/setup/text/", {"text": '[[tank]]\nkey = "T1"\nlength_cm = 4500\nrim = "loose"\n'})
    text = page_text(page)
    assert page.status_code == 422
    for place in ("length_cm", "rim", "width_cm", "glass_mm"):
        assert place in text
    assert "4500" in text


def test_a_build_that_tells_the_arms_is_not_shown_unasked_where_photos_are_scored_blind(asked, trial):
    text = trial.documents.get(path="trial.toml").text
    trial.documents.filter(path="trial.toml").update(content=text.replace("drawn = false", "drawn = true").encode())
    with_soil(asked, trial)
    address = f"{trial.get_absolute_url()}build/"
    assert "What each tank receives" in page_text(asked.get(address))
    add(asked, trial, "device", key="pump", kind="pump", power_w="5", arms=["C"])
    assert "What each tank receives" not in page_text(asked.get(address))
    assert "What each tank receives" in page_text(asked.get(f"{address}?arms=shown"))


def test_a_sealed_plan_asks_why(asked, trial):
    from django.utils import timezone

    trial.sealed_at = timezone.now()
    trial.save()
    text = trial.documents.get(path="setup.toml").text + "\n[money]\ncurrency = \"shells\"\n"
    page = asked.post(f"{trial.get_absolute_url()}build/setup/text/", {"text": text})
    assert page.status_code == 422
    assert "say why" in page_text(page)


def test_weighing_in_tells_how_far_it_is_and_what_is_unequal(asked, trial):
    with_soil(asked, trial)
    address, keys = f"{trial.get_absolute_url()}build/weigh/", [unit.key for unit in trial.units.all()]
    for key, weighed in ((keys[0], "5.01"), (keys[1], "5,4")):
        page = asked.post(f"{address}{key}/", {"what-1": "baked clay", "was-1": "", "weighed-1": weighed, "batch-1": "B7", "note-1": ""})
        assert page.status_code == 303
    text = page_text(asked.get(address))
    assert "2 of 8 weighed" in text
    assert f"{keys[1]} has 5.4 kg, {keys[0]} has 5.01 kg" in text
    own = page_text(asked.get(f"{address}{keys[1]}/"))
    assert "0.4 kg more than planned" in own
    assert 'value="5.4"' in own
    assert 'inputmode="decimal"' in own


def test_the_files_are_those_of_the_command(asked, trial):
    with_soil(asked, trial)
    address = f"{trial.get_absolute_url()}build/files/"
    keys = [unit.key for unit in trial.units.all()]
    asked.post(f"{trial.get_absolute_url()}build/weigh/{keys[0]}/", {"what-1": "baked clay", "was-1": "", "weighed-1": "5.01"})
    table = asked.get(f"{address}build.csv").content.decode()
    assert f"{keys[0]},baked clay,bed,5,5.01,kg," in table
    assert f"{keys[1]},baked clay,bed,5,,kg," in table
    assert asked.get(f"{address}build-sheets.pdf").content.startswith(b"%PDF")
    assert asked.get(f"{address}shopping.csv").content.startswith(b"material,title,needed")
    assert asked.get(f"{address}secret.txt").status_code == 404


def test_pages_ask_as_few_questions_of_the_database_however_much_was_weighed(asked, trial):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.models import BuildLine

    with_soil(asked, trial)

    def queries(page):
        with CaptureQueriesContext(connection) as asks:
            assert asked.get(f"{trial.get_absolute_url()}build/{page}").status_code == 200
        return len(asks)

    queries("")  # what was told is shown once
    few = {page: queries(page) for page in ("", "weigh/", "setup/")}
    unit = trial.units.first()
    BuildLine.objects.bulk_create(BuildLine(trial=trial, unit=unit, material=f"stone {number}", weighed=1.0, unit_of_measure="kg")
                                  for number in range(60))
    assert {page: queries(page) for page in few} == few
    assert max(few.values()) <= 8


def test_what_is_wrong_with_a_line_is_said_with_the_words_of_its_fields(asked, trial):
    with_soil(asked, trial)
    page = page_text(add(asked, trial, "layer", material="clay", mass_kg="5", depth_cm="4"))
    assert "“Mass in each tank” stands there too" in page
    assert "mass_kg per unit" not in page


def test_photo_cards_are_printed_as_often_as_asked_and_each_tank_keeps_its_own(asked, trial):
    from fairtank.records.models import Card

    address = f"{trial.get_absolute_url()}build/cards/"
    answer = asked.post(address)
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    kept = list(Card.objects.filter(trial=trial).values_list("unit__key", "card", "code"))
    assert [unit for unit, _, _ in kept] == [unit.key for unit in trial.units.all()]
    trial.refresh_from_db()
    before = trial.revision
    assert asked.post(address).content == answer.content
    assert list(Card.objects.filter(trial=trial).values_list("unit__key", "card", "code")) == kept
    trial.refresh_from_db()
    assert trial.revision == before, "printing once more changes nothing"


def test_the_sheet_leads_on_to_the_draw(asked, trial):
    with_soil(asked, trial)
    page = page_text(asked.get(f"{trial.get_absolute_url()}build/"))
    assert "Go to the draw" in page
    assert "with some more for what is lost at building" in page
