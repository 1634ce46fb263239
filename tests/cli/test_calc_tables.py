"""fairtank calc along one or two ranges: tables for people and machines, and the picture."""

import json
from xml.etree import ElementTree

import pytest
from tests.cli.running import run_here

from fairtank import registry
from fairtank.science import gases, water
from fairtank.science.uncertainty import interval_of

OXYGEN = ["oxygen_saturation_mg_l", "--temp-c", "10:30:5"]
CARBONATE = ["carbonate", "--temp-c", "25", "--alkalinity-dkh", "4", "--ph", "6:7:0.2"]
BOTH = ["carbonate", "--temp-c", "25", "--alkalinity-dkh", "2:10:4", "--ph", "6:7:0.5"]


def rows_of(out):
    """The cells of the table's rows, from the rule to the first line that is none."""
    lines = out.splitlines()
    start = next(index for index, line in enumerate(lines) if line.startswith("---")) + 1
    rows = []
    for line in lines[start:]:
        if not line[:1].isspace() and not line[:1].isdigit():
            break
        rows.append(line.split())
    return rows


def test_a_range_gives_a_table_with_a_row_for_each_value(capsys):
    ran = run_here(capsys, "calc", *OXYGEN)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "Oxygen saturation of fresh water"
    assert "[°C]" in lines[2]
    assert "[mg/L]" in lines[2]
    rows = rows_of(ran.out)
    assert [row[0] for row in rows] == ["10", "15", "20", "25", "30"]
    for row in rows:
        known = interval_of(registry.entry("calculator", "oxygen_saturation_mg_l"), {"temp_c": float(row[0])})[""]
        assert abs(float(row[1]) - known.value) <= 0.006
        assert (float(row[2]), float(row[4])) == pytest.approx((known.low, known.high), abs=0.006)
    assert "The intervals hold in 19 cases of 20, if water temperature is right to ±0.5 °C." in lines
    assert lines[-1].startswith("Source: ")


def test_columns_are_aligned(capsys):
    lines = run_here(capsys, "calc", *OXYGEN).out.splitlines()
    start = next(index for index, line in enumerate(lines) if line.startswith("---"))
    assert {len(line) for line in lines[start : start + 6]} == {len(lines[start])}


def test_a_table_for_machines_has_lists_row_by_row(capsys):
    answer = json.loads(run_here(capsys, "calc", *OXYGEN, "--json").out)
    assert answer["inputs"]["temp_c"] == [10, 15, 20, 25, 30]
    assert answer["result"] == pytest.approx(gases.oxygen_saturation_mg_l([10, 15, 20, 25, 30]).tolist())
    assert answer["rows"] == 5
    assert len(answer["intervals"]["result"]["low"]) == 5
    assert answer["intervals"]["result"]["level"] == 0.95


def test_parts_of_a_result_have_a_column_each(capsys):
    told = run_here(capsys, "calc", *CARBONATE).out
    assert all(word in told for word in ("free carbon", "bicarbonate", "[mmol/L]"))
    answer = json.loads(run_here(capsys, "calc", *CARBONATE, "--json").out)
    assert answer["result"]["co2_mg_l"][3] == pytest.approx(water.carbonate(25, 4, 6.6).co2_mg_l)


def test_two_ranges_give_a_row_for_each_pair(capsys):
    answer = json.loads(run_here(capsys, "calc", *BOTH, "--json").out)
    assert answer["inputs"]["alkalinity_dkh"] == [2, 2, 2, 6, 6, 6, 10, 10, 10]
    assert answer["inputs"]["ph"] == [6, 6.5, 7] * 3
    assert answer["result"]["co2_mg_l"][4] == pytest.approx(water.carbonate(25, 6, 6.5).co2_mg_l)
    assert len(rows_of(run_here(capsys, "calc", *BOTH).out)) == 9


def test_a_range_in_another_unit_is_shown_as_it_was_typed(capsys):
    words = ["oxygen_saturation_mg_l", "--temp-c", "50:86:18 degF"]
    told = run_here(capsys, "calc", *words).out
    assert "[°F]" in told
    assert [row[0] for row in rows_of(told)] == ["50", "68", "86"]
    assert json.loads(run_here(capsys, "calc", *words, "--json").out)["inputs"]["temp_c"] == [10, 20, 30]


def test_rows_with_too_coarse_a_reading_have_an_interval_and_no_figure(capsys):
    words = ["carbonate", "--temp-c", "25", "--alkalinity-dkh", "0.5:1.5:0.5", "--ph", "6.6"]
    told = run_here(capsys, "calc", *words).out
    assert [row[1] == "-" for row in rows_of(told)] == [True, False, False]
    assert "KH below 1 dKH is too coarse for a figure (-)." in told.splitlines()
    answer = json.loads(run_here(capsys, "calc", *words, "--json").out)
    assert [value is None for value in answer["result"]["co2_mg_l"]] == [True, False, False]
    assert all(low < high for low, high in zip(*(answer["intervals"]["co2_mg_l"][end] for end in ("low", "high")), strict=True))


def test_words_that_are_the_same_in_all_rows_stand_below_the_table(capsys):
    words = ["oxygen_claim", "--current-ma", "10:100:30", "--volume-l", "20", "--surface-m2", "0.07", "--surface", "rippled"]
    told = run_here(capsys, "calc", *words).out
    assert "In all rows kind of claim: oxygen, what is measured: oxygen, its unit: mg/L." in told.splitlines()
    assert [row[-1] for row in rows_of(told)] == ["measurable"] * 4


def test_a_range_of_a_calculator_for_single_values_works_too(capsys):
    words = ["wilson", "--k", "0:50:10", "--n", "50"]
    answer = json.loads(run_here(capsys, "calc", *words, "--json").out)
    single = [json.loads(run_here(capsys, "calc", "wilson", "--k", k, "--n", 50, "--json").out)["result"] for k in (0, 10, 50)]
    assert [answer["result"]["high"][index] for index in (0, 1, 5)] == [row["high"] for row in single]


def test_the_picture_of_one_range_has_a_band_and_words(capsys, tmp_path):
    place = tmp_path / "new folder" / "oxygen.svg"
    ran = run_here(capsys, "calc", *OXYGEN, "--plot", place)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines()[-1] == f"Picture: {place}"
    words = ElementTree.fromstring(place.read_text(encoding="utf-8")).get("aria-label")
    assert words.startswith("Oxygen saturation of fresh water along water temperature from 10 °C to 30 °C: from 11.2")
    assert words.endswith("The band holds the truth in 19 cases of 20, if water temperature is right to ±0.5 °C.")


def test_the_picture_of_two_ranges_has_lines_and_no_band(capsys, tmp_path):
    place = tmp_path / "gas.svg"
    assert run_here(capsys, "calc", *BOTH, "--plot", place).code == 0
    words = ElementTree.fromstring(place.read_text(encoding="utf-8")).get("aria-label")
    assert words.count("KH ") >= 2
    assert "band" not in words


def test_the_picture_shows_the_part_that_was_asked_for(capsys, tmp_path):
    place = tmp_path / "gas.svg"
    run_here(capsys, "calc", *CARBONATE, "--plot", place)
    assert "free carbon dioxide along pH" in place.read_text(encoding="utf-8")
    run_here(capsys, "calc", *CARBONATE, "--plot", place, "--part", "dic_mmol_l")
    assert "all dissolved inorganic carbon along pH" in place.read_text(encoding="utf-8")


def test_the_picture_is_the_same_to_the_byte_each_time(capsys, tmp_path):
    for name in ("a.svg", "b.svg"):
        run_here(capsys, "calc", *CARBONATE, "--plot", tmp_path / name)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


@pytest.mark.parametrize(("words", "told"), [
    ([*OXYGEN, "--plot", "oxygen.png"], "--plot is oxygen.png; accepted: a file name that ends in .svg."),
    (["oxygen_saturation_mg_l", "--temp-c", "20", "--plot", "o.svg"],
     "--plot is o.svg; accepted: a range for one or two inputs. Write for example --ph 6:8:0.1."),
    ([*CARBONATE, "--plot", "o.svg", "--part", "oxygen"], "--part is oxygen; accepted: co2_mg_l, dic_mmol_l, bicarbonate_mmol_l."),
    ([*OXYGEN, "--plot", "o.svg", "--part", "oxygen"], "--part is oxygen; accepted: nothing: the result is one number."),
    ([*OXYGEN, "--part", "co2_mg_l"], "--part is co2_mg_l; accepted: a part to draw, together with --plot and a range."),
    (["carbonate", "--temp-c", "20:25:1", "--alkalinity-dkh", "2:4:1", "--ph", "6:7:1"],
     "the number of ranges is 3 (--temp-c, --alkalinity-dkh, --ph); accepted: one or two. Give the others one value each."),
    (["carbonate", "--temp-c", "25", "--alkalinity-dkh", "2:4:0.01", "--ph", "6:7:0.01"],
     "the number of rows is 20301; accepted: at most 10000. Take larger steps."),
    (["oxygen_saturation_mg_l", "--temp-c", "30:50:5"], "temp_c is 45.0 °C; accepted: 0 to 40 °C"),
    (["carbonate", "--temp-c", "25", "--alkalinity-dkh", "0.2:0.8:0.2", "--ph", "6:7:0.5", "--plot", "o.svg"],
     "the picture is empty; accepted: readings that are fine enough for a figure. Along one range the intervals are drawn."),
    (["oxygen_claim", "--current-ma", "10:100:30", "--volume-l", "20", "--surface-m2", "0.07", "--surface", "rippled", "--plot", "o.svg"],
     "--plot is given with a range; accepted: single values for a claim check."),
    (["stock_pairing", "--first-salt", "KNO3", "--second-salt", "1:2:1"], "--second-salt is 1:2:1; accepted: "),
    (["lab_from_srgb", "--rgb", "1:3:1"], "A range or a reading error belongs to a single number."),
])  # fmt: skip
def test_a_range_or_picture_that_cannot_be_had_is_refused_and_nothing_is_written(capsys, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    ran = run_here(capsys, "calc", *words)
    assert (ran.code, ran.out) == (1, "")
    assert told in ran.err
    assert list(tmp_path.iterdir()) == []


def test_a_long_table_comes_whole(capsys):
    answer = json.loads(run_here(capsys, "calc", "oxygen_saturation_mg_l", "--temp-c", "10:30:0.01", "--json").out)
    assert answer["rows"] == 2001
    assert len(answer["intervals"]["result"]["high"]) == 2001
