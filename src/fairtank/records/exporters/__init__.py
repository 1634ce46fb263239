"""Exporters: what was computed, written as plain tables for other programs."""
