"""Strokes to classes: what a keeper painted becomes one frozen classifier for the whole trial."""
