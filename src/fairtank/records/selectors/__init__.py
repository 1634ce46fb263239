"""Selectors: everything that reads rows for pages; none of them writes."""
