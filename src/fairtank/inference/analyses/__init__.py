"""The analyses, one file per design; importing this package declares them all."""

from fairtank.inference.analyses import run_in, side_by_side

__all__ = ["run_in", "side_by_side"]
