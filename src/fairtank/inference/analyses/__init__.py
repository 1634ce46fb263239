"""The analyses, one file per design; importing this package declares them all."""

from fairtank.inference.analyses import pairs, rounds, run_in, side_by_side, swap

__all__ = ["pairs", "rounds", "run_in", "side_by_side", "swap"]
