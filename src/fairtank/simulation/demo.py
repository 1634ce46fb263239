"""The demo trials. Invented: tanks, keepers, places, numbers and effects are made up, and every title says so.

The growth parameters stand in `growth.GrowthParameters`; they were written down before any trial was judged. The seed of each lot is
the date on which the trial starts, so that nobody could shop for a convenient draw.
"""

from datetime import date, datetime, time, timedelta

from fairtank.errors import InputError
from fairtank.simulation.chance import generator, normal
from fairtank.simulation.demo_setup import demo_setup
from fairtank.simulation.growth import GrowthParameters
from fairtank.simulation.scenario import Scenario
from fairtank.trial import Arm, BuildLine, Event, MeasureChoice, Plan, Reading, Unit

# Names and planned amounts are those of the build sheet that is made from the demo's setup; the last word seeds what was weighed.
_BUILD = (
    ("peat and clay base, dry", "substrate", 1.60, "kg", "peat and clay base, dry"),
    ("baked clay cap 2-3 mm", "substrate", 5.40, "kg", "baked clay cap 2-3 mm"),
    ("broken slate", "hardscape", 2.10, "kg", "broken slate, four pieces"),
    ("root wood", "hardscape", 0.35, "kg", "root wood, one piece"),
    ("green stem plant, background", "plant", 11, "pieces", ""),
    ("red stem plant, middle", "plant", 8, "pieces", ""),
    ("carpet plant, foreground", "plant", 4, "pots", ""),
    ("tap water, first fill", "water", 33.0, "L", "tap water"),
)
_QUANTITIES = (
    ("ph", 6.8, 0.08, "", "drop test"),
    ("kh", 4.0, 0.25, "dKH", "drop test"),
    ("gh", 7.0, 0.4, "dGH", "drop test"),
    ("no3", 9.0, 1.6, "mg/L", "colour card"),
)


def arms_by_lot(seed: int, blocks: int) -> tuple[str, ...]:
    """Arms R and C drawn by lot inside blocks of two neighbouring places: one of each arm per block, in order of place.

    >>> sorted(arms_by_lot(4, 1))
    ['C', 'R']
    """
    chance = generator(seed, "lot")
    return tuple(arm for _ in range(blocks) for arm in (("R", "C") if chance.random() < 0.5 else ("C", "R")))


def _readings(seed: int, units: tuple[Unit, ...], start: date, days: tuple[int, ...]) -> tuple[Reading, ...]:
    found = []
    for day in days:
        for number, unit in enumerate(units):
            moment = datetime.combine(start + timedelta(days=day), time(18, 50)) + timedelta(minutes=4 * number)
            for quantity, middle, spread, unit_of_measure, method in _QUANTITIES:
                step = 0.1 if quantity == "ph" else 0.5 if unit_of_measure else 1.0
                value = round(round((middle + spread * normal(seed, unit.key, quantity, day)) / step) * step, 2)
                found.append(Reading(unit.key, moment, day, quantity, value, unit_of_measure, method))
    return tuple(found)


def _build(seed: int, units: tuple[Unit, ...]) -> tuple[BuildLine, ...]:
    lines = []
    for unit in units:
        for material, kind, planned, unit_of_measure, word in _BUILD:
            weighed = round(planned * (1 + 0.012 * normal(seed, unit.key, word)), 2) if word else planned
            lines.append(BuildLine(unit.key, material, kind, float(planned), float(weighed), unit_of_measure, batch="B1", note="invented"))
    return tuple(lines)


def _water_changes(start: date, days: tuple[int, ...]) -> tuple[Event, ...]:
    moments = [datetime.combine(start + timedelta(days=day), time(19, 30)) for day in days]
    note = "30 % in every tank, after the photos."
    return tuple(Event((), at, None, day, day, "water change", note, "keep") for at, day in zip(moments, days, strict=True))


def _midday() -> Scenario:
    seed, lot, start = 7, 20260301, date(2026, 3, 1)
    arms = arms_by_lot(lot, 3)
    units = tuple(
        Unit(f"T{i + 1}", arm, tank=f"T{i + 1}", block=f"B{i // 2 + 1}", position=f"shelf {i // 2 + 1}, place {i % 2 + 1}")
        for i, arm in enumerate(arms)
    )
    plan = Plan(
        title="A dark break at midday (invented demo trial)",
        start=start,
        days=37,
        kind="run_in",
        arms=(Arm("R", "reference", "one 8 h block"), Arm("C", "changed", "dark break")),
        units=units,
        measures=(
            MeasureChoice("algae_cover", "primary", "change", "logit", margin=0.5),
            MeasureChoice("plant_cover", "secondary", "change", "logit"),
            MeasureChoice("canopy_height", "secondary", "change", "log"),
            MeasureChoice("plant_yellowness", "secondary", "change", "identity"),
        ),
        question="Does a dark break at midday, at the same light per day, change how much algae grows?",
        change="4 h light, 3 h dark, 4 h light",
        reference="8 h light in one block",
        rationale="Invented demo trial. It is said that a dark break slows algae and not plants; both arms get 8 h of light per day.",
        keeper="Quorim Balestrun",
        place="a cellar in Ostrevel",
        disclosure="Invented: rendered photos, made-up numbers. Nobody paid for anything.",
        expect="less",
        run_in_days=10,
        drawn=True,
        seed=lot,
        blinded=False,
    )
    slip_at = datetime(2026, 3, 20, 9, 0)
    slip_note = "The timer stood an hour late for one day; put right in the evening."
    slip = Event(("T4",), slip_at, slip_at + timedelta(hours=12), 19, 19, "lamp timer", slip_note, "keep")
    return Scenario(
        name="midday",
        seed=seed,
        plan=plan,
        growth=GrowthParameters(),
        clock=time(18, 20),
        missed=frozenset({(15, ""), (24, ""), (33, ""), (19, "T2"), (28, "T5"), (31, "T3")}),
        labelled=(("T1", 2), ("T2", 12), ("T3", 21), ("T4", 30), ("T5", 37), ("T6", 26), ("T1", 36), ("T3", 37), ("T6", 8)),
        events=tuple(sorted((*_water_changes(start, (6, 13, 20, 27, 34)), slip), key=lambda event: event.at)),
        readings=_readings(seed, units, start, (0, 9, 23, 37)),
        build=_build(seed, units),
        setup=demo_setup("midday", plan),
        cards=True,
    )


def _cover_glass() -> Scenario:
    seed, lot, start = 19, 20260504, date(2026, 5, 4)
    units = tuple(
        Unit(f"T{i + 1}", arm, tank=f"T{i + 1}", block="B1", position=f"place {i + 1}") for i, arm in enumerate(arms_by_lot(lot, 1))
    )
    plan = Plan(
        title="One cover glass more (invented demo trial)",
        start=start,
        days=21,
        kind="side_by_side",
        arms=(Arm("R", "reference", "open tank"), Arm("C", "changed", "cover glass")),
        units=units,
        measures=(
            MeasureChoice("algae_cover", "primary", "mean", "logit", margin=0.5),
            MeasureChoice("plant_cover", "secondary", "mean", "logit"),
        ),
        question="Does a cover glass change how much algae grows?",
        change="a cover glass on the tank",
        reference="no cover glass",
        rationale="Invented demo trial: two tanks only, one per arm, as many keepers would do it.",
        keeper="Mirrelin Ozzavar",
        place="a hall shelf in Umbrenholt",
        disclosure="Invented: rendered photos, made-up numbers. Nobody paid for anything.",
        expect="either",
        drawn=True,
        seed=lot,
        blinded=False,
        change_factors=("cover",),
    )
    return Scenario(
        name="cover_glass",
        seed=seed,
        plan=plan,
        growth=GrowthParameters(algae_effect_logit_d=-0.005),
        clock=time(17, 40),
        missed=frozenset({(11, ""), (17, "T2")}),
        labelled=(("T1", 1), ("T2", 6), ("T1", 13), ("T2", 16), ("T1", 20), ("T2", 21)),
        events=_water_changes(start, (6, 13, 20)),
        readings=_readings(seed, units, start, (0, 10, 21)),
        build=_build(seed, units),
        setup=demo_setup("cover_glass", plan),
        lid_on_changed=True,
        cards=True,
    )


_SCENARIOS = {"midday": _midday, "cover_glass": _cover_glass}


def scenario_names() -> tuple[str, ...]:
    """The names of the demo trials."""
    return tuple(_SCENARIOS)


def scenario(name: str) -> Scenario:
    """The demo trial of that name.

    Parameters
    ----------
    name : str
        `midday` or `cover_glass`.

    Returns
    -------
    Scenario
        The whole invented trial.

    Raises
    ------
    InputError
        If there is no demo trial of that name.

    References
    ----------
    common_practice (all of it is invented).

    Examples
    --------
    >>> len(scenario("midday").plan.units)
    6
    """
    if name not in _SCENARIOS:
        raise InputError("name", name, ", ".join(_SCENARIOS))
    return _SCENARIOS[name]()
