"""The demo with two tanks cut to two days and small photos; worker processes import it by name."""

import dataclasses
from pathlib import Path

from fairtank.records.services import demo
from fairtank.simulation import render_photo as render
from fairtank.simulation import scenario as whole_scenario
from fairtank.simulation.photo import RenderedPhoto
from fairtank.simulation.scenario import Scenario

SIZE = (1024, 768)
_unit_render = demo._unit_render


def scenario(name: str) -> Scenario:
    """The scenario, ended after its second day."""
    whole = whole_scenario(name)
    plan = dataclasses.replace(whole.plan, days=1)
    return dataclasses.replace(whole, plan=plan, labelled=whole.labelled[:1], photo_size=SIZE, events=(), readings=(), missed=frozenset())


def render_photo(planned: Scenario, unit: str, day: int) -> RenderedPhoto:
    """The photo at the small size."""
    return render(planned, unit, day, SIZE)


def unit_render(work: tuple[str, str, Path]) -> list[tuple[object, ...]]:
    """The real work of one worker process, on the shortened scenario."""
    demo.scenario, demo.render_photo = scenario, render_photo
    return _unit_render(work)
