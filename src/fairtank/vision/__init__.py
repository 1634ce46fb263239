"""Photos to numbers: `view_of` prepares a unit, `learn_colours` its trial's classes, `measure_photo` measures one photo."""

from fairtank.vision.colours import ColourLookup, learn_colours
from fairtank.vision.measure import METHOD, measure_photo
from fairtank.vision.view import View, view_of

__all__ = ["METHOD", "ColourLookup", "View", "learn_colours", "measure_photo", "view_of"]
