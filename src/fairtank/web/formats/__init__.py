"""How numbers and days are written, by language; read by Django, which looks here before its own."""
