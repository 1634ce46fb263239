"""A plan made by questions: the steps as data, what is asked next, and what the answers make: a plan, a setup, factors."""
