"""The analyses, one file per design; importing this package declares them all."""

from fairtank.inference.analyses import drawn_start, ladder, pairs, rounds, run_in, side_by_side, swap, two_changes

__all__ = ["drawn_start", "ladder", "pairs", "rounds", "run_in", "side_by_side", "swap", "two_changes"]
