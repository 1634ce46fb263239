"""Whether a photo can be trusted as a measurement."""
