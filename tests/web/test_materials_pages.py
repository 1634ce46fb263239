"""Materials in the pages: by kind, with the fields of a kind alone, and out of a trial's setup."""

from tests.web.planned_trials import page_text, planned_trial


def test_the_form_of_a_kind_has_the_fields_that_it_needs(asked):
    soil, salt = page_text(asked.get("/materials/new/?kind=layer")), page_text(asked.get("/materials/new/?kind=salt"))
    assert 'name="bulk_density_kg_l"' in soil
    assert 'name="formula"' not in soil
    assert 'name="formula"' in salt
    assert 'name="bulk_density_kg_l"' not in salt
    assert "Of which kind is it?" in page_text(asked.get("/materials/new/"))


def test_a_material_is_kept_with_its_stock_and_changed_to_the_digit(asked):
    from fairtank.records.models import Material

    typed = {"kind": "liquid", "key": "feed", "title": "feed", "label_mg_ml": "K = 10, Fe = 0.3", "pack": "500 mL", "owned": "120 mL",
             "price": "9", "waste_fraction": "5"}
    assert asked.post("/materials/new/", typed).status_code == 303
    row = Material.objects.get()
    assert row.label_mg_ml == [["K", 10], ["Fe", 0.3]]
    assert (row.pack_size, row.pack_unit, row.owned, row.waste_fraction) == (500, "mL", 120, 0.05)
    form = page_text(asked.get(f"/materials/{row.pk}/"))
    assert 'value="120 mL"' in form
    assert 'value="K = 10, Fe = 0.3"' in form
    assert "120 mL" in page_text(asked.get("/materials/"))


def test_it_is_refused_at_its_field(asked):
    page = asked.post("/materials/new/", {"kind": "layer", "key": "", "bulk_density_kg_l": "90", "pack": "nine"})
    text = page_text(page)
    assert page.status_code == 422
    for field in ("key", "bulk_density_kg_l", "pack"):
        assert f'id="wrong-{field}"' in text


def test_what_a_setup_describes_is_taken_once(asked):
    from fairtank.records.models import Document, Material

    trial = planned_trial()
    tanks = ", ".join(f'"{unit.key}"' for unit in trial.units.all())
    setup = (f"[[tank]]\nkeys = [{tanks}]\nlength_cm = 45\nwidth_cm = 28\nheight_cm = 36\nglass_mm = 6\nwater_line_cm = 32\n"
             '[[material]]\nkey = "clay"\nkind = "layer"\nbulk_density_kg_l = 0.9\nowned = "3 kg"\n')
    Document.objects.create(trial=trial, path="setup.toml", content=setup.encode())
    for _ in range(2):
        assert asked.post("/materials/take/", {"trial": trial.slug}).status_code == 303
    row = Material.objects.get()
    assert (row.key, row.bulk_density_kg_l, row.owned, row.pack_unit) == ("clay", 0.9, 3, "kg")
