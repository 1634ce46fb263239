"""A first schedule, made from the plan and from what setup.toml says of light, water and doses; the keeper changes it to fit.

Times of day and minutes are assumptions (common practice, no source) that stand in the file to be changed.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import time

from fairtank.build import Dose, Scope, Setup
from fairtank.chore import Chore
from fairtank.planning.schedule.rule_parts import WEEKDAYS
from fairtank.planning.schedule.rules import ONCE
from fairtank.trial import Plan

PHOTO_AT, LIGHT_AT, TEST_AT, WATER_AT, DOSE_AT, TRIM_AT = (time(18, 0), time(17, 45), time(18, 20), time(19, 0), time(20, 0), time(19, 30))
# Minutes for each unit: common practice, no source.
PHOTO_MIN, LIGHT_MIN, TEST_MIN, WATER_MIN, DOSE_MIN, TRIM_MIN = (1.5, 1.0, 6.0, 10.0, 0.5, 10.0)
FIRST_TRIM_DAY, WEEK = 14, 7
LAST_OF_WEEK = 6  # tests, then the water change, at the end of each week of the trial
LONGEST_NAME = 36
_NEAR = 0.02


@dataclass(frozen=True)
class LightSetting:
    """How the lamps of some units are set, on every day of the trial.

    units: in the order of the plan. hours_per_day: of light. target_umol: light wanted at the bed [µmol m⁻² s⁻¹].
    """

    units: tuple[str, ...]
    hours_per_day: float
    target_umol: float


def default_chores(plan: Plan, setup: Setup | None = None) -> tuple[Chore, ...]:
    """A first schedule: daily photos of all units, weekly tests, trims, and what setup.toml says of light, water changes and doses.

    Parameters
    ----------
    plan : Plan
        The plan.
    setup : Setup or None
        What is built; None where there is no setup.toml.

    Returns
    -------
    tuple of Chore
        In the order of the day. Times and minutes are assumptions that the keeper changes.

    References
    ----------
    common_practice (keys from sources.py).
    """
    units = tuple(unit.key for unit in plan.units)
    chores = [
        Chore("photos", "Photos of all tanks", "photo", "FREQ=DAILY", at=PHOTO_AT, minutes=_minutes(PHOTO_MIN, units),
              note="One tank after the other: lamps on, same place, same setting, before hands go into any water."),
        Chore("tests", "Water tests of all tanks", "test", _weekly(plan, (min(LAST_OF_WEEK, plan.days),)), at=TEST_AT,
              minutes=_minutes(TEST_MIN, units),
              note="In all tanks within the hour, with the same kit, before the water change. Write them into readings.csv."),
    ]
    chores += [] if setup is None else [*_light(setup, plan), *_water(setup, plan), *_doses(setup, plan)]
    if plan.days > FIRST_TRIM_DAY:
        chores.append(Chore("trim", "Trim, in all tanks alike", "trim", "FREQ=WEEKLY;INTERVAL=2", from_day=FIRST_TRIM_DAY, at=TRIM_AT,
                            minutes=_minutes(TRIM_MIN, units), note="Only where it is needed, by the same rule in every tank; after the "
                            "photos. Keep what was cut apart by tank, or weigh it."))
    return tuple(sorted(chores, key=lambda chore: chore.at))


def light_settings(setup: Setup) -> tuple[LightSetting, ...]:
    """How the lamps are set in which units.

    Parameters
    ----------
    setup : Setup
        What is built.

    Returns
    -------
    tuple of LightSetting
        Empty where setup.toml says nothing of light.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return tuple(LightSetting(_holding(setup, light.scope), light.hours_per_day, light.target_umol) for light in setup.light)


def _light(setup: Setup, plan: Plan) -> list[Chore]:
    """Timers set on day 0, and looked at once a week."""
    found = []
    for place, light in enumerate(setup.light):
        units = _holding(setup, light.scope)
        found.append(Chore(_key("light", place), f"Set lamps and timers to {light.hours_per_day:g} h of light a day", "light", ONCE,
                           at=LIGHT_AT, minutes=_minutes(LIGHT_MIN, units), units=_named(units, setup), quantity="hours of light",
                           amount=light.hours_per_day, unit_of_measure="h"))
    if found and plan.days >= WEEK:
        found.append(Chore("light_look", "Look whether every lamp and timer does what it should", "light", "FREQ=WEEKLY", from_day=WEEK,
                           at=LIGHT_AT, minutes=_minutes(LIGHT_MIN / 2, setup.units)))
    return found


def _water(setup: Setup, plan: Plan) -> list[Chore]:
    """The water changes of each water plan that has any."""
    found = []
    for place, water in enumerate(one for one in setup.water if one.change_fraction > 0 and one.changes_per_week > 0):
        units, often = _holding(setup, water.scope), water.changes_per_week
        note = "Same share, same water and same temperature in every tank, one after the other."
        found.append(Chore(_key("water_change", place), f"Water change, {100 * water.change_fraction:.3g} %", "water_change",
                           _often(plan, often, LAST_OF_WEEK)[0], from_day=_first(often), at=WATER_AT, minutes=_minutes(WATER_MIN, units),
                           units=_named(units, setup), amount=water.change_fraction, note=_told(plan, often, note)))
    return found


def _doses(setup: Setup, plan: Plan) -> list[Chore]:
    """One chore for each dose; more than seven a week become several chores a day."""
    found: list[Chore] = []
    keys: dict[str, int] = {}
    for dose in setup.doses:
        if dose.doses_per_week <= 0:
            continue
        units = _holding(setup, dose.scope)
        label = setup.material(dose.material).label
        times = max(1, round(dose.doses_per_week / WEEK)) if dose.doses_per_week > WEEK else 1
        for turn in range(times):
            place = keys.get(dose.material, 0)
            keys[dose.material] = place + 1
            often = dose.doses_per_week / times
            amount, unit = _measure(dose)
            found.append(Chore(_key(f"dose_{dose.material}", place), f"Dose {label}, {_amount(dose)}", "dose", _often(plan, often, 0)[0],
                               at=DOSE_AT if times == 1 else time(8 + turn * 12 // times), minutes=_minutes(DOSE_MIN, units),
                               units=_named(units, setup), quantity=dose.material, amount=amount, unit_of_measure=unit,
                               note=_told(plan, often, "")))
    return found


def _amount(dose: Dose) -> str:
    value, unit = (dose.volume_ml, "mL") if dose.mass_mg is None else (dose.mass_mg, "mg")
    return f"{value:g} {unit}{' for each litre of water' if dose.per_litre else ''} in each tank"


def _measure(dose: Dose) -> tuple[float | None, str]:
    """Amount and unit of a chore; per litre it differs from tank to tank and stands on the build sheet."""
    if dose.per_litre:
        return None, ""
    return (dose.volume_ml, "mL") if dose.mass_mg is None else (dose.mass_mg, "mg")


def _often(plan: Plan, per_week: float, first: int) -> tuple[str, bool]:
    """A rule for so many times a week, spread evenly, and whether it is exactly so many: days of the week where the number is whole."""
    whole = round(per_week)
    if whole >= 1 and abs(per_week - whole) < _NEAR:
        if whole >= WEEK:
            return "FREQ=DAILY", whole == WEEK
        return _weekly(plan, [(first + turn * WEEK // whole) % WEEK for turn in range(whole)]), True
    every = max(1, round(WEEK / per_week))
    return f"FREQ=DAILY;INTERVAL={every}" if every > 1 else "FREQ=DAILY", abs(WEEK / per_week - every) < _NEAR


def _first(per_week: float) -> int:
    """The first day of a chore that goes by a number of days: the end of its first span. One that goes by days of the week begins at 0."""
    whole = round(per_week)
    return 0 if whole >= 1 and abs(per_week - whole) < _NEAR else max(1, round(WEEK / per_week))


def _told(plan: Plan, per_week: float, note: str) -> str:
    """A note, with the number that setup.toml asks for where no even rhythm of days gives it."""
    if _often(plan, per_week, 0)[1]:
        return note
    return f"{note} setup.toml says {per_week:g} times a week: this is the nearest even rhythm of days.".strip()


def _weekly(plan: Plan, offsets: Sequence[int]) -> str:
    """Each week on the days that lie so many days after the weekday of day 0."""
    days = sorted((plan.start.weekday() + offset) % WEEK for offset in offsets)
    return f"FREQ=WEEKLY;BYDAY={','.join(WEEKDAYS[day] for day in days)}"


def _holding(setup: Setup, scope: Scope) -> tuple[str, ...]:
    return tuple(unit for unit in setup.units if setup.holds(scope, unit))


def _named(units: tuple[str, ...], setup: Setup) -> tuple[str, ...]:
    """The units of a chore; none where it holds for all."""
    return () if units == setup.units else units


def _key(name: str, place: int) -> str:
    """A key that may become part of a file's name; a further one of the same name is counted."""
    plain = re.sub(r"[/\\;*]|\.\.", "_", name)[:LONGEST_NAME]
    return plain if place == 0 else f"{plain}_{place + 1}"


def _minutes(each: float, units: Iterable[str]) -> float:
    """Whole minutes for all units together."""
    return float(max(1, round(each * len(tuple(units)))))
