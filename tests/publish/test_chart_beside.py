"""Charts drawn by a process beside: the same to the byte, and none is lost whatever becomes of the process."""

import pytest

from fairtank.publish import chart_beside, charts


def spec(number: int) -> charts.Spec:
    return charts.framed([{"mark": "point", "data": {"values": [{"x": number, "y": 2}]},
                           "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"}}}],
                         width_px=charts.NARROW_PX, height_px=80, description=f"A point at {number}.")


@pytest.fixture
def nothing_kept():
    charts._drawn.cache_clear()
    yield
    charts._drawn.cache_clear()


def test_a_chart_drawn_beside_is_the_one_drawn_here_to_the_byte_and_a_broken_one_is_nothing(nothing_kept):
    with charts.beside():
        process = chart_beside._beside[-1]
        for number in (1, 2, 1):
            charts.ask_ahead(spec(number))
        assert len(process._known) == 2
        beside = [charts.svg_of(spec(number), key="k") for number in (1, 2)]
        assert process.answer(charts.json.dumps(spec(2)))
        chart_beside.ask("{no chart}")
        assert chart_beside.answer("{no chart}") == ""
        assert chart_beside.answer("{never asked}") == ""
    assert not chart_beside._beside
    charts._drawn.cache_clear()
    assert beside == [charts.svg_of(spec(number), key="k") for number in (1, 2)]


def test_a_process_that_dies_costs_no_chart(nothing_kept):
    with charts.beside():
        process = chart_beside._beside[-1]
        process._process.kill()
        process._process.wait()
        charts.ask_ahead(spec(3))
        charts.ask_ahead(spec(4))
        assert charts.svg_of(spec(3), key="k").startswith("<svg")


def test_where_no_process_can_be_started_charts_are_drawn_here(nothing_kept, monkeypatch):
    monkeypatch.setattr(chart_beside.sys, "executable", "/nowhere/python")
    with charts.beside():
        charts.ask_ahead(spec(5))
        assert not chart_beside._beside
        assert charts.svg_of(spec(5), key="k").startswith("<svg")
