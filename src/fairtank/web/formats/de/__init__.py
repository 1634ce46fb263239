"""How German pages write numbers and days."""
