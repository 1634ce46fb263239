"""Invented tanks: a growth model, a renderer of photos with exact truth, and the demo trials."""

from fairtank.simulation.demo import scenario, scenario_names
from fairtank.simulation.photo import RenderedPhoto
from fairtank.simulation.scenario import Scenario
from fairtank.simulation.scene import render_photo, truth_rows
from fairtank.simulation.strokes import strokes, strokes_on
from fairtank.simulation.truth import Truth

__all__ = ["RenderedPhoto", "Scenario", "Truth", "render_photo", "scenario", "scenario_names", "strokes", "strokes_on", "truth_rows"]
