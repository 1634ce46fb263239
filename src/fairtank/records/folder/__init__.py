"""The trial folder: a plan, tables and photos as plain files that anybody can read, check and pass on.

problems   collects everything wrong in a folder, so that all of it is said at once
paths      names that stay inside the folder, and bytes read within a limit
cells      what one cell of a table may hold, read and written
tables     every CSV file with its columns: the one list
near       misspelt words, and the known ones that they were meant to be
rows       the text of a CSV file as parsed rows
toml_text  the text of a TOML file as a document, with toml_causes: why a line cannot be read
plan_toml  trial.toml as a plan
setup_toml setup.toml as a setup, with setup_toml_section, _parts, _checks and _writer beside it; setup_toml_alone reads it without a plan
schedule_toml  schedule.toml as chores and slips, with schedule_toml_section and _writer beside it; chore_rows and cells_chores: chores.csv
pictures   what a photo's header says, without decoding it
checks     what only several files together can show; beside it checks_needed (tables that others lean on), checks_dates,
           checks_measures, checks_readings, checks_geometry and checks_doubts (what was probably not meant)
labels     the pictures of strokes
nouns      rows as the nouns of `fairtank.trial`, and back
digest     one fingerprint over everything that was read
seal       the plan as it was fixed, in seal.json; beside it seal_parts (what of a plan is sealed), seal_changes (what was changed since),
           seal_canonical (one text for one content), seal_signature, seal_stamp with seal_contents and seal_rows (the data, row by row)
           and seal_faults (what does not fit)
zipped     a folder packed as one file
kit_files  what a kit holds besides the folder, and whether every file is as its list says; carried_json: values that came in place of
photos reader     a whole folder, read
writer     a whole folder, written
"""

from fairtank.records.folder.reader import read_folder
from fairtank.records.folder.writer import text_of, write_folder, write_tables

__all__ = ["read_folder", "text_of", "write_folder", "write_tables"]
