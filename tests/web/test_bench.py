"""The bench: the list of calculators, what may be typed on the page of one, and what it answers or refuses."""

import pytest
from tests.web.bench_pages import CARBONATE, OXYGEN_CLAIM, Sheet

from fairtank import registry
from fairtank.bench.topics import topics
from fairtank.science import water
from fairtank.web.notes import pieces_of

KEYS = [entry.key for entry in registry.entries("calculator")]


def test_the_list_links_every_calculator_once_under_its_topic(bench):
    page = Sheet(bench.get("/bench/").content.decode())
    assert [link.removeprefix("/bench/") for link in page.links if link.startswith("/bench/")] == [
        entry.key for topic in topics() for entry in topic.entries]
    topic_links = {link for link in page.links if link.startswith("#topic-")}
    assert topic_links == {f"#{name}" for name in page.ids if name.startswith("topic-")}
    assert page.open == []
    assert f"{len(KEYS)} calculators" in page.words
    assert "Gross water volume [L] Litres between the panes" in page.words


def test_every_link_of_the_list_answers(bench, shelf):
    page = Sheet(bench.get("/bench/").content.decode())
    asked = [link for link in page.links if not link.startswith("#")][:9]
    assert [bench.get(link).status_code for link in asked] == [200] * len(asked)


def test_calculators_named_in_a_summary_are_told_by_their_titles():
    assert [piece.key for piece in pieces_of("See `net_volume_l`, not `nothing`.")] == ["", "net_volume_l", "", "", ""]


def test_the_front_page_leads_to_the_bench_and_back(pages):
    assert "/bench/" in Sheet(pages.get("/folder/").content.decode()).links
    assert 'href="/"' in pages.get("/bench/").content.decode()
    assert 'href="/bench/" aria-current="page"' in pages.get("/bench/").content.decode()
    assert "/bench/" in Sheet(pages.get("/bench/panel").content.decode()).links


@pytest.mark.parametrize(("key", "told"), [
    ("pond", "There is no calculator pond."), ("gross_volume", "There is no calculator gross_volume. Near it: gross_volume_l"),
    ("<b>", "There is no calculator &lt;b&gt;."), ("%00", "There is no calculator \ufffd."),
    ("x" * 500, f"There is no calculator {'x' * 59}…."),
])  # fmt: skip
def test_a_calculator_that_is_not_there_is_said_with_names_near_it(bench, key, told):
    answer = bench.get(f"/bench/{key}")
    assert answer.status_code == 404
    assert told in answer.content.decode()


def test_without_a_folder_the_front_page_leads_to_the_bench_and_says_how_to_show_a_trial(bench, monkeypatch):
    monkeypatch.setenv("FAIRTANK_STARTED_BY", "run.py")
    page = bench.get("/folder/").content.decode()
    assert 'href="/bench/"' in page
    assert "No trial folder is shown." in page
    assert "<code>python3 run.py serve my-trial</code>" in page


@pytest.mark.parametrize("address", ["/folder/README.md", "/folder/pyproject.toml", "/results/report.html", "/results/README.md",
                                     "/thumbnails/docs/images/report.png"])
def test_without_a_folder_no_file_is_served(bench, address):
    answer = bench.get(address)
    assert answer.status_code == 404
    assert "No trial folder is shown." in answer.content.decode()


def test_the_answer_stands_before_the_fields_with_its_interval_and_an_advice(sheet):
    page = sheet("carbonate", CARBONATE)
    answer = page.words[: page.words.index("Work it out")]
    assert f"free carbon dioxide {water.carbonate(25, 4, 6.6).co2_mg_l:.0f} mg/L (26 to 45); 78 % of that comes from pH" in answer
    assert "A better reading of pH (pH probe) would narrow the interval of free carbon dioxide most" in answer
    assert page.page.index('id="answer"') < page.page.index("<form") < page.page.index("<svg")


def test_values_may_carry_units_and_the_answer_says_how_they_were_read(sheet):
    page = sheet("gross_volume_l", {"length_mm": "24 in", "width_mm": "12in", "water_mm": "33 cm", "glass_mm": "0.6 cm"})
    assert "Worked out for outer length 609.6 mm (±2 mm), outer depth 304.8 mm (±2 mm), water line 330 mm (±2 mm)" in page.words
    assert page.value("length_mm") == "24 in"
    assert page.commands[0] == 'fairtank calc gross_volume_l --length-mm "24 in" --width-mm 12in --water-mm "33 cm" --glass-mm "0.6 cm"'


@pytest.mark.parametrize(("typed", "told"), [
    ("0.02", "pH 6.6 (±0.02)"), ("±0.02", "pH 6.6 (±0.02)"), ("+- 0.02", "pH 6.6 (±0.02)"), ("sd 0.02", "pH 6.6 (scatters by 0.02)"),
    ("1 %", "pH 6.6 (±1 %)"), ("", "pH 6.6 (±0.1)"),
])  # fmt: skip
def test_a_reading_error_of_ones_own_takes_the_place_of_the_usual_one(sheet, typed, told):
    page = sheet("carbonate", {**CARBONATE, "error-ph": typed})
    assert told in page.words
    assert page.value("error-ph") == typed


@pytest.mark.parametrize("typed", ["0", "exact", "0.0"])
def test_a_reading_may_be_exact(sheet, typed):
    page = sheet("oxygen_saturation_mg_l", {"temp_c": "20", "error-temp_c": typed})
    assert "9.092 mg/L" in page.words
    assert "19 cases" not in page.words


def test_an_error_of_a_reading_that_scatters_is_a_standard_deviation(sheet):
    entry = next(entry for entry in registry.entries("calculator") for own in entry.inputs if own.error and own.error.kind == "standard")
    declared = next(own for own in entry.inputs if own.error and own.error.kind == "standard")
    first = sheet(entry.key)
    page = sheet(entry.key, {**{name: field["value"] for name, field in first.fields.items()}, f"error-{declared.name}": "7 %"})
    assert "scatters by 7 %" in page.words


def test_a_value_at_its_default_counts_as_left_out_unless_it_has_an_error_of_its_own(sheet):
    left_out, filled = sheet("carbonate", CARBONATE), sheet("carbonate", CARBONATE, hardness_dgh="0")
    assert left_out.words == filled.words
    assert "--hardness-dgh" not in filled.commands[0]
    own = sheet("carbonate", {**CARBONATE, "hardness_dgh": "0", "error-hardness_dgh": "0.5"})
    assert '--hardness-dgh "0 +- 0.5"' in own.commands[0]
    assert "GH 0 dGH (±0.5 dGH)" in own.words


def test_a_number_beside_a_word_takes_its_place(sheet):
    page = sheet("oxygen_claim", {**OXYGEN_CLAIM, "number-surface": "2.5"})
    assert "a gas exchange of 2.5 cm/h at the surface" in page.words
    linked = sheet("oxygen_claim", {**OXYGEN_CLAIM, "surface": "2.5"})
    assert linked.value("number-surface") == "2.5"
    assert linked.words.partition(" Values ")[0] == page.words.partition(" Values ")[0]


def test_a_matrix_may_be_typed_row_by_row(sheet):
    page = sheet("area_from_matrix", {"matrix": "45, 5\r\n10, 90\n", "areas": "100, 300"})
    assert page.refusals == []
    assert page.value("matrix").split("\n") == ["45, 5", "10, 90"]
    assert "Worked out for counts ((45, 5), (10, 90)), mapped area" in page.words


@pytest.mark.parametrize(("query", "told"), [
    ({"alkalinity_dkh": "4 dGH"}, "KH is 4 dGH; accepted: a number in dKH"), ({"ph": "66"}, "pH is 66; accepted: 5 to 9.5."),
    ({"ph": "6,6"}, "Write decimals with a point: 6.6"), ({"ph": ""}, "pH is missing; accepted: 5 to 9.5."),
    ({"temp_c": "45"}, "water temperature is 45 °C; accepted: 5 to 35 °C."),
    ({"error-ph": "much"}, "pH is 6.6 ± much; accepted: a number."),
    ({"ph": "6:7:0.1"}, "pH is a range; accepted: one value. A range is chosen beside the picture."),
    ({"error-ph": "9"}, "reading error of pH is 9; accepted: above 0, below 4.5."), ({"ph": "x" * 500}, f"pH is {'x' * 60}…; accepted"),
    ({"ph": "6" * 30_000}, "pH is 30000 letters long; accepted: at most 20000 letters."), ({"ph": "a\x00b"}, "pH is a\ufffdb; accepted"),
])  # fmt: skip
def test_what_cannot_be_used_is_said_at_its_field_and_what_was_typed_stays(sheet, query, told):
    page = sheet("carbonate", {**CARBONATE, **query})
    (refusal,) = page.refusals
    assert refusal.startswith(told) or told in refusal
    (name,) = query
    field = name.removeprefix("error-")
    assert page.fields[field]["aria-invalid"] == "true"
    assert f"refusal-{field}" in page.fields[field]["aria-describedby"].split()
    assert f"#in-{field}" in page.links
    assert page.value(name) == query[name].replace("\x00", "\ufffd")
    assert "No answer yet" in page.words
    assert page.commands == []


def test_every_field_with_a_mistake_is_named_at_once(sheet):
    page = sheet("carbonate", {"temp_c": "hot", "alkalinity_dkh": "4 dGH"})
    assert [text.split(" is ")[0] for text in page.refusals] == ["water temperature", "KH", "pH"]


def test_a_word_that_is_none_of_the_choices_stays_to_be_seen(sheet):
    page = sheet("oxygen_claim", {**OXYGEN_CLAIM, "surface": "stormy"})
    assert page.refusals == ["how the surface moves is stormy; accepted: still, gentle, rippled, agitated, or 0.05 to 100 cm/h."]
    assert page.value("surface") == "stormy"


def test_a_refusal_about_no_single_input_stands_above_them(sheet):
    first = sheet("transfer_from_readings")
    page = sheet("transfer_from_readings", {**{name: field["value"] for name, field in first.fields.items()}, "gas_mg_l": "9, 9, 9, 9, 9"})
    assert len(page.refusals) == 1
    assert page.refusals[0].startswith("These readings do not show how fast the gas leaves")
    assert "aria-invalid" not in page.page
    assert "No answer yet" in page.words


def test_names_of_other_inputs_in_a_refusal_are_told_by_their_labels(sheet):
    page = sheet("carbon_dioxide_claim", {"volume_l": "60", "surface_m2": "0.2", "surface": "still", "alkalinity_dkh": "4", "ph": "7"})
    assert len(page.refusals) == 1
    assert "_" not in page.refusals[0]
