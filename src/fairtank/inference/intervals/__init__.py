"""Intervals and tests for numbers that stand for units, whatever they measure."""
