"""People as instruments: blinded scores, choices between two photos, and how far they agree."""
