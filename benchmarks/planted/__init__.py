"""Invented trials with known unfairness planted in them, made without a look at the code that is to find it."""
