"""trial.toml as a plan: every key checked, and the keys checked against each other."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from typing import Any

from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_RUN_IN
from fairtank.records.folder.factor_cells import change_factors_of
from fairtank.records.folder.plan_toml_arms import check_arms, check_several, check_twice, read_arms
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.tables import LONGEST_TRIAL_DAYS
from fairtank.records.folder.toml_section import FILE, MISSING, Section, toml_shown
from fairtank.records.folder.toml_text import document_from_text
from fairtank.records.folder.unknown_keys import heads_corrected
from fairtank.trial import COMPARED, DESIGN_KINDS, EXPECTED, MEASURE_ROLES, SCALES, SUMMARIES, Looks, MeasureChoice, Plan, Unit

TRIAL_TEXTS = ("title", "question", "change", "reference", "rationale", "keeper", "place", "disclosure")
LATER_TEXTS = ("repeats",)  # written only where there is something to say
UNIT_TEXTS = ("tank", "compartment", "block", "position", "pair", "round")
HEADS = ("trial", "design", "arm", "unit", "measure", "looks")
MOST_TABLES = 500
LARGEST_SEED = 2**63 - 1
FEWEST_DAYS_OF_KIND = {"run_in": 2, "swap": 1}  # `days` is the number of the last day, and day 0 counts


@dataclass
class Draft:
    """What could be read of the plan, even where parts of it are wrong: enough to check the other files against.

    plan is None when trial.toml has a problem. units, measures, start and days are None when they cannot be known.
    unknown holds the keys that fairtank does not use: place, key and value.
    """

    plan: Plan | None = None
    units: tuple[str, ...] | None = None
    measures: tuple[MeasureChoice, ...] | None = None
    start: date | None = None
    days: int | None = None
    unknown: list[tuple[str, str, Any]] = field(default_factory=list)


def draft_from_text(text: str, problems: Problems) -> Draft:
    """The plan that a text of trial.toml describes, or as much of it as can be read."""
    document = document_from_text(FILE, text, "the example plan", problems)
    if document is None:
        return Draft()
    found = Problems()
    draft = _draft(document, found)
    problems.take(found)
    if found:
        draft.plan = None
    return draft


def _draft(document: dict[str, Any], problems: Problems) -> Draft:
    document = heads_corrected(document, HEADS, FILE, problems)
    sections = [_one(document, name, problems) for name in ("trial", "design", "looks")]
    trial, design, looks = sections
    arms = _many(document, "arm", problems)
    units = _many(document, "unit", problems)
    measures = _many(document, "measure", problems)
    draft = Draft()

    words: dict[str, Any] = {key: trial.text(key) for key in (*TRIAL_TEXTS, *LATER_TEXTS)}
    words["expect"] = trial.choice("expect", EXPECTED, "either")
    words["change_factors"] = change_factors_of(trial)
    layout = _layout(design)
    draft.start, draft.days = layout["start"], layout["days"]
    plan_arms = read_arms(arms, layout["kind"])
    plan_units = _units(units, tuple(arm.key for arm in plan_arms), layout["kind"])
    plan_measures = _measures(measures, layout)
    plan_looks = _looks(looks, layout["days"])
    _check_last_look(looks, plan_looks, plan_measures, layout["days"])
    _check_shared_water(design, plan_units, layout["kind"])
    check_arms(plan_arms, plan_units, problems)
    check_several(design, arms, plan_arms, layout)
    _check_measures(plan_measures, problems)
    if layout["kind"] == "pairs":
        _check_pairs(plan_units, problems)
    if units and all(unit.key for unit in plan_units):
        draft.units = tuple(dict.fromkeys(unit.key for unit in plan_units))
    if measures and all(measure.key for measure in plan_measures):
        draft.measures = plan_measures
    for section in (trial, design, *arms, *units, *measures, looks):
        draft.unknown += [(section.place, key, value) for key, value in section.leftovers().items()]
    draft.unknown += [("", key, value) for key, value in document.items() if key not in HEADS]
    if not problems:
        draft.plan = Plan(**words, **layout, arms=plan_arms, units=plan_units, measures=plan_measures, looks=plan_looks)
    return draft


def _one(document: dict[str, Any], name: str, problems: Problems) -> Section:
    """A table that stands once; an empty one when it is left out."""
    table = document.get(name, {})
    if not isinstance(table, dict):
        problems.add(FILE, None, f"[{name}]", f"{toml_shown(table)} stands in place of a table", f"one table headed [{name}]")
        table = {}
    return Section(f"[{name}]", table, problems)


def _many(document: dict[str, Any], name: str, problems: Problems) -> list[Section]:
    """Tables that stand once for each thing."""
    tables = document.get(name, [])
    accepted = f"one table headed [[{name}]] for each {name}"
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        problems.add(FILE, None, f"[[{name}]]", f"{toml_shown(tables)} stands in place of a list of tables", accepted)
        return []
    if not tables:
        problems.add(FILE, None, f"[[{name}]]", f"no {name} is listed", accepted)
    if len(tables) > MOST_TABLES:
        problems.add(FILE, None, f"[[{name}]]", f"there are {len(tables)} such tables", f"at most {MOST_TABLES}")
        return []
    return [Section(f"[[{name}]] {number}", table, problems) for number, table in enumerate(tables, start=1)]


def _layout(design: Section) -> dict[str, Any]:
    """The design's keys, checked against each other."""
    kind = design.choice("kind", DESIGN_KINDS)
    days = design.whole("days", 0, LONGEST_TRIAL_DAYS)  # 0: one day, such as weights at harvest
    last = _last_day(days)
    fewest = FEWEST_DAYS_OF_KIND.get(kind, 0)
    if days is not None and days < fewest:
        design.fault("days", f"{days} leaves no room for a trial of kind {kind}", f"a whole number from {fewest} to {LONGEST_TRIAL_DAYS}")
        days, last = None, LONGEST_TRIAL_DAYS
    run_in, swap = (MISSING, 1) if kind == "run_in" else (0, 0), (MISSING, 1) if kind == "swap" else (0, 0)
    layout = {
        "kind": kind,
        "start": design.date("start"),
        "days": days,
        "run_in_days": design.whole("run_in_days", run_in[1], max(last - 1, 0), run_in[0]),
        "swap_day": design.whole("swap_day", swap[1], last, swap[0]),
        "washout_days": design.whole("washout_days", 0, last, 0),
        "round_days": design.whole("round_days", 0, last + 1, 0),
        "start_window": design.day_pair("start_window", 0, last),
        "drawn_day": design.whole("drawn_day", 0, last, None),
        "shared_water": design.flag("shared_water", False),
        "drawn": design.flag("drawn", False),
        "seed": design.whole("seed", 0, LARGEST_SEED, None),
        "blinded": design.flag("blinded", False),
        "compare": design.choice("compare", COMPARED, "reference"),
        "dose_unit": design.text("dose_unit"),
        "earlier_tanks": design.flag("earlier_tanks", True),
        "tank_litres": design.number("tank_litres", None, above=0),
    }
    window, drawn_day = layout["start_window"], layout["drawn_day"]
    if kind == "drawn_start" and not design.has("start_window"):
        design.fault("start_window", "the key is missing", "[first day, last day] between which the start is drawn, such as [10, 23]")
    if window and drawn_day is not None and not window[0] <= drawn_day <= window[1]:
        design.fault("drawn_day", f"day {drawn_day} lies outside start_window", f"a day from {window[0]} to {window[1]}")
    if kind == "swap" and layout["swap_day"] and layout["washout_days"] and layout["swap_day"] + layout["washout_days"] >= last:
        design.fault("washout_days", "no day is left after the washout", f"fewer than {max(last - layout['swap_day'], 0)} days")
    return layout


def _last_day(days: int | None) -> int:
    """The last day that other keys may name; as late as can be where `days` itself is at fault."""
    return LONGEST_TRIAL_DAYS if days is None else days


def _units(sections: list[Section], arms: tuple[str, ...], kind: str | None) -> tuple[Unit, ...]:
    """The units; in a swap the arm may be left out where first_arm says it."""
    units = []
    known = tuple(arm for arm in arms if arm)
    for section in sections:
        first_arm = section.name("first_arm", "")
        arm = section.name("arm", first_arm if kind == "swap" and first_arm else MISSING)
        for name, value in (("arm", arm), ("first_arm", first_arm)):
            if value and known and value not in known and len(known) == len(arms):
                section.fault(name, f"{shown(value)} is not an arm of trial.toml", listed(known))
        unit = Unit(section.name("key"), arm, first_arm=first_arm, **{name: section.text(name) for name in UNIT_TEXTS})
        for design, name in (("pairs", "pair"), ("rounds", "round")):
            if kind == design and getattr(unit, name) == "":
                section.fault(name, "the key is missing or empty", f"the {name} that this unit belongs to")
        units.append(unit)
    check_twice(sections, tuple(unit.key for unit in units), "unit")
    return tuple(units)


def _measures(sections: list[Section], layout: dict[str, Any]) -> tuple[MeasureChoice, ...]:
    measures = []
    for section in sections:
        measure = MeasureChoice(
            key=section.key("key"),
            role=section.choice("role", MEASURE_ROLES, "secondary"),
            summary=section.choice("summary", SUMMARIES, "mean"),
            scale=section.choice("scale", SCALES, None),
            margin=section.number("margin", None, above=0),
            window=section.day_pair("window", 0, _last_day(layout["days"]), one_day=True),
            threshold=section.number("threshold", None),
            title=section.text("title"),
            unit_of_measure=section.text("unit_of_measure"),
        )
        if measure.summary == "threshold" and not section.has("threshold"):
            section.fault("threshold", "the key is missing", "the value whose first day is asked for, as summary is threshold")
        if measure.summary == "swap" and layout["kind"] not in ("swap", None):
            section.fault("summary", f"swap does not fit a trial of kind {layout['kind']}", 'swap only with kind = "swap" in [design]')
        run_in_days = layout["run_in_days"]
        if measure.summary == "change" and layout["kind"] not in ("drawn_start", None) and run_in_days is not None \
                and run_in_days < FEWEST_DAYS_FOR_A_RUN_IN:
            section.fault("summary", f"change needs a run-in of at least {FEWEST_DAYS_FOR_A_RUN_IN} photographed days, and run_in_days is "
                          f"{run_in_days}", f"run_in_days of {FEWEST_DAYS_FOR_A_RUN_IN} or more in [design], or summary mean")
        measures.append(measure)
    check_twice(sections, tuple(measure.key for measure in measures), "measure")
    return tuple(measures)


def _looks(section: Section, last: int | None) -> Looks:
    days, budget = section.wholes("days", min(1, _last_day(last)), _last_day(last)), section.numbers("budget", above=0)
    if days is None or budget is None:
        return Looks()
    if any(later <= earlier for earlier, later in pairwise(days)):
        section.fault("days", f"{toml_shown(list(days))} does not ascend", "days in ascending order, each once")
    if len(budget) != len(days):
        section.fault("budget", f"the number of shares is {len(budget)}, of days {len(days)}", "one share of the budget for each day")
    elif sum(budget) > 0.05 + 1e-9:
        section.fault("budget", f"the shares add up to {sum(budget):.4g}", "shares that add up to at most 0.05")
    return Looks(days, budget)


def _check_last_look(section: Section, looks: Looks, measures: tuple[MeasureChoice, ...], days: int | None) -> None:
    """The trial is judged at its last look, so that look must see every day that counts and no more."""
    primary = [measure for measure in measures if measure.role == "primary"]
    if not looks.days or len(primary) != 1 or days is None:
        return
    window = primary[0].window
    last, what = (window[1], "the end of the primary measure's window") if window else (days, "the last day of the trial")
    if looks.days[-1] != last and list(looks.days) == sorted(looks.days):
        section.fault("days", f"the last look is on day {looks.days[-1]}", f"day {last} as the last look, {what}")


def _check_shared_water(design: Section, units: tuple[Unit, ...], kind: str | None) -> None:
    """Whether compartments of one tank share water changes what counts as a tank: it has no default where a tank holds several units.

    In rounds the same tank comes back in every round, one unit at a time.
    """
    keys = {unit.key for unit in units}
    if design.has("shared_water") or not all(keys) or len(keys) < len(units):
        return
    held: dict[tuple[str, str], list[str]] = {}
    for unit in units:
        held.setdefault((unit.in_tank, unit.round if kind == "rounds" else ""), []).append(unit.key)
    crowded = next(((tank, keys) for (tank, _), keys in held.items() if len(keys) > 1), None)
    if crowded is not None:
        tank, own = crowded
        design.fault("shared_water", f"the key is missing, tank {shown(tank)} holds {len(own)} units ({listed(tuple(own), most=3)}), and "
                     "the choice changes the conclusion", "true when the compartments of a tank share water, false when they do not")


def _check_measures(measures: tuple[MeasureChoice, ...], problems: Problems) -> None:
    """Exactly one measure is judged first."""
    roles = Counter(measure.role for measure in measures)
    if measures and None not in roles and roles["primary"] != 1:
        read = f'{roles["primary"] or "no"} measures have the role primary'
        problems.add(FILE, None, "[[measure]], role", read, 'exactly one measure with role = "primary"')


def _check_pairs(units: tuple[Unit, ...], problems: Problems) -> None:
    """A pair is two units in different arms."""
    pairs: dict[str, list[Unit]] = {}
    for unit in units:
        if unit.pair:
            pairs.setdefault(unit.pair, []).append(unit)
    for name, members in pairs.items():
        if len(members) != 2 or members[0].arm == members[1].arm:
            read = f"pair {shown(name)} holds " + listed(tuple(f"{unit.key} ({unit.arm})" for unit in members))
            problems.add(FILE, None, "[[unit]], pair", read, "two units in each pair, in different arms")
