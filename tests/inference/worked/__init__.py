"""Worked examples: numbers that others printed, computed anew; one list for the tests and for docs/methods/checks.md."""
