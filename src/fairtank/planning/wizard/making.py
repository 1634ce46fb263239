"""What the answers make: the plan, and the factors that the keeper answered for."""

from fairtank.factor import FactorValue
from fairtank.planning.wizard.designs import WASHOUT_DAYS, Proposal, chosen, last_day, start_window, units_of
from fairtank.planning.wizard.margins import Margin, margin_of
from fairtank.planning.wizard.step import Told
from fairtank.planning.wizard.steps_measure import scale_of
from fairtank.planning.wizard.steps_question import moved
from fairtank.trial import Arm, MeasureChoice, Plan, Unit

REFERENCE, CHANGED = "R", "C"
LONGEST_ARM_NAME = 60
_SUMMARIES = {"run_in": "change", "swap": "swap", "drawn_start": "change"}
_WINDOW_WORDS = {"none": "no daylight", "alike": "the same for all"}
_STOCK_WORDS = {"dealt": "one batch, dealt out", "mixed": "several places, mixed and dealt out"}


def plan_of(told: Told, proposal: Proposal | None = None) -> Plan:
    """The plan that the answers make; what was not answered yet is left at what is usual.

    The lot has not spoken: the arms stand in turn along the shelf, and `drawn` is false until `fairtank draw` gives every unit its own.

    Parameters
    ----------
    told : Told
        The answers.
    proposal : Proposal or None
        Another layout than the one that was chosen, to see what it could show.

    Returns
    -------
    Plan

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> plan = plan_of(Told({"change": "more flow", "primary": "algae_cover", "tanks": 2, "weeks": 6, "design": "side_by_side_2"}))
    >>> plan.kind, [(unit.key, unit.arm) for unit in plan.units], plan.drawn
    ('side_by_side', [('T1', 'R'), ('T2', 'C')], False)
    """
    layout = chosen(told) if proposal is None else proposal
    last = last_day(told)
    run_in = min(int(told.number("run_in_days", 14)), last - 1) if layout.kind == "run_in" else 0
    start = told.answers.get("start")
    return Plan(
        title=told.text("title") or "A plan", start=start if hasattr(start, "toordinal") else told.today,  # type: ignore[arg-type]
        days=last, kind=layout.kind, arms=_arms(told), units=_units(told, layout), measures=_measures(told, layout, run_in),
        question=told.text("question"), change=told.text("change"), reference=told.text("reference"), rationale=told.text("rationale"),
        disclosure=told.text("disclosure"), expect=told.text("expect") or "either", run_in_days=run_in,
        swap_day=(last + 1) // 2 if layout.kind == "swap" else 0, washout_days=WASHOUT_DAYS if layout.kind == "swap" else 0,
        start_window=start_window(told) if layout.kind == "drawn_start" else None, shared_water=told.says("shared_water"),
        drawn=False, blinded=told.says("blinded"), change_factors=moved(told),
    )


def margin_for(told: Told) -> Margin | None:
    """The smallest difference that matters on the scale of judging; None before it was answered."""
    if "margin" not in told.answers:
        return None
    return margin_of(scale_of(told), told.number("level"), told.number("margin"), told.text("expect") or "either")


def factors_of(told: Told) -> tuple[FactorValue, ...]:
    """Rows of factors.csv: what the keeper answered about what could spoil fairness; one row for all units where they are alike.

    >>> [(one.unit, one.factor, one.value) for one in factors_of(Told({"tanks": 2, "lamp_age": (0.0, 12.0)}))]
    [('T1', 'lamp_age', 0.0), ('T2', 'lamp_age', 12.0)]
    """
    units = units_of(told)
    rows = list[FactorValue]()
    window = told.text("window")
    if window in _WINDOW_WORDS:
        rows.append(FactorValue("", "window_side", _WINDOW_WORDS[window]))
    elif window == "some":
        nearer = {f"T{number:g}" for number in told.numbers("window_tanks")}
        rows += [FactorValue(unit, "window_side", "more daylight" if unit in nearer else "less daylight") for unit in units]
    for key, unit_of_measure in (("lamp_age", "months"), ("filter_age", "weeks")):
        numbers = told.numbers(key)
        if len(numbers) == 1:
            rows.append(FactorValue("", key, numbers[0], unit_of_measure))
        else:
            rows += [FactorValue(unit, key, number, unit_of_measure) for unit, number in zip(units, numbers, strict=False)]
    stock = told.text("stock")
    if stock in _STOCK_WORDS:
        rows.append(FactorValue("", "plant_stock", _STOCK_WORDS[stock]))
    elif stock == "per_tank":
        rows += [FactorValue(unit, "plant_stock", f"bought for {unit}") for unit in units]
    if told.text("planted_by"):
        rows.append(FactorValue("", "planted_by", told.text("planted_by")))
    return tuple(rows)


def _arms(told: Told) -> tuple[Arm, ...]:
    return (Arm(REFERENCE, "reference", told.text("reference")[:LONGEST_ARM_NAME].strip()),
            Arm(CHANGED, "changed", told.text("change")[:LONGEST_ARM_NAME].strip()))


def _units(told: Told, layout: Proposal) -> tuple[Unit, ...]:
    """The units in the order in which they stand, on their shelves; arms in turn, until the lot is drawn."""
    shelves = min(max(int(told.number("shelves", 1)), 1), layout.tanks)
    found, place = list[Unit](), 0
    for number in range(layout.tanks):
        shelf = number * shelves // layout.tanks
        place = place + 1 if number and shelf == (number - 1) * shelves // layout.tanks else 1
        arm, key = (REFERENCE, CHANGED)[number % 2], f"T{number + 1}"
        found.append(Unit(key, arm, tank=key, block=f"shelf {shelf + 1}" if shelves > 1 else "",
                          position=f"shelf {shelf + 1}, place {place}",
                          pair=f"P{number // 2 + 1}" if layout.kind == "pairs" else "", first_arm=arm if layout.kind == "swap" else ""))
    return tuple(found)


def _measures(told: Told, layout: Proposal, run_in: int) -> tuple[MeasureChoice, ...]:
    """The primary measure with its smallest difference, and the others beside it."""
    summary = "slope" if told.text("course") == "builds_up" and layout.kind not in ("run_in", "swap") else \
        _SUMMARIES.get(layout.kind, "mean")
    margin = margin_for(told)
    # A slope is told per day: the difference that matters at the end is reached over all days.
    over = float(max(last_day(told) - run_in, 1)) if summary == "slope" else 1.0
    primary = MeasureChoice(told.text("primary") or "algae_cover", "primary", summary, margin=None if margin is None else
                            round(margin.margin / over, 4 if over == 1.0 else 6))
    return primary, *(MeasureChoice(key, "secondary", summary) for key in told.names("others"))
