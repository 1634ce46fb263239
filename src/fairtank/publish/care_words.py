"""What a trial takes beside what it can show, in words: minutes, money, electricity, water; and what is not known."""

from fairtank.inference.foresight.showing import Showing
from fairtank.planning.care import Care, Spending, Work
from fairtank.publish.detect_words import headline
from fairtank.publish.numbers import figures, in_a_row, number, shown, with_unit

MOST_NAMED = 4
NO_SCHEDULE = "How much work it is cannot be told: no chore says its minutes."
NO_BUILD = "What it costs cannot be told: there is no setup.toml with prices."


def worth_words(care: Care, showing: Showing | None = None) -> list[str]:
    """What the trial takes as one sentence, then what it would notice for that, and what the count leaves out.

    Parameters
    ----------
    care : Care
    showing : Showing or None
        What it would notice; left out where it is told elsewhere.

    Returns
    -------
    list of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    taken = [*([] if care.work is None else [work_words(care.work)]), *([] if care.spending is None else [spending_words(care.spending)])]
    told = [f"What it takes: {'; '.join(taken)}."] if taken else []
    if showing is not None:
        seen = headline(showing)
        told.append(f"For that: {seen[:1].lower()}{seen[1:]}" if taken else seen)
    return [*told, *missing_words(care)]


def work_words(work: Work) -> str:
    """Minutes of work, as half a sentence."""
    by = "by the schedule that would be proposed" if work.is_proposed else "by the schedule"
    busiest = f"{_minutes(work.busiest_minutes)} on day {work.busiest_day}, the busiest"
    return (f"{_minutes(work.minutes_per_day)} a day on average and {busiest}; {_minutes(work.minutes_per_week)} a week, "
            f"{_hours(work.work_h)} in all {work.days} days, {by}")


def _minutes(minutes: float) -> str:
    return with_unit(number(minutes, 0) if minutes >= 1 else "under 1", "min")


def _hours(hours: float) -> str:
    return with_unit(number(hours, 1 if hours < 10 else 0), "h")


def spending_words(spending: Spending) -> str:
    """Money, electricity and water, as half a sentence."""
    told = []
    if spending.has_prices:
        told.append(f"{'at least ' if spending.is_at_least else ''}{_money(spending.purchases, spending.currency)} to buy")
    if spending.energy_kwh > 0:
        used = with_unit(figures(spending.energy_kwh), "kWh")
        told.append(f"{used} of electricity" if spending.energy_cost is None
                    else f"{_money(spending.energy_cost, spending.currency)} of electricity ({used})")
    if spending.water_l > 0:
        told.append(f"{with_unit(figures(spending.water_l), 'L')} of water")
    return in_a_row(told) if told else "nothing to buy"


def _money(amount: float, currency: str) -> str:
    """An amount, whole from ten on."""
    return with_unit(number(amount, 0 if amount >= 10 else 2), shown(currency))


def missing_words(care: Care) -> list[str]:
    """What the count leaves out, and why."""
    told = []
    if care.work is None:
        told.append(NO_SCHEDULE)
    elif care.work.untimed:
        told.append(f"Without minutes, and so not counted: {_named(care.work.untimed)}.")
    if care.work is not None and care.work.is_proposed:
        told.append("There is no schedule.toml: its minutes are proposed ones, common practice without a source.")
    spending = care.spending
    if care.reason:
        told.append(f"What it costs cannot be told: {care.reason}")
    elif spending is None:
        told.append(NO_BUILD)
    elif spending.unpriced:
        told.append(f"Without a price, and so not counted: {_named(spending.unpriced)}.")
    if spending is not None and spending.energy_kwh > 0 and spending.energy_cost is None:
        told.append("Electricity has no price: give one as electricity_per_kwh under [money].")
    return told


def _named(names: tuple[str, ...]) -> str:
    kept = [shown(name) for name in names[:MOST_NAMED]]
    rest = len(names) - len(kept)
    return in_a_row([*kept, *([f"{rest} more"] if rest else [])])


def prices_words(spending: Spending) -> str:
    """Which prices of tanks and days the designs are compared by, where they come from setup.toml."""
    least = " at least" if spending.is_at_least else ""
    tank, day = (with_unit(number(price, 2), shown(spending.currency)) for price in (spending.per_tank, spending.per_day))
    running = "" if spending.energy_cost is None else f", and {day} of electricity a day, as for the tanks of the plan"
    return f"Costs are from setup.toml:{least} {tank} of purchases for each tank{running}. --tank-cost and --day-cost take their place."
