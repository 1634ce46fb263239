"""fairtank calc: the list, an answer for people, one for machines, help, and wrong calls."""

import json
import subprocess
import sys

import pytest
from tests.cli.running import run_here

from fairtank import registry
from fairtank.bench.inputs import is_counted, option_of
from fairtank.science import vessel
from fairtank.science.uncertainty import interval_of
from fairtank.sources import source

STRATA = ["stratified", "--weights", ".5,.3,.2", "--shares", ".2,.4,.7", "--counts", "50,30,20"]
ENTRIES = registry.entries("calculator")
KEYS = [entry.key for entry in ENTRIES]
VOLUME = ["gross_volume_l", "--length-mm", "600", "--width-mm", "300", "--water-mm", "330", "--glass-mm", "6"]
CARBONATE = ["carbonate", "--temp-c", "25", "--alkalinity-dkh", "4", "--ph", "6.6"]


def test_without_a_name_it_lists_every_calculator_under_its_topic(capsys):
    ran = run_here(capsys, "calc")
    assert ran.code == 0
    lines = ran.out.splitlines()
    named = [line.split()[0] for line in lines if line.startswith("  ")]
    assert sorted(named) == sorted(KEYS)
    headings = [line for line in lines if not line.startswith("  ")]
    assert all(heading.endswith(":") for heading in headings[:-1])
    assert headings[0].startswith("A glass box with water in it")
    assert headings[-1] == "fairtank calc NAME --help tells what one takes, with an example."
    assert lines.index(headings[0]) < lines.index(next(line for line in lines if line.split()[0] == "gross_volume_l"))
    listed = json.loads(run_here(capsys, "calc", "--json").out)["calculators"]
    assert [row["name"] for row in listed] == named
    assert all(set(row) == {"name", "title", "unit", "topic"} for row in listed)


def test_calculators_of_one_file_stand_together(capsys):
    listed = json.loads(run_here(capsys, "calc", "--json").out)["calculators"]
    topics = [row["topic"] for row in listed]
    assert [topic for index, topic in enumerate(topics) if index == 0 or topics[index - 1] != topic] == list(dict.fromkeys(topics))


def test_an_answer_for_people_begins_with_the_quantity_and_ends_with_its_sources(capsys):
    ran = run_here(capsys, "calc", "displaced_l", "--mass-kg", "4", "--density-kg-l", "2.7")
    assert (ran.code, ran.err) == (0, "")
    first, *rest = ran.out.splitlines()
    assert first == f"Displaced water: {4 / 2.7:.4g} L"
    assert [line for line in rest if line.startswith("Source: ")] == [f"Source: {source('arithmetic').reference}"]


def test_readings_that_may_be_off_give_an_interval_and_an_advice(capsys):
    ran = run_here(capsys, "calc", *CARBONATE)
    lines = ran.out.splitlines()
    known = interval_of(registry.entry("calculator", "carbonate"), {"temp_c": 25, "alkalinity_dkh": 4, "ph": 6.6})["co2_mg_l"]
    assert f"{known.value:.0f} mg/L ({known.low:.0f} to {known.high:.0f})" in lines[1]
    assert any(line.startswith("The intervals hold in 19 cases of 20, if pH is right to ±0.1, KH to ±0.5 dKH") for line in lines)
    assert any(line.startswith("A better reading of pH (pH probe") for line in lines)
    assert "\u00a0" not in ran.out


def test_a_typed_error_takes_the_place_of_the_usual_one(capsys):
    narrow = run_here(capsys, "calc", "carbonate", "--temp-c", "25", "--alkalinity-dkh", "4 exact", "--ph", "6.6±0.02").out
    assert "if pH is right to ±0.02 and water temperature to ±0.5 °C." in narrow
    exact = run_here(capsys, "calc", "oxygen_saturation_mg_l", "--temp-c", "20 exact").out
    assert exact.splitlines()[0] == "Oxygen saturation of fresh water: 9.092 mg/L"
    assert "19 cases" not in exact


def test_a_value_may_be_several_words_and_in_another_unit(capsys):
    typed = ["gross_volume_l", "--length-mm", "24", "in", "--width-mm", "12in", "--water-mm", "33 cm", "--glass-mm", "0.6", "cm"]
    ran = run_here(capsys, "calc", *typed)
    litres = (609.6 - 12) * (304.8 - 12) * 330 / 1e6
    assert json.loads(run_here(capsys, "calc", *typed, "--json").out)["result"] == pytest.approx(litres)
    assert "Read as: outer length 609.6 mm, outer depth 304.8 mm, water line 330 mm, glass thickness 6 mm." in ran.out.splitlines()


def test_a_hardness_that_is_none_is_refused(capsys):
    ran = run_here(capsys, "calc", "carbonate", "--temp-c", "25", "--alkalinity-dkh", "7 dGH", "--ph", "6.6")
    assert (ran.code, ran.out) == (1, "")
    assert "--alkalinity-dkh is 7 dGH; " in ran.err
    assert "GH is not KH" in ran.err


def test_below_one_degree_the_gas_is_told_as_an_interval_alone(capsys):
    words = ["carbonate", "--temp-c", "25", "--alkalinity-dkh", "0.6", "--ph", "6.6"]
    told = run_here(capsys, "calc", *words).out
    assert "free carbon dioxide: between " in told
    assert "KH below 1 dKH is too coarse for a figure." in told
    answer = json.loads(run_here(capsys, "calc", *words, "--json").out)
    assert answer["result"]["co2_mg_l"] is None
    assert 0 < answer["intervals"]["co2_mg_l"]["low"] < answer["intervals"]["co2_mg_l"]["high"]


def test_the_example_of_its_help_works(capsys):
    words = run_here(capsys, "calc", "--help").out.split("Example: fairtank calc")[1].split("Options:")[0].split()
    assert run_here(capsys, "calc", *words).code == 0


def test_an_answer_for_machines_is_one_object_and_nothing_else(capsys):
    ran = run_here(capsys, "calc", *VOLUME, "--json")
    answer = json.loads(ran.out)
    assert ran.err == ""
    assert answer["calculator"] == "gross_volume_l"
    assert answer["unit"] == "L"
    assert answer["inputs"] == {"length_mm": 600.0, "width_mm": 300.0, "water_mm": 330.0, "glass_mm": 6.0}
    assert answer["result"] == pytest.approx(vessel.gross_volume_l(600, 300, 330, 6))
    assert answer["sources"] == ["arithmetic"]


def test_intervals_for_machines_have_their_level_way_and_shares(capsys):
    answer = json.loads(run_here(capsys, "calc", *CARBONATE, "--json").out)
    known = answer["intervals"]["co2_mg_l"]
    assert set(known) == {"value", "low", "high", "level", "way", "shares"}
    assert known["low"] < known["value"] < known["high"]
    assert known["level"] == 0.95
    assert sum(known["shares"].values()) == pytest.approx(1, abs=1e-6)
    assert answer["reading_errors"]["ph"]["size"] == 0.1
    single = json.loads(run_here(capsys, "calc", "oxygen_saturation_mg_l", "--temp-c", "20", "--json").out)
    assert single["intervals"]["result"]["value"] == single["result"]


def test_an_equals_sign_may_join_option_and_value(capsys):
    joined = [f"{option}={value}" for option, value in zip(VOLUME[1::2], VOLUME[2::2], strict=True)]
    assert run_here(capsys, "calc", VOLUME[0], *joined).out == run_here(capsys, "calc", *VOLUME).out


def test_a_result_with_several_parts_names_them(capsys):
    words = ["audited_cover", "--map-share", "0.2", "--hits-in", "38", "--n-in", "40", "--hits-out", "3", "--n-out", "60"]
    result = json.loads(run_here(capsys, "calc", *words, "--json").out)["result"]
    assert list(result) == ["share", "low", "high"]
    assert result["share"] == pytest.approx(0.2 * 38 / 40 + 0.8 * 3 / 60)
    assert f"low {result['low']:.4g}, high {result['high']:.4g}" in run_here(capsys, "calc", *words).out


def test_a_named_tuple_names_its_parts_too(capsys):
    """12 of 50: 0.143 to 0.3741, the limits that the docstring of `wilson` prints."""
    words = ["wilson", "--k", "12", "--n", "50"]
    assert run_here(capsys, "calc", *words).out.splitlines()[0] == "Interval for a counted share: low 0.143, high 0.3741"
    answer = json.loads(run_here(capsys, "calc", *words, "--json").out)
    assert {name: round(value, 4) for name, value in answer["result"].items()} == {"low": 0.143, "high": 0.3741}


def test_counts_stay_whole_numbers(capsys):
    ran = run_here(capsys, "calc", "wilson", "--k", "12", "--n", "50.0", "--json")
    assert '"inputs": {"k": 12, "n": 50}' in ran.out
    assert '"counts": [50, 30, 20]' in run_here(capsys, "calc", *STRATA, "--json").out


def test_the_counted_inputs_of_the_cover_calculators_are_these():
    cover = [entry for entry in ENTRIES if entry.function.__module__ == "fairtank.science.cover"]
    counted = {(entry.key, declared.name) for entry in cover for declared in entry.inputs if is_counted(declared)}
    audited = {("audited_cover", name) for name in ("hits_in", "n_in", "hits_out", "n_out")}
    assert {("wilson", "k"), ("wilson", "n"), ("stratified", "counts"), ("area_from_matrix", "matrix"), *audited} <= counted


def test_help_after_a_name_tells_ranges_units_errors_and_what_is_taken_when_left_out(capsys):
    told = " ".join(run_here(capsys, "calc", "net_volume_l", "--help").out.split())
    assert "--length-mm number outer length [mm]: 50 to 5000" in told
    assert "--rock-density-kg-l number density of the rock [kg/L]: 0.5 to 8; 2.7 when left out" in told
    told = " ".join(run_here(capsys, "calc", "area_from_matrix", "--help").out.split())
    assert "--matrix row;row;... counts, one row per map class and one column per true class: whole, 0 or more" in told
    assert "--areas number,number,... mapped area" in told
    told = " ".join(run_here(capsys, "calc", "carbonate", "--help").out.split())
    assert "; usual reading ±0.5 dKH (drop test, one degree a drop); below 1 dKH only an interval is told" in told
    assert "co2_mg_l free carbon dioxide [mg/L]" in told
    told = " ".join(run_here(capsys, "calc", "ppfd_from_lux", "--help").out.split())
    assert "--source word-or-number light source" in told
    assert ", or 400 to 700" in told


@pytest.mark.parametrize("words", [("pond", "--help"), ("pond",), ("pond", "--length-mm", "3")])
def test_a_calculator_that_is_not_there_is_refused(capsys, words):
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith("calculator is pond; accepted: a name that fairtank calc lists. ")


@pytest.mark.parametrize(("name", "near"), [("gross_volume", "gross_volume_l"), ("oxygen saturation", "oxygen_saturation_mg_l"),
                                            ("panle", "panel"), ("co2", "room_co2_ppm")])
def test_names_near_an_unknown_one_are_told(capsys, name, near):
    ran = run_here(capsys, "calc", name)
    assert ran.code == 1
    assert f"Near it: {near}" in ran.err or f", {near}" in ran.err


def test_hyphens_in_a_name_are_forgiven(capsys):
    assert run_here(capsys, "calc", "gross-volume-l", *VOLUME[1:]).out == run_here(capsys, "calc", *VOLUME).out


def test_several_numbers_for_one_input_are_separated_by_commas(capsys):
    ran = run_here(capsys, "calc", "lab_from_srgb", "--rgb", "40,150,50", "--json")
    assert len(json.loads(ran.out)["result"]) == 3


@pytest.mark.parametrize(("words", "told"), [
    (["gross_volume_l", "--length-mm", "600"], "gross_volume_l also needs --width-mm: "),
    (["gross_volume_l", "--length-mm"], "every option of gross_volume_l takes a value, --length-mm has none; its options: --length-mm"),
    ([*VOLUME, "--depth", "3"], "gross_volume_l has no option --depth; its options: --length-mm"),
    ([*VOLUME, "--glass-mm", "3"], "--glass-mm stands there twice"),
    (["gross_volume_l", "600"], "gross_volume_l takes options such as --length-mm, not 600; its options: --length-mm"),
])  # fmt: skip
def test_wrong_options_are_wrong_usage_and_the_right_ones_are_named(capsys, words, told):
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err


@pytest.mark.parametrize(("words", "told"), [
    (["gross_volume_l", "--length-mm", "sixty", *VOLUME[3:]], "--length-mm is sixty; accepted: a number in mm; other units: cm, m"),
    (["gross_volume_l", "--length-mm", "600,5", *VOLUME[3:]], "Write decimals with a point: 600.5"),
    (["gross_volume_l", "--length-mm", "1,2,3", *VOLUME[3:]], "It takes one number, not several."),
    (["gross_volume_l", "--length-mm", "1;2", *VOLUME[3:]], "It takes one number, not several."),
    ([*VOLUME, "length", "3"], "--glass-mm is 6 length 3; accepted: a number in mm"),
    (["wilson", "--k", "12.5", "--n", "50"], "--k is 12.5; accepted: a whole number. It is a count."),
    (["wilson", "--k", "12,5", "--n", "50"], "--k is 12,5; accepted: a number. Write decimals with a point: 12.5"),
    ([*STRATA[:-1], "50;30;20"], "--counts is 50;30;20; accepted: numbers separated by commas. Semicolons separate the rows of a matrix."),
    ([*STRATA[:-1], "50,30,2.5"], "--counts is 50,30,2.5; accepted: whole numbers. It is a count."),
    ([*STRATA[:-1], "50,,20"], "--counts is 50,,20; accepted: numbers separated by commas. Write decimals with a point."),
    ([*STRATA[:-1], "50"], "counts is of another length than weights or shares"),
    (["area_from_matrix", "--matrix", "45,5;10", "--areas", "1,2"],
     "--matrix is 45,5;10; accepted: rows of equal length: numbers separated by commas, rows by semicolons. The rows have 2, 1 numbers."),
    (["area_from_matrix", "--matrix", "45,5", "--areas", "1,2"], "matrix is not square"),
    (["gross_volume_l", "--length-mm", "-600", *VOLUME[3:]], "length_mm is -600"),
    (["gross_volume_l", "--length-mm", "nan", *VOLUME[3:]], "--length-mm is nan"),
    (["panel", "--width-mm", "600", "--height-mm", "348", "--water-mm", "330", "--thickness-mm", "6", "--support", "glued"],
     "--support is glued; accepted: free_top, braced, clamped."),
])  # fmt: skip
def test_a_value_that_cannot_be_used_is_refused_with_a_sentence(capsys, words, told):
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (1, "")
    assert told in ran.err
    assert ran.err.rstrip().endswith((".", "?", "600.5", "12.5"))


def test_no_input_of_a_calculator_hides_behind_an_option_of_the_command():
    taken = {"--json", "--plot", "--part", "--help"}
    assert [(entry.key, declared.name) for entry in ENTRIES for declared in entry.inputs if option_of(declared) in taken] == []


@pytest.mark.parametrize("words", [["oxygen_saturation_mg_l", "--temp-c", "20"], CARBONATE, []])
def test_an_answer_needs_no_heavy_library(words):
    code = (
        "import sys\nfrom fairtank.cli import main\nsys.argv = ['fairtank', 'calc', *sys.argv[1:]]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\nprint(*[name for name in sys.modules if '.' not in name], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, encoding="utf-8", check=True)
    assert done.stdout
    assert not {"scipy", "pandas", "cv2", "PIL", "django", "typst", "vl_convert", "statsmodels", "jinja2"} & set(done.stderr.split())
