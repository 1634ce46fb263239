"""The measures taken from a photo, one topic a file; each declares itself in the registry."""

from fairtank.vision.measures import area, canopy, colour, cover

__all__ = ["area", "canopy", "colour", "cover"]
