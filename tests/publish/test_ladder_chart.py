"""The ladder's picture: each tank at its dose, the line that the finding tells, and its interval at the end of the step."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from fairtank.inference import judge
from fairtank.publish import charts
from fairtank.publish.arms import arm_looks
from fairtank.publish.ladder_chart import dots_of, ladder_chart, rise_of
from fairtank.publish.phrases import plain_text
from fairtank.publish.scales import natural_value
from fairtank.simulation.trials import example_trial

SVG = "{http://www.w3.org/2000/svg}"


def ladder(**choice):
    plan, series, _ = example_trial("ladder")
    plan = replace(plan, measures=(replace(plan.measures[0], **choice),))
    return plan, series, judge(plan, series)[0]


def layers(spec, kind):
    return [layer for layer in spec["layer"] if layer["mark"]["type"] == kind]


def test_the_line_ends_where_the_finding_says():
    plan, _, finding = ladder()
    rise, natural = rise_of(finding, plan), finding.natural
    assert natural_value(rise.at(0.0, rise.estimate), "logit") == pytest.approx(natural.reference, rel=1e-9)
    for step, level in ((rise.estimate, natural.changed), (rise.low, natural.low), (rise.high, natural.high)):
        assert natural_value(rise.at(20.0, step), "logit") == pytest.approx(level, rel=1e-9)


@pytest.mark.parametrize("width_px", [charts.NARROW_PX, charts.WIDE_PX])
def test_each_tank_stands_at_its_dose_and_the_interval_at_the_side(width_px):
    plan, _, finding = ladder(margin=0.3)
    spec = ladder_chart(finding, plan, arm_looks(plan), width_px=width_px)
    marks = sorted((row["x"], row["y"]) for layer in layers(spec, "point") if layer["mark"]["shape"] != "diamond" or
                   layer["mark"]["size"] == 90 for row in layer["data"]["values"])
    assert marks == sorted((plan.arm(unit.arm).dose, natural_value(unit.z, "logit")) for unit in finding.units)
    bar = next(layer for layer in layers(spec, "rule") if layer["mark"]["strokeWidth"] == 4)["data"]["values"][0]
    assert bar["x"] > 20
    assert (bar["y"], bar["y2"]) == (pytest.approx(finding.natural.low), pytest.approx(finding.natural.high))
    assert len(layers(spec, "rect")) == 1
    root = ElementTree.fromstring(charts.svg_of(spec, key="ladder"))
    assert float(root.get("width")) == width_px
    told = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert {"0", "5", "10", "20", *(unit.unit for unit in finding.units)} <= set(told)
    assert min(float(text.get("font-size").removesuffix("px")) for text in root.iter(f"{SVG}text")) >= 12


def test_it_is_told_in_words():
    plan, _, finding = ladder()
    told = plain_text(ladder_chart(finding, plan, arm_looks(plan), width_px=charts.WIDE_PX)["description"])
    assert told.startswith("Ladder of carpet cover, one mark for each tank. dose 0 mg/L: ")
    assert told.endswith("The line goes from 36 % at 0 mg/L to 54 % at 20 mg/L (28 to 78 %).")
    assert all(unit.unit in told for unit in finding.units)


def test_a_rise_per_day_is_drawn_as_it_is():
    plan, _, finding = ladder(summary="slope", margin=None)
    rise = rise_of(finding, plan)
    assert [dot.place for dot in dots_of(finding, plan)] == [unit.z for unit in finding.units]
    assert rise.at(20.0, rise.estimate) - rise.at(0.0, rise.estimate) == pytest.approx(finding.estimate)
    spec = ladder_chart(finding, plan, arm_looks(plan), width_px=charts.WIDE_PX)
    assert "what each day added" in " ".join(spec["title"])


def test_without_an_interval_the_tanks_stand_alone():
    plan, series, _ = ladder()
    plan = replace(plan, units=tuple({unit.arm: unit for unit in plan.units}.values()))
    finding = judge(plan, [one for one in series if one.unit in {unit.key for unit in plan.units}])[0]
    spec = ladder_chart(finding, plan, arm_looks(plan), width_px=charts.NARROW_PX)
    assert finding.low is None
    assert spec["description"].endswith("No interval can be given.")
    assert not layers(spec, "area")
