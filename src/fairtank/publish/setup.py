"""How the trial was set up and what happened in it: plan, tanks, materials, water tests, events, photos that were not used."""

import statistics
from collections import Counter
from collections.abc import Sequence
from datetime import timedelta

from fairtank.lot import Draw
from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Facts, Heading, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.draw_words import drawn_fact
from fairtank.publish.numbers import NO_BREAK, plain_number, shown, unit_words, with_unit
from fairtank.publish.phrases import title_words
from fairtank.publish.seal_words import sealed_words
from fairtank.seal import Seal
from fairtank.trial import BuildLine, Event, Plan, Reading

KIND_WORDS = {
    "side_by_side": "side by side", "run_in": "side by side after a run-in in which all were alike",
    "swap": "swap: the arms change places half-way",
    "drawn_start": "two tanks, the day of the change drawn by lot", "pairs": "neighbours in pairs", "rounds": "repeated rounds",
}
EXPECT_WORDS = {"less": "less under the change", "more": "more under the change", "either": "either direction"}
QUANTITY_WORDS = {
    "kh": "KH", "gh": "GH", "ph": "pH", "no3": "NO3", "no2": "NO2", "nh3": "NH3", "nh4": "NH4", "po4": "PO4", "fe": "Fe", "k": "K",
    "ca": "Ca", "mg": "Mg", "co2": "CO2", "o2": "O2", "tds": "TDS", "temperature": "temperature", "temp": "temperature",
}
EFFECT_WORDS = {"keep": "kept in the analysis", "exclude_window": "these days left out", "exclude_unit": "unit left out"}


def plan_facts(plan: Plan, seal: Seal | None = None, draws: Sequence[Draw] = ()) -> Facts:
    """The plan as pairs of a name and what was written down; empty fields are left out here and named among what was not recorded."""
    last = plan.start + timedelta(days=plan.days)
    drawn = "yes" + (f", with seed {plan.seed}" if plan.seed is not None else "") if plan.drawn else "no, or not recorded"
    pairs = [("The change", plan.change), ("Compared with", plan.reference), ("Why", plan.rationale),
             ("Expected", EXPECT_WORDS.get(plan.expect, plan.expect)), ("Design", KIND_WORDS.get(plan.kind, plan.kind)),
             ("Days", f"day 0 is {plan.start.isoformat()}, the last day is {plan.days} ({last.isoformat()})"),
             ("Run-in", f"day 0 to day {plan.run_in_days - 1}" if plan.run_in_days else ""),
             ("Start of the change", _drawn_start(plan)),
             ("Swap", f"on day {plan.swap_day}" if plan.swap_day else ""),
             ("Arms drawn by lot", drawn), ("The draw on record", drawn_fact(draws)),
             ("Scored without knowing the arm", "yes" if plan.blinded else "no, or not recorded"),
             ("Planned reading days", ", ".join(str(day) for day in plan.looks.days)), ("Keeper", plan.keeper), ("Place", plan.place),
             ("Interests and gifts", plan.disclosure), ("Sealed", "" if seal is None else sealed_words(seal))]
    if plan.shared_water:
        pairs.append(("Shared water", "The compartments share their water, so a change that travels with the water reaches all of them."))
    return Facts(tuple((name, shown(text)) for name, text in pairs if shown(text)))


def _drawn_start(plan: Plan) -> str:
    """The day that was drawn and the days it was drawn from; empty in other designs."""
    if plan.start_window is None:
        return ""
    window = f"drawn from day {plan.start_window[0]} to day {plan.start_window[1]}"
    return window if plan.drawn_day is None else f"day {plan.drawn_day}, {window}"


def units_table(plan: Plan, looks: dict[str, ArmLook]) -> Table:
    """Which unit had which arm and where it stood; columns nobody filled are left out."""
    columns = [("Unit", [unit.key for unit in plan.units]),
               ("Arm", [looks[unit.arm].words for unit in plan.units])]
    for head, field in (("Tank", "tank"), ("Compartment", "compartment"), ("Block", "block"), ("Position", "position"), ("Pair", "pair"),
                        ("Round", "round"),
                        ("First arm", "first_arm")):
        cells = [getattr(unit, field) for unit in plan.units]
        if any(cells) and not (field == "tank" and cells == columns[0][1]):
            columns.append((head, cells))
    rows = tuple(zip(*(cells for _, cells in columns), strict=True))
    return Table("The units and their arms", tuple(head for head, _ in columns), tuple(tuple(shown(cell) for cell in row) for row in rows),
                 wide=(1,))


def build_blocks(content: ReportContent) -> tuple[Block, ...]:
    """What each unit received: planned and weighed, one row for each material."""
    lines = content.folder.build
    if not lines:
        return ()
    units = [unit.key for unit in content.folder.plan.units]
    rows = []
    for material in dict.fromkeys((line.material, line.unit_of_measure) for line in lines):
        own = {line.unit: line for line in lines if (line.material, line.unit_of_measure) == material}
        planned = sorted({line.planned for line in own.values() if line.planned is not None})
        cells = [_weighed_words(own.get(unit)) for unit in units]
        rows.append((f"{shown(material[0])} [{unit_words(material[1])}]", " or ".join(plain_number(value) for value in planned) or "none",
                     *cells))
    return (Heading("What went in"), Table("Weighed into each unit, beside what was planned",
                                           ("Material", "Planned", *(shown(unit) for unit in units)),
                                           tuple(rows), wide=(0,), numeric=tuple(range(1, len(units) + 2))))


def _weighed_words(line: BuildLine | None) -> str:
    if line is None:
        return "none"
    return "not weighed" if line.weighed is None else plain_number(line.weighed)


def readings_blocks(content: ReportContent, looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """Water tests by quantity and arm: how many, their median and their range."""
    readings, plan = content.folder.readings, content.folder.plan
    if not readings:
        return ()
    rows = []
    for quantity, unit in dict.fromkeys((reading.quantity, reading.unit_of_measure) for reading in readings):
        cells = []
        for look in looks.values():
            own = [reading for reading in readings if (reading.quantity, reading.unit_of_measure) == (quantity, unit)
                   and plan.arm_of(reading.unit).key == look.key]
            cells.append(_tests_words(own, unit))
        below = sum(reading.below_detection for reading in readings if (reading.quantity, reading.unit_of_measure) == (quantity, unit))
        rows.append((quantity_words(quantity), *cells, str(below)))
    head = ("Quantity", *(f"Arm {look.letter}" for look in looks.values()), "Below detection")
    return (Heading("Water tests"), Table("Median and range of all tests by arm", head, tuple(rows), numeric=(len(head) - 1,),
                                          wide=tuple(range(1, len(head) - 1))))


def quantity_words(quantity: str) -> str:
    """What a tested quantity is called: `kh` becomes KH; one that is not known is shown as it stands.

    >>> quantity_words("kh"), quantity_words("nitrate")
    ('KH', 'nitrate')
    """
    return QUANTITY_WORDS.get(quantity.strip().lower(), shown(quantity))


def _tests_words(readings: Sequence[Reading], unit: str) -> str:
    """Median and range of an arm's tests; one value only where they all gave the same.

    A test that showed nothing holds its limit, printed as `< 0.05`; so is a median that such tests can only bound from above.
    """
    if not readings:
        return "none"
    ordered = sorted(readings, key=lambda reading: (reading.value, not reading.below_detection))
    low, high = (_test_words(end.value, is_limit=end.below_detection) for end in (ordered[0], ordered[-1]))
    if len(ordered) == 1:
        return f"{with_unit(low, unit)}, 1 test"
    if low == high:
        return f"{with_unit(low, unit)} in all, {len(ordered)} tests"
    median, middle = statistics.median(reading.value for reading in ordered), ordered[(len(ordered) - 1) // 2 : len(ordered) // 2 + 1]
    is_limit = any(reading.below_detection and (reading in middle or reading.value > median) for reading in ordered)
    return f"{_test_words(median, is_limit=is_limit)} ({low} to {with_unit(high, unit)}), {len(ordered)} tests"


def _test_words(value: float, *, is_limit: bool) -> str:
    return f"<{NO_BREAK}{plain_number(value)}" if is_limit else plain_number(value)


def events_blocks(events: Sequence[Event]) -> tuple[Block, ...]:
    """All events in order of their day, with what followed for the analysis."""
    if not events:
        return (Words("No event was recorded."),)
    rows = tuple((_days(event), shown(", ".join(event.units)) or "all", shown(event.kind), shown(event.note),
                  EFFECT_WORDS.get(event.effect, event.effect))
                 for event in sorted(events, key=lambda event: (event.day_from, event.kind)))
    return (Table("What happened, and what followed from it", ("Day", "Units", "What", "Note", "In the analysis"), rows, wide=(3, 4)),)


def spoilt_blocks(content: ReportContent) -> tuple[Block, ...]:
    """Units whose number could not be used, with the reason, by measure."""
    rows = tuple((title_words(finding), shown(unit.unit), shown(unit.spoilt or "")) for finding in content.findings
                 for unit in finding.units if unit.spoilt)
    return (Table("Units that could not be used", ("Measure", "Unit", "Why"), rows, wide=(2,)),) if rows else ()


def photos_blocks(content: ReportContent) -> tuple[Block, ...]:
    """Photos that were not used, each with its reason, and a count of the doubtful ones by reason."""
    if not content.qualities:
        return ()
    unused = [quality for quality in content.qualities if quality.quality == "not usable"]
    doubtful = Counter(reason for quality in content.qualities if quality.quality == "doubtful"
                       for reason in quality.reasons or ("No reason given.",))
    blocks: list[Block] = [Words(f"{len(content.qualities)} photos were measured; {len(unused)} could not be used and "
                                 f"{sum(quality.quality == 'doubtful' for quality in content.qualities)} are doubtful but were used.")]
    if unused:
        rows = tuple((str(quality.day), shown(quality.unit), shown(quality.photo), shown(" ".join(quality.reasons))) for quality in
                     sorted(unused, key=lambda quality: (quality.day, quality.unit)))
        blocks.append(Table("Photos that were not used", ("Day", "Unit", "Photo", "Why"), rows, wide=(2, 3), numeric=(0,)))
    if doubtful:
        blocks.append(Table("Doubtful photos by reason", ("Reason", "Photos"),
                            tuple((shown(reason), str(count)) for reason, count in sorted(doubtful.items())),
                            wide=(0,), numeric=(1,)))
    return tuple(blocks)


def _days(event: Event) -> str:
    return str(event.day_from) if event.day_from == event.day_until else f"{event.day_from} to {event.day_until}"
