"""One table of schedule.toml, asked key by key: when a chore falls, at what time, in which units, how much."""

from datetime import date, datetime, time
from typing import Any

from fairtank.chore import CHORE_KINDS
from fairtank.errors import InputError
from fairtank.planning.schedule.rules import EVERY_ACCEPTED, Recurrence, recurrence_of
from fairtank.records.folder.cells import LONGEST_TEXT
from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.paths import CONTROL
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, Refusal, listed
from fairtank.records.folder.toml_section import MISSING, Section, check_unquoted, toml_shown
from fairtank.units import quantity_from_text

SCHEDULE_FILE = "schedule.toml"
LONGEST_CHORE_MIN = 1440
USUAL_AT = time(18, 0)
_AT_ACCEPTED = 'a time of day such as "18:20"'
_AMOUNT_ACCEPTED = 'a number above 0, or a text with its unit such as "5 mL" or "30 %"'


class ChoreSection(Section):
    """One table of schedule.toml, at a place such as `[[chore]] 2`."""

    def __init__(self, place: str, table: dict[str, Any], problems: Problems, draft: Draft) -> None:
        super().__init__(place, table, problems, SCHEDULE_FILE)
        self.draft = draft

    def every(self) -> Any:
        """When the chore falls."""
        def check(value: Any) -> Recurrence:
            if not isinstance(value, str) or len(value) > LONGEST_TEXT:
                raise Refusal(f"{toml_shown(value)} is not a text", EVERY_ACCEPTED)
            try:
                return recurrence_of(value)
            except InputError as error:
                raise Refusal(str(error.value), error.accepted) from None
        return self._ask("every", MISSING, check, EVERY_ACCEPTED)

    def day(self, key: str, default: Any, low: int, high: int) -> Any:
        """A day of the trial: its number, or its date."""
        start = self.draft.start
        dated = f", or a date such as {start}" if start is not None else ""
        accepted = f"a day of the trial, a whole number from {low} to {high}{dated}"

        def check(value: Any) -> int:
            check_unquoted(value, accepted)
            if isinstance(value, date) and not isinstance(value, datetime) and start is not None:
                number = (value - start).days
                if not low <= number <= high:
                    raise Refusal(f"{value} would be day {number}", accepted)
                return number
            if type(value) is not int or not low <= value <= high:
                raise Refusal(f"{toml_shown(value)} is {'out of range' if type(value) is int else 'not a day'}", accepted)
            return value
        return self._ask(key, default, check, accepted)

    def kind(self) -> Any:
        """What sort of chore it is; a blank in place of the mark between two words is understood."""
        def check(value: Any) -> str:
            word = value.strip().casefold().replace(" ", "_").replace("-", "_") if isinstance(value, str) else ""
            if word not in CHORE_KINDS:
                near = did_you_mean(meant(word, CHORE_KINDS)) if word else ""
                raise Refusal(f"{toml_shown(value)} is none of the words known here{near}", listed(CHORE_KINDS))
            return word
        return self._ask("kind", MISSING, check, listed(CHORE_KINDS))

    def at(self) -> Any:
        """The time of day."""
        def check(value: Any) -> time:
            if isinstance(value, time):
                return value
            try:
                return time.fromisoformat(value.strip() if len(value.strip()) > 4 else f"0{value.strip()}")
            except (AttributeError, ValueError):
                raise Refusal(f"{toml_shown(value)} is no time of day", _AT_ACCEPTED) from None
        return self._ask("at", USUAL_AT, lambda value: check(value).replace(tzinfo=None, microsecond=0), _AT_ACCEPTED)

    def minutes(self) -> Any:
        """How long the chore takes, for all its units together."""
        accepted = f"minutes for all its units together, a number from 0 to {LONGEST_CHORE_MIN}"

        def check(value: Any) -> float:
            check_unquoted(value, accepted)
            if type(value) not in (int, float) or not 0 <= value <= LONGEST_CHORE_MIN:  # NaN fails too
                raise Refusal(f"{toml_shown(value)} cannot stand here", accepted)
            return float(value)
        return self._ask("minutes", 0.0, check, accepted)

    def units(self) -> Any:
        """The units in which it is to be done; empty for all."""
        known = self.draft.units
        accepted = f'a list such as ["T1", "T2"]{"" if known is None else f"; units: {listed(known)}"}, or nothing for all units'

        def check(value: Any) -> tuple[str, ...]:
            if not isinstance(value, list) or not all(isinstance(one, str) or type(one) is int for one in value):
                raise Refusal(f"{toml_shown(value)} is not such a list", accepted)
            names = tuple(str(one).strip() for one in value)
            wrong = tuple(name for name in names if known is not None and name not in known)
            if wrong:
                raise Refusal(f"{listed(wrong, most=3)} {'is not a unit' if len(wrong) == 1 else 'are no units'} of trial.toml", accepted)
            if len(set(names)) < len(names):
                raise Refusal(f"{toml_shown(value)} names a unit twice", accepted)
            return names
        return self._ask("units", (), check, accepted)

    def amount(self) -> Any:
        """How much, with its unit where it stands in the same text."""
        def check(value: Any) -> tuple[float, str]:
            number, unit = value, ""
            if isinstance(value, str):
                try:
                    number, unit = quantity_from_text(value)
                except InputError:
                    raise Refusal(f"{toml_shown(value)} is not a number with its unit", _AMOUNT_ACCEPTED) from None
                number, unit = (number / 100, "") if unit == "%" else (number, unit)
            if type(number) not in (int, float) or not 0 < number <= 1e9:
                raise Refusal(f"{toml_shown(value)} cannot stand here", _AMOUNT_ACCEPTED)
            return float(number), unit
        return self._ask("amount", (None, ""), check, _AMOUNT_ACCEPTED)

    def slip_day(self, last: int) -> Any:
        """The first day that slipped: one of the trial, from day 0 on."""
        return self.day("day", MISSING, 0, last)

    def needed_text(self, key: str) -> Any:
        """A text that may not be empty."""
        accepted = "a text in quotation marks that is not empty"

        def check(value: Any) -> str:
            text = value.strip() if isinstance(value, str) else ""
            if not text or len(text) > LONGEST_TEXT or CONTROL.search(text):
                raise Refusal(f"{toml_shown(value)} cannot stand here", accepted)
            return text
        return self._ask(key, MISSING, check, accepted)
