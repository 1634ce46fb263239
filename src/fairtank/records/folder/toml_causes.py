"""Why a line of a TOML file cannot be read, as far as it can be guessed: the usual slips, each with how to write it instead."""

import re

from fairtank.records.folder.problems import on_one_line

LONGEST_SHOWN = 60
_KEY = r"[\w.-]+"
# Keys whose value is no text, so that a bare word there is not told to be put into quotation marks; each with what to write.
_NUMBERS = ("days", "by_days", "count", "dividers", "drawn_day", "round_days", "run_in_days", "seed", "shared_by", "swap_day",
            "washout_days", "dose",
            "margin", "tank_litres", "threshold", "minutes", "amount", "day", "from_day", "until_day", "width_cm", "height_cm",
            "length_cm", "glass_mm",
            "depth_cm", "water_line_cm")
_NO_TEXT = {
    **dict.fromkeys(_NUMBERS, ("a number is wanted here", "a number without quotation marks, such as {key} = 14")),
    **dict.fromkeys(("blinded", "drawn", "earlier_tanks", "is_change", "per_litre", "shared_water"),
                    ("true or false is wanted here", "{key} = true or {key} = false, without quotation marks")),
    "start": ("a date is wanted here", "year, month and day without quotation marks, such as {key} = 2026-03-01"),
}
_CURLY = "“”„‘’‚«»"
Cause = tuple[str, str]

# What stands on the line, what is likely wrong, and what to write; {0}, {1} are what the pattern caught.
_SLIPS: tuple[tuple[re.Pattern[str], str, str], ...] = tuple((re.compile(pattern, re.ASCII), why, accepted) for pattern, why, accepted in (
    (rf"({_KEY})\s*=\s*([+-]?[0-9]+),([0-9]+)\s*(?:#.*)?", "the number has a decimal comma", "a decimal point: {0} = {1}.{2}"),
    (rf"({_KEY})\s*=\s*([0-9]{{1,2}})[./]([0-9]{{1,2}})[./]([0-9]{{4}})\s*(?:#.*)?", "the date is not written year first",
     "year, month and day with two digits each: {0} = {3}-02-01 is 1 February"),
    (rf"({_KEY})\s*=\s*([0-9]{{4}})[-/.]([0-9]{{1,2}})[-/.]([0-9]{{1,2}})\s*(?:#.*)?", "this is no date as TOML writes it, or no calendar "
     "has that day", "year, month and day with hyphens, month and day with two digits each, such as {0} = 2026-03-01"),
    (rf"({_KEY})\s*=\s*(?:True|TRUE|Yes|yes|YES|on|On)\s*(?:#.*)?", "true is written small and without quotation marks", "{0} = true"),
    (rf"({_KEY})\s*=\s*(?:False|FALSE|No|no|NO|off|Off)\s*(?:#.*)?", "false is written small and without quotation marks", "{0} = false"),
    (rf"({_KEY})\s*=\s*0+([0-9]+)\s*(?:#.*)?", "the number begins with a 0", "{0} = {1}"),
    (rf"({_KEY})\s*=\s*([+-]?[0-9]+(?:[.][0-9]+)?)\s*[%a-zA-Zµ°][^#]*(?:#.*)?", "something follows the number",
     "the number alone: {0} = {1}; where a unit may stand, number and unit in quotation marks"),
    (rf"({_KEY})\s*=\s*(?:#.*)?", "no value follows the sign =", "a value, or no such line at all"),
    (rf"({_KEY})\s*:.*", "there is a colon in place of the sign =", "{0} = value"),
    (r"\[\[?[^\]]*\]?(?:#.*)?", "the brackets of this heading do not close", "[design] for what stands once, [[unit]] for what stands "
     "several times"),
))


def cause_of(line: str, error: str, before: list[str]) -> Cause | None:
    """The likely fault of a line and what to write instead; None where none of the usual slips fits.

    error is what the TOML reader says; before are the lines above.
    """
    if any(mark in line for mark in _CURLY) and '"' not in line:
        return "the quotation marks are curly", 'straight ones, "like this" (a word processor makes them curly: use a plain editor)'
    twice = _twice(line, error, before)
    if twice:
        return twice
    for pattern, why, accepted in _SLIPS:
        found = pattern.fullmatch(line)
        if found:
            return why, accepted.format(*(on_one_line(part, LONGEST_SHOWN) for part in found.groups()))
    if "Unclosed array" in error:
        return ("a list above or here does not close, or a comma between its parts is missing", "[1, 2, 3], in square brackets, parted by "
                "commas")
    return _text_fault(line) or _rest_fault(error)


def _twice(line: str, error: str, before: list[str]) -> Cause | None:
    """A key or a heading that stands a second time."""
    if "Cannot overwrite" not in error and "Cannot declare" not in error and "Cannot mutate" not in error:
        return None
    key = line.partition("=")[0].strip()
    first = next((number for number in range(len(before), 0, -1) if before[number - 1].partition("=")[0].strip() == key), None)
    where = f", first in line {first}" if first else ""
    if line.startswith("["):
        accepted = "one heading, with all its keys below it; [[double brackets]] for what stands several times"
        return f"this heading stands twice{where}", accepted
    return f"the key stands twice{where}", "each key once under its heading (is a heading missing between them?)"


def _text_fault(line: str) -> Cause | None:
    """A text whose quotation marks are missing or do not pair up, or a line that is no key at all."""
    key, equals, value = (part.strip() for part in line.partition("="))
    if not equals:
        return ("the sign = is missing", "key = value, or # before a remark") if line else None
    if "\\" in value:
        return "a backslash in a text has a meaning of its own", "two of them, \\\\, or a forward slash"
    if value.count('"') % 2:
        accepted = f'{on_one_line(key, LONGEST_SHOWN)} = "one text between two quotation marks"'
        return "a quotation mark is opened and never closed, or one is too many", accepted
    if not re.fullmatch(_KEY, key, re.ASCII):
        return "the key holds a sign that may not stand there", "letters, digits and _ in a key"
    if value[0] not in "\"'[{0123456789+-" and key in _NO_TEXT:
        why, accepted = _NO_TEXT[key]
        return why, accepted.format(key=key)
    if value[0] not in "\"'[{0123456789+-":
        return "the text has no quotation marks", f'{on_one_line(key, LONGEST_SHOWN)} = "{on_one_line(value, LONGEST_SHOWN)}"'
    if value[0] == "'" and value.count("'") % 2:
        return "the text holds the sign that it is quoted with", 'double quotation marks: "it\'s"'
    return None


def _rest_fault(error: str) -> Cause | None:
    """More on the line than one key and one value."""
    if "Expected newline" in error:
        return "something follows the value", "one key and one value on a line; a remark begins with #"
    return None
