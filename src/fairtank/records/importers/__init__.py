"""Readings from anywhere: pasted cells, CSV, spreadsheets and logger files become readings of a trial, after a look at what was understood.

decoding   bytes as text, with the encoding told
workbook   a spreadsheet file (XLSX) as cells of text, opened with care
sheet      any of these as one sheet of text, with its header found
facts      what is known of the trial: its units, quantities and the readings that are there
headings   what the heading of a column says: a quantity, a unit, a unit of measure
times      dates and times as people and loggers write them
amounts    values as people and loggers write them
matching   which column is what: a plain dataclass that a form can send back
guessing   a first matching, each guess with its reason
columns    what one column by itself seems to hold
rows_read  the cells of a sheet as rows of readings.csv
checking   the checks of a trial folder, called on these rows
doubts     values that were probably not meant in that unit
preview    what would be stored, what is refused and why, and what must be answered first
template   an empty sheet for a trial, to be filled in
"""

from fairtank.records.importers.facts import TrialFacts, facts_of
from fairtank.records.importers.guessing import matched
from fairtank.records.importers.matching import ColumnUse, Matching, fields_of, matching_from_fields
from fairtank.records.importers.preview import Preview, rows_of
from fairtank.records.importers.sheet import Sheet, sheet_of
from fairtank.records.importers.template import template_of

__all__ = ["ColumnUse", "Matching", "Preview", "Sheet", "TrialFacts", "facts_of", "fields_of", "matched", "matching_from_fields",
           "rows_of", "sheet_of", "template_of"]
