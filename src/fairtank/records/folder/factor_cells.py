"""A row of factors.csv as the noun and back: numbers stand in the factor's own unit once they were read."""

from datetime import date
from typing import Any

from fairtank.errors import InputError
from fairtank.factor import FactorValue
from fairtank.planning.evenness.conversion import value_read
from fairtank.planning.evenness.wording import flat
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.problems import shown
from fairtank.records.folder.toml_section import Section
from fairtank.registry import Entry, entries
from fairtank.trial import Plan

Values = dict[str, Any]
KEYS_ARE_LISTED = "the key of a factor, such as lamp_age; docs/reference/factors.md lists all of them"
_OWN_UNITS = ("doses",)  # may stay in the keeper's unit: a liquid is dosed in mL


def factor_from_cells(values: Values, plan: Plan) -> FactorValue:
    """The noun of a row that was checked."""
    key = values["factor"]
    value, unit_of_measure = cell_read(known_factors()[key], values["value"], values["unit_of_measure"], plan.start)
    return FactorValue(values["unit"], key, value, unit_of_measure, values["note"])


def known_factors() -> dict[str, Entry]:
    """The declared factors by their keys."""
    return {entry.key: entry for entry in entries("factor")}


def near_factor(word: str) -> str:
    """The key of the factor that was probably meant: misspelt, or called by its title; empty where none is near.

    >>> near_factor("lampage"), near_factor("Water temperature"), near_factor("moon")
    ('lamp_age', 'temperature', '')
    """
    known = known_factors()
    titled = next((key for key, entry in known.items() if flat(entry.title) == flat(word)), "")
    return titled or meant(word, known)


def change_factors_of(trial: Section) -> tuple[str, ...]:
    """The factors that the change is meant to move, as `[trial] change_factors` names them."""
    named: tuple[str, ...] = trial.names("change_factors") or ()
    known = known_factors() if named else {}
    for key in named:
        if key not in known:
            trial.fault("change_factors", f"{shown(key)} is not a factor{did_you_mean(near_factor(key))}", KEYS_ARE_LISTED)
    return named


def cell_read(entry: Entry, text: str, unit_of_measure: str, start: date) -> tuple[float | str, str]:
    """Value and unit of a cell: a number in the factor's unit, a word, or a dose in its own unit.

    Raises
    ------
    InputError
        If the unit cannot be turned into the factor's.
    """
    try:
        value = value_read(text, unit_of_measure, entry.key, entry.unit, start)
    except InputError:
        if entry.key not in _OWN_UNITS:
            raise
        return value_read(text, "", entry.key, entry.unit, start), unit_of_measure
    return value, "" if isinstance(value, str) else entry.unit


def cells_from_factor(noun: FactorValue) -> Values:
    """The cells of a row that say what the noun says."""
    value = noun.value if isinstance(noun.value, str) else number_text(noun.value)
    return {"unit": noun.unit, "factor": noun.factor, "value": value, "unit_of_measure": noun.unit_of_measure, "note": noun.note}
