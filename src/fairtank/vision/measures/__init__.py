"""The measures taken from a photo, one topic a file; each declares itself in the registry."""

from fairtank.vision.measures import area, canopy, chosen_plant, colour, cover, spots, water

__all__ = ["area", "canopy", "chosen_plant", "colour", "cover", "spots", "water"]
