"""Photos made comparable in colour."""
