"""How the rows came to have the columns they have: made by Django, one step after the other."""
