"""German pages write numbers with a point, as the files, the fields and the sentences of the finding do: 6.5, and no sign for thousands."""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = "\N{NARROW NO-BREAK SPACE}"
NUMBER_GROUPING = 0
DATE_FORMAT = "Y-m-d"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "Y-m-d H:i"
