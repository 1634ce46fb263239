"""Charts of pages: the report's pictures as they are, the same numbers as a table and at a pointer, inks for light and dark paper."""

import json
import re
from dataclasses import replace

import pytest
from tests.publish.chart_examples import FORECAST_PLAN, KEYS, all_charts, drifting, forecast_of
from tests.publish.invented_trials import dark_break, finding, one_cover_glass
from tests.publish.test_pool_words import SPREAD, story_of

from fairtank.inference.foresight.showing import show
from fairtank.publish import curves, dot_row
from fairtank.publish.arms import PALETTE, arm_looks
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.frontier import frontier_spec
from fairtank.publish.page_chart import page_chart_from_json, page_chart_json, with_touch
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.page_foresight import forecast_caption, forecast_page_charts, frontier_page_chart
from fairtank.publish.page_inks import DARK_PAPER, INKS, LIGHT_PAPER, MARK, colours_of, contrast, in_names, on_paper
from fairtank.publish.page_pool import pool_page_chart
from fairtank.publish.page_watch import watch_caption, watch_charts
from fairtank.publish.pool_chart import pool_spec
from fairtank.publish.watch_chart import panel
from fairtank.trial import Arm, Unit
from inference.trials import plan_of

# Okabe and Ito's colours that no arm has: on white they keep less than 3 : 1.
YELLOW, ORANGE, SKY_BLUE = "#F0E442", "#E69F00", "#56B4E9"
LONG_NUMBER = re.compile(r"\d\.\d{5,}|\d{6,}\.\d")


@pytest.fixture(params=KEYS)
def chart(request):
    return next(one for one in all_charts() if one.key == request.param)


def touch_of(spec):
    """The rows of the layer that tells values; none where there is none."""
    last = spec["layer"][-1]
    return last["data"]["values"] if "tooltip" in last["encoding"] else []


def untouched(spec):
    return {**spec, "layer": [layer for layer in spec["layer"] if "tooltip" not in layer["encoding"]]}


def test_a_chart_has_all_that_a_page_needs(chart):
    assert re.fullmatch(r"[A-Za-z0-9-]+", chart.key)
    assert chart.title
    assert chart.description == chart.wide["description"] or chart.wide is chart.narrow
    assert (chart.wide["width"], chart.narrow["width"]) in ((WIDE_PX, NARROW_PX), (NARROW_PX, NARROW_PX))
    assert len({len(row) for row in (chart.table.head, *chart.table.rows)}) == 1
    assert all(chart.table.head)
    assert chart.table.caption


def test_keys_are_unique_on_a_page():
    assert tuple(one.key for one in all_charts()) == KEYS
    assert len(set(KEYS)) == len(KEYS)


def test_it_comes_back_from_json_as_it_was(chart):
    assert page_chart_from_json(json.loads(json.dumps(page_chart_json(chart), allow_nan=False))) == chart


def test_the_page_draws_the_reports_picture_with_one_unseen_layer_more():
    six = dark_break(with_photos=False)
    plan, looks, first = six.folder.plan, arm_looks(six.folder.plan), six.findings[0]
    dots, lines = finding_charts([first], plan, six.series, six.folder.events)
    series = [one for one in six.series if one.measure == first.measure]
    watched, watched_plan = drifting()
    showing, story = show(plan_of(3, 3, expect="less")), story_of(SPREAD, margin=0.3)
    for width, size in ((WIDE_PX, "wide"), (NARROW_PX, "narrow")):
        assert untouched(getattr(dots, size)) == dot_row.dot_row(first, looks, width_px=width, partners={}, others=[])
        assert untouched(getattr(lines, size)) == curves.curves(plan, series, looks, title=first.title, unit="%",
                                                                events=six.folder.events, width_px=width)
        assert untouched(getattr(pool_page_chart(story), size)) == pool_spec(story, width_px=width)
        assert untouched(getattr(frontier_page_chart(showing), size)) == frontier_spec(showing, width_px=width)
    factor = next(factor for factor in watched.factors if factor.charts)
    assert untouched(watch_charts(watched, watched_plan)[0].wide) == panel(factor, watched, watched_plan)


def test_what_is_told_at_a_pointer_is_a_text_with_rounded_numbers(chart):
    for spec in (chart.wide, chart.narrow):
        encoded = [layer["encoding"]["tooltip"] for layer in spec["layer"] if "tooltip" in layer["encoding"]]
        assert encoded == [{"field": "told", "type": "nominal"}]
        for row in touch_of(spec):
            assert re.search(r"\d", row["told"])
            assert not LONG_NUMBER.search(row["told"]), row["told"]
            assert "\u00a0" not in row["told"]


def test_no_number_of_the_table_or_the_words_is_raw(chart):
    told = [chart.title, chart.description, chart.caption, chart.table.caption, *chart.table.head,
            *(cell for row in chart.table.rows for cell in row)]
    assert not [text for text in told if LONG_NUMBER.search(text)]


def test_every_tank_and_the_interval_are_told_at_their_marks_and_in_the_table():
    six = dark_break(with_photos=False)
    dots, lines = finding_charts(six.findings[:1], six.folder.plan, six.series, six.folder.events)
    told = [row["told"] for row in touch_of(dots.wide)]
    assert {text[:2] for text in told} == {"T1", "T2", "T3", "T4", "T5", "T6", "Th"}
    assert "The dark break where the reference has 10.8 %: 4.6 % (1.5 to 12.9 %)" in told
    assert dots.table.rows[-1] == ("Interval", "dark break against 8 h block",
                                   "4.6\u00a0% (1.5 to 12.9\u00a0%), where the reference has 10.8\u00a0%")
    assert dots.title.replace("\u00a0", " ") == "Algae cover: 4.6 % (1.5 to 12.9 %) under the dark break, 10.8 % under the 8 h block"
    assert lines.table.head == ("Day", "T1, arm R [%]", "T4, arm R [%]", "T5, arm R [%]", "T2, arm D [%]", "T3, arm D [%]", "T6, arm D [%]")
    series = next(one for one in six.series if (one.unit, one.measure) == ("T2", "algae_cover"))
    if 30 in series.days:
        taken = next(row for row in lines.table.rows if row[0] == "30")
        assert taken[4].startswith("(")
        assert taken[4].endswith(")")
    assert any("T2, arm D, day 30: " in row["told"] and row["told"].endswith("(taken out)") for row in touch_of(lines.wide)) == (
        30 in series.days)


def test_two_tanks_get_no_interval_in_words_or_table():
    two = one_cover_glass()
    dots, _ = finding_charts(two.findings, two.folder.plan, two.series)
    assert dots.title == "Algae cover: where each tank stands; no interval can be given"
    assert [row[0] for row in dots.table.rows] == ["left", "right"]


def test_one_day_has_no_curves_and_no_usable_tank_no_dots():
    two = one_cover_glass()
    day = [replace(one, days=one.days[:1], values=one.values[:1], ses=()) for one in two.series]
    assert [chart.key for chart in finding_charts(two.findings, two.folder.plan, day)] == ["tanks-algae-cover"]
    spoilt = replace(two.findings[0], units=tuple(replace(unit, z=None, spoilt="A gap.") for unit in two.findings[0].units))
    assert finding_charts([spoilt], two.folder.plan, day) == ()


def test_a_change_has_a_column_for_its_run_in():
    six = dark_break(with_photos=False)
    units = tuple(replace(unit, treated_mean=unit.z, z=0.3) for unit in six.findings[0].units)
    one = replace(six.findings[0], summary="change", units=units)
    dots = finding_charts([one], six.folder.plan, ())[0]
    assert dots.table.head == ("Tank", "Arm", "Run-in", "After the change")
    assert all(row[2].endswith("%") for row in dots.table.rows[:-1])


def test_a_ladder_is_told_by_dose():
    six = dark_break(with_photos=False)
    arms = tuple(Arm(key, role, f"{dose:g} mL", dose=dose) for key, role, dose in (("R", "reference", 0.0), ("D", "changed", 2.0)))
    plan = replace(six.folder.plan, kind="ladder", arms=arms, dose_unit="mL")
    facts = (("slope", -0.2), ("reference_dose", 0.0), ("top_dose", 2.0), ("doses", 2.0))
    one = replace(six.findings[0], design="ladder", facts=facts, dose_unit="mL")
    ladder = finding_charts([one], plan, ())[0]
    assert ladder.table.head == ("Tank", "Dose", "Mean over the days")
    assert [row[1] for row in ladder.table.rows] == ["0\u00a0mL"] * 3 + ["2\u00a0mL"] * 3
    assert ladder.title.startswith("Algae cover by dose: ")
    assert any("T1, dose 0 mL: " in row["told"] for row in touch_of(ladder.wide))


def test_the_watch_tells_each_factor_with_its_band():
    watched, plan = drifting()
    warm, kh = watch_charts(watched, plan)
    assert re.match(r"Water temperature: the arms drift apart; arm C less arm R is now 0\.9\d\u00a0°C \(", warm.title)
    assert kh.title.startswith("KH: steady; arm C less arm R is now ")
    assert warm.table.head == ("Day", "arm C less arm R [°C]", "weighted mean [°C]", "like tanks within ± [°C]")
    assert [row["told"] for row in touch_of(warm.wide)][-1] == (
        f"day 42, C less R: {warm.table.rows[-1][2]} °C")
    assert watch_caption(plan).startswith("How far an arm lies above or below arm R")


def test_the_forecast_tells_bands_and_the_keepers_own_tests():
    ammonia, nitrite, *_ = forecast_page_charts(forecast_of(), FORECAST_PLAN)
    assert ammonia.table.head == ("Day", "Arm R, middle [mg/L N]", "nine in ten", "Arm C, middle [mg/L N]", "nine in ten")
    assert ammonia.table.rows[-1][0] == "42"
    assert "your test in arm R, day 4: 1.5 mg/L N" in [row["told"] for row in touch_of(ammonia.wide)]
    assert "your test in arm C, day 20: nothing showed, below 0.050 mg/L N" in [row["told"] for row in touch_of(nitrite.wide)]
    assert forecast_caption(forecast_of(), FORECAST_PLAN).startswith("A picture of what is plausible, not a promise. Band: nine in ten")
    alike = forecast_page_charts(forecast_of(are_alike=True), FORECAST_PLAN)[0]
    assert alike.table.head == ("Day", "All arms, middle [mg/L N]", "nine in ten")


def test_designs_and_trials_are_told_at_their_own_marks():
    frontier, pooled = (next(chart for chart in all_charts() if chart.key == key) for key in ("frontier", "trials-together"))
    told = {row["told"][0]: row["told"] for row in touch_of(frontier.wide)}
    rows = {row[0]: row for row in frontier.table.rows}
    assert set(told) <= set(rows)
    assert all(told[letter].endswith(rows[letter][5].replace("\u00a0", " ")) for letter in told)
    assert [row["told"][0] for row in touch_of(pooled.narrow)] == ["A", "B", "C", "D"]
    assert pooled.table.rows[-1][1] == "a further trial"


def test_a_plan_that_notices_nothing_has_a_title_that_says_so():
    assert frontier_page_chart(show(plan_of(1, 1))).title.endswith("as planned you would notice nothing by itself")


def test_a_description_without_axes_is_left_as_it_is():
    spec = {"layer": [{"encoding": {"x": {"value": 0}}}]}
    assert with_touch(spec, [(0.0, 0.0, "nothing")]) is spec


@pytest.mark.as_it_was("3 : 1 for graphics is the bound of wcag22, success criterion 1.4.11, from memory, 2026-11-26")
@pytest.mark.parametrize("place", [0, 1], ids=["light", "dark"])
def test_every_arm_can_be_seen_on_both_papers(place):
    paper = (LIGHT_PAPER, DARK_PAPER)[place]
    for number, colour in enumerate(PALETTE):
        assert contrast(INKS[f"arm{number}"][place], paper) >= 3.0, colour


def test_arms_keep_their_colours_on_dark_paper_except_black_and_yellow_is_no_arms():
    assert [INKS[f"arm{number}"][1] == colour for number, colour in enumerate(PALETTE)] == [colour != "#000000" for colour in PALETTE]
    assert not {YELLOW, ORANGE, SKY_BLUE} & set(PALETTE)
    for colour in (YELLOW, ORANGE, SKY_BLUE):
        assert contrast(colour, LIGHT_PAPER) < 3.0


@pytest.mark.as_it_was("4.5 : 1 for text is the bound of wcag22, success criterion 1.4.3, from memory, 2026-11-26")
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_text_can_be_read_on_both_papers(chart, theme):
    paper = LIGHT_PAPER if theme == "light" else DARK_PAPER
    for spec in (on_paper(chart.wide, theme), on_paper(chart.narrow, theme)):
        texts = {layer["mark"].get("color", spec["config"]["text"]["color"]) for layer in spec["layer"] if layer["mark"]["type"] == "text"}
        texts |= {spec["config"]["axis"]["labelColor"], spec["config"]["axis"]["titleColor"], spec["config"]["title"]["color"]}
        assert min(contrast(colour, paper) for colour in texts) >= 4.5


def test_every_colour_of_every_chart_is_an_ink_with_two_papers(chart):
    for spec in (chart.wide, chart.narrow):
        assert all(colour.startswith(MARK) for colour in colours_of(in_names(spec)))
        assert on_paper(spec, "light") == spec
        assert on_paper(spec, "dark") != spec


def test_a_name_that_looks_like_an_ink_stays_a_name():
    two = one_cover_glass()
    units = (Unit("#ffffff", "R"), Unit("#24282c", "C"))
    series = [replace(one, unit=unit.key) for one, unit in zip(two.series, units, strict=True)]
    plan = replace(two.folder.plan, units=units)
    own = tuple(replace(unit, unit=new.key) for unit, new in zip(two.findings[0].units, units, strict=True))
    for chart in finding_charts([replace(two.findings[0], units=own)], plan, series):
        texts = [row["t"] for layer in on_paper(chart.wide, "dark")["layer"] for row in layer["data"]["values"] if "t" in row]
        assert {"#ffffff", "#24282c"} <= set(texts)
    assert "\\u0001" not in json.dumps(page_chart_json(finding_charts([finding(units=own, title=f"{MARK}paper")], plan, series)[0]))


def test_the_browser_gets_shared_rows_once_and_no_more_figures_than_a_pixel_needs():
    chart = next(chart for chart in all_charts() if chart.key == "curves-algae-cover")
    told = chart.drawn
    names = [layer["data"]["name"] for size in ("wide", "narrow") for layer in told[size]["layer"] if "name" in layer["data"]]
    assert len(names) > len(set(names)) == len(told["rows"])
    assert not re.search(r"\d\.\d{7,}", json.dumps(told["rows"]))
    assert set(told["inks"]) == {"light", "dark"}
    assert len(json.dumps(told)) < 0.6 * len(json.dumps([chart.wide, chart.narrow]))
