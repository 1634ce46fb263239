"""How strong a sentence about a trial may be: a table of duties for each grade, and a reader that finds what claims more.

`duty` is the table. `cutting` takes a text apart; `subjects` tells of which arm and measure a sentence speaks; `table_english` and
`table_german` hold words by the part that they play in a claim, `reading` turns a sentence into these parts, and `rules` tells which
combinations of parts claim what, for both languages alike. `claims` and `directions` apply them, `scope` tells what is asserted at all,
`sizes` and `counting` hold numbers and counts against the finding, and `check` puts it all together.
"""
