"""Like-tank spread of earlier trials in words: the table of entries, what they are good for, and what became of a spread.csv."""

import math
from collections.abc import Sequence

from fairtank import registry
from fairtank.inference.earlier.like_tanks import FEWEST_DF, FEWEST_GROUPS, Library, SpreadKind
from fairtank.publish.numbers import figures, in_a_row, plain_number, shown
from fairtank.trial import SpreadEntry

COLUMNS = ("trial", "measure", "summary", "window", "tanks", "SD", "degrees of freedom")
RIGHT = ("SD", "degrees of freedom")
NOT_KNOWN = "not known"
NONE_TELLS = "None of these trials tells how far like tanks end up apart."
_SCALE = {"logit": "log-odds", "log": "natural logarithms"}


def table_rows(entries: Sequence[SpreadEntry]) -> list[list[str]]:
    """One row for each entry."""
    rows = [list(COLUMNS)]
    for entry in entries:
        rows.append([shown(entry.trial), measure_title(entry.measure), entry.summary, shown(entry.window_class) or NOT_KNOWN,
                     shown(entry.tank_class) or NOT_KNOWN, spread_text(entry.variance, entry.scale, entry.summary), plain_number(entry.df)])
    return rows


def measure_title(key: str) -> str:
    """A measure's name; its key where it is not one of fairtank's own."""
    own = next((entry for entry in registry.entries("measure") if entry.key == key), None)
    return own.title if own else shown(key)


def spread_text(variance: float, scale: str, summary: str) -> str:
    """A variance as the standard deviation of one tank's number, with the scale on which it is.

    >>> spread_text(0.16, "logit", "mean"), spread_text(0.0004, "log", "slope"), spread_text(2.25, "identity", "mean")
    ('0.40 log-odds', '0.020 natural logarithms per day', "1.5 in the measure's unit")
    """
    per_day = " per day" if summary == "slope" else ""
    return f"{figures(math.sqrt(variance))} {_SCALE.get(scale, 'in the measure' + chr(39) + 's unit')}{per_day}"


def kind_words(kind: SpreadKind) -> str:
    """What entries of one kind are about."""
    return (f"{measure_title(kind.measure)}, {kind.summary}, {shown(kind.window_class) or 'window not known'}, "
            f"{shown(kind.tank_class) or 'size of the tanks not known'}")


def library_words(library: Library) -> str:
    """What the entries of one kind are good for together, as one or two sentences.

    Parameters
    ----------
    library : Library
        The entries of one kind.

    Returns
    -------
    str

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    about = kind_words(library.kind)
    count, df = len(library.groups), library.total_df
    told = f"{count} {'trial' if count == 1 else 'trials'}, {plain_number(df)} {'degree' if df == 1 else 'degrees'} of freedom"
    if library.is_qualified:
        middle = math.fsum(entry.df * entry.variance for entry in library.groups) / df
        return (f"{about}: {told}. Enough to help a trial of this kind with one or two tanks per arm; like tanks differed by a standard "
                f"deviation of {spread_text(middle, library.kind.scale, library.kind.summary)}.{_size_words(library)}")
    return f"{about}: {told}. Not enough yet: {FEWEST_GROUPS} trials and {FEWEST_DF:g} degrees of freedom are needed.{_size_words(library)}"


def _size_words(library: Library) -> str:
    if library.kind.tank_class:
        return ""
    return (" As the size of the tanks is not known, they speak only for tanks of unknown size, and on trust: write tank_litres into "
            "trial.toml, or keep a setup.toml.")


def merged_words(place: str, *, added: Sequence[SpreadEntry], replaced: Sequence[SpreadEntry], unchanged: Sequence[SpreadEntry],
                 kept: Sequence[SpreadEntry], removed: Sequence[SpreadEntry], left_out: Sequence[tuple[SpreadEntry, str]]) -> list[str]:
    """What became of a spread.csv, as sentences."""
    parts = [("Added", added), ("Replaced by a newer entry of the same trial", replaced), ("As before", unchanged),
             ("Kept, of other trials", kept), ("Taken out, as of this trial itself or older than another entry of the same trial", removed)]
    told = [f"{place}:" if any(entries for _, entries in parts) or left_out else f"{place}: nothing to write."]
    told += [f"  {what}: {_entries_words(entries)}." for what, entries in parts if entries]
    reasons = dict.fromkeys(reason for _, reason in left_out)
    told += [f"  Left out, {reason}: {_entries_words([entry for entry, why in left_out if why == reason])}." for reason in reasons]
    return told


def _entries_words(entries: Sequence[SpreadEntry]) -> str:
    by_trial: dict[str, list[str]] = {}
    for entry in entries:
        by_trial.setdefault(shown(entry.trial), []).append(f"{measure_title(entry.measure)} ({entry.summary})")
    return "; ".join(f"{trial}: {in_a_row(list(dict.fromkeys(whats)))}" for trial, whats in by_trial.items())
