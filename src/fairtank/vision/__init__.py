"""Photos to numbers: load, place in the frame, classify by colour, measure; `view_of` prepares a unit, `measure_photo` measures one photo."""

from fairtank.vision.colours import ColourLookup, learn_colours
from fairtank.vision.measure import METHOD, measure_photo
from fairtank.vision.view import View, view_of

__all__ = ["METHOD", "ColourLookup", "View", "learn_colours", "measure_photo", "view_of"]
