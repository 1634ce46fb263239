"""Pages that show one trial folder and its report, and the calculators, read-only, on this machine.

wsgi       the pages as an application, which `fairtank serve` runs on loopback
security   the headers that every answer carries
places     which folders are shown
contents   the files that may be served, found by walking the folders
reading    the plan and the findings, read for the front page
sheet      one calculator on its page: fields, answer, picture, sources
fields     its form: what was typed and what is said at it
drawing    its picture along a range
notes      the words of its docstring, with links to other calculators
views      front page, files, fixed files, the bench
"""
