"""fairtank: plan, record, measure, judge and publish fair side-by-side trials of planted aquariums."""

__version__ = "0.1.0"
