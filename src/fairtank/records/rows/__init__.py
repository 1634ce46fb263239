"""Between rows of the database and the tables of a trial folder; nobody else turns the one into the other.

kinds   which table is kept in which rows, and what differs between their columns
door    values of a table as rows, and rows as values and nouns
texts   the files of the folder
framed  which photos wait for a frame
plan    the plan's text as rows of trials, arms, units and measures
"""
