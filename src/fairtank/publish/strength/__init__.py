"""How strong a sentence about a trial may be: a table of duties for each grade, and a reader that finds what claims more.

`duty` is the table, `cutting` takes a text apart, `lexicon` and `lexicon_german` hold the words, `scope` tells what is asserted at all,
`subjects` of which finding a sentence speaks, `sizes` reads numbers, `claims` finds what is said and `check` puts it all together.
"""
