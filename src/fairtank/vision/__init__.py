"""Photos to numbers: `view_of` prepares a unit, `learn_classes` its trial's classifier, `measure_photo` measures one photo."""

from fairtank.vision.classes.classifier import Classifier, learn_classes
from fairtank.vision.measure import METHOD, measure_photo
from fairtank.vision.view import View, view_of

__all__ = ["METHOD", "Classifier", "View", "learn_classes", "measure_photo", "view_of"]
