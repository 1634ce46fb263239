"""What a person asks of a calculator, and its answer: shared by the command line and the pages.

topics    the calculators by topic
inputs    what each input takes, in which units, how far a reading is off, and the values of the example
typed     one input as it was typed: value, unit, reading error, range
asking    all inputs of a question, read or refused
answers   the answer to one set of inputs
tables    the answers along one or two ranges, row by row
pictures  the same as lines to be drawn
spans     a sensible range round a value, where none was asked for
commands  the command that asks the same in a terminal

Texts come in by the names of the inputs and a refusal carries that name; each door words it in its own way.
"""
