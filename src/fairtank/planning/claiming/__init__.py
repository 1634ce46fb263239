"""The claim checks: one file per claim, and what they share."""
