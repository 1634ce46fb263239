"""The drift watch in words: what drifts apart, since when, how far, what to do, what it means for the finding, and how sure that is."""

from fairtank.planning.drift.watch import Chart, Departure, Watch, WatchedFactor
from fairtank.publish.arms import arm_looks
from fairtank.publish.numbers import decimals_of, in_a_row, interval, number, plain_number, shown, with_unit
from fairtank.publish.phrases import capital, counted, named
from fairtank.trial import Plan

STATE_WORDS = {"steady": "steady", "arms": "the arms drift apart", "tank": "one tank departs", "few": "too few readings to tell",
               "change": "differs by the change itself"}
COLUMNS = ("what", "what was found", "how far apart now", "may lie in")
RIGHT = ("how far apart now", "may lie in")
_NEAR_CHANGE_D = 7


def headline(watch: Watch, plan: Plan) -> str:
    """The one sentence to begin with.

    Parameters
    ----------
    watch : Watch
        The frozen result.
    plan : Plan
        Of the same trial.

    Returns
    -------
    str
        What drifts apart, or that nothing was found to, and up to which day.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if watch.last_day < 0:
        return "Nothing can be told yet: the diary holds no readings, chores, events or photos from day 0 on."
    drifting = [factor for factor in watch.factors if factor.departures]
    until = f"up to day {watch.last_day} of {watch.days}"
    if drifting:
        return f"Look after {in_a_row(_title_inside(factor) for factor in drifting)}: {until} the tanks drift apart there."
    steady = [factor for factor in watch.factors if factor.state == "steady"]
    if watch.factors and all(factor.state == "change" for factor in watch.factors):
        return f"Nothing is watched {until}: the change itself moves all that the diary tells."
    if not steady:
        return f"Nothing can be told yet {until}: too little was read on common days."
    return f"No drift was found in the {counted(len(steady), 'factor')} that could be told, {until}."


def factor_sentences(factor: WatchedFactor, watch: Watch, plan: Plan) -> tuple[str, ...]:
    """Everything to be said of one factor: what was found, what to do, and what it means for the finding.

    Parameters
    ----------
    factor : WatchedFactor
        One of those of the watch.
    watch : Watch
        The frozen result.
    plan : Plan
        Of the same trial.

    Returns
    -------
    tuple of str
        Whole sentences.

    References
    ----------
    common_practice (keys from sources.py).
    """
    title = title_of(factor)
    if factor.state == "change":
        return (f"{title} differs by the change itself, so nothing is watched there.",)
    if factor.state == "few":
        return (f"{title}: too few readings to tell; {factor.why_few}.", *_unrecorded(factor))
    if factor.state == "steady":
        return (f"{title}: steady. {_now_words(factor, plan)}", *_unrecorded(factor))
    told = [f"{title}: {_departure_words(one, factor, plan)}" for one in factor.departures]
    return (*told, *_to_do(factor), *_meaning(factor, watch, plan), *_unrecorded(factor))


def title_of(factor: WatchedFactor) -> str:
    """The factor's title, with the part where it has several: `Doses (nitrate)`."""
    title = factor.title if factor.title.startswith("pH") else capital(factor.title)
    return f"{title} ({shown(factor.part)})" if factor.part else title


def _title_inside(factor: WatchedFactor) -> str:
    title = title_of(factor)
    return title[:1].lower() + title[1:] if len(title) > 1 and title[1].islower() else title


def _arm(key: str, plan: Plan) -> str:
    look = arm_looks(plan)[key]
    return f"arm {look.letter}" if look.is_nameless else f"arm {look.letter} ({shown(look.label)})"


def size_words(size: float, low: float, high: float, unit: str) -> str:
    """A difference without its sign and its interval, turned so that the difference is the larger side: `0.9 °C (0.6 to 1.2 °C)`."""
    if size < 0:
        size, low, high = -size, -high, -low
    decimals = decimals_of(size, low, high)
    return f"{with_unit(number(size, decimals), unit)} ({interval(low, high, decimals, unit)})"


def _more(size: float, factor: WatchedFactor) -> str:
    if factor.kind == "sum":
        return "more" if size > 0 else "less"
    return "higher" if size > 0 else "lower"


def _departure_words(one: Departure, factor: WatchedFactor, plan: Plan) -> str:
    """Who departs, since when, how far."""
    held = "" if factor.kind == "sum" else f", held against day 0 to {factor.baseline_until}"
    amount = f"{size_words(one.size, one.low, one.high, factor.unit)} {_more(one.size, factor)}{held}"
    share = f", {abs(100 * one.share):.0f} % of what the others had" if factor.kind == "sum" and one.share is not None else ""
    when = f"since day {one.since_day} or so (first to be told on day {one.noticed_day})"
    back = " It has come back since." if one.is_over else ""
    if one.kind == "arms":
        return f"{_arm(one.arm, plan)} drifts away from {_arm(one.against, plan)}, {when}: {amount}{share}.{back}"
    unsure = f" An arm of two tanks does not show by itself which of them moved; it may be {shown(one.other)} instead." if one.other else ""
    others = shown(one.other) if one.other else "the other tanks of its arm"
    return f"{shown(one.unit)} in {_arm(one.arm, plan)} departs from {others}, {when}: {amount}{share}.{unsure}{back}"


def _now_words(factor: WatchedFactor, plan: Plan) -> str:
    """Where each arm stands now against the reference, with its interval."""
    told = []
    for chart in (chart for chart in factor.charts if chart.kind == "arms"):
        beyond = "" if factor.kind == "sum" else ", beyond what it was at first"
        told.append(f"{_arm(chart.arm, plan)} less {_arm(chart.against, plan)} is now {now_words(chart, factor)}{beyond}")
    return capital("; ".join(told)) + "."


def now_words(chart: Chart, factor: WatchedFactor) -> str:
    """The last weighted mean of the differences with its 95 % interval."""
    decimals = decimals_of(chart.now, chart.low, chart.high)
    return f"{with_unit(number(chart.now, decimals), factor.unit)} ({interval(chart.low, chart.high, decimals, factor.unit)})"


def _to_do(factor: WatchedFactor) -> tuple[str, ...]:
    """What to do, first about the reading, then about the tank."""
    again = "Read it once more in all tanks, on one day and with one instrument." if factor.kind == "level" else \
        "Compare the diary with what was really given; a forgotten row looks just like a forgotten dose."
    remedy = f" {capital(factor.remedy.rstrip('.'))}." if factor.remedy else ""
    return (f"What to do: {again}{remedy}",)


def _meaning(factor: WatchedFactor, watch: Watch, plan: Plan) -> tuple[str, ...]:
    """What a departure means for the finding."""
    largest = max(factor.departures, key=lambda one: abs(one.size))
    if factor.tolerance is not None and abs(largest.size) <= factor.tolerance:
        size = with_unit(plain_number(factor.tolerance), factor.unit)
        return (f"What it means: it is real, but within the {size} that do not matter; go on, and keep an eye on it.",)
    first = next((one for one in factor.departures if one.kind == "arms"), None)
    if first is None:
        return ("What it means: one tank alone pulls its arm along and widens the interval. Once the cause is known, write it into "
                "events.csv; whether the days count is settled before anybody looks at the measure.",)
    told = f"What it means: from day {first.since_day} on, what {named(plan.arm(first.arm).label)} shows is the change and this " \
           "together; they cannot be told apart afterwards. Put it right, note it in events.csv, and say so beside the finding."
    if watch.change_day and abs(first.since_day - watch.change_day) <= _NEAR_CHANGE_D:
        told += f" It began about when the change did (day {watch.change_day}): it may be the change's own doing, and then it belongs to " \
                "it. If it is meant, name it in change_factors in trial.toml."
    return (told,)


def _unrecorded(factor: WatchedFactor) -> tuple[str, ...]:
    if not factor.unrecorded:
        return ()
    return (f"Nothing is written down of it for {in_a_row(map(shown, factor.unrecorded))}.",)


def table_rows(watch: Watch, plan: Plan) -> list[list[str]]:
    """One row for each factor and arm: what was found, where it stands now, and how far like tanks may lie apart on that day."""
    rows = [list(COLUMNS)]
    for factor in watch.factors:
        arms = [chart for chart in factor.charts if chart.kind == "arms"]
        if not arms:
            rows.append([title_of(factor), STATE_WORDS[factor.state], "", ""])
        for chart in arms:
            limit = chart.limits[-1]
            decimals = decimals_of(chart.now, chart.low, chart.high)
            where = f", arm {arm_looks(plan)[chart.arm].letter}" if len(arms) > 1 else ""
            rows.append([f"{title_of(factor)}{where}", _found_words(chart, factor, plan), now_words(chart, factor),
                         interval(-limit, limit, decimals, factor.unit)])
    return rows


def _found_words(chart: Chart, factor: WatchedFactor, plan: Plan) -> str:
    """What was found of one arm: that it drifts, which of its tanks and of the reference's depart, or the factor's state."""
    tanks = [shown(one.unit) for one in factor.departures if one.kind == "tank" and one.arm in (chart.arm, chart.against)]
    if chart.departure is not None:
        return f"arm {arm_looks(plan)[chart.arm].letter} drifts away"
    if tanks:
        return f"{in_a_row(tanks)} {'departs' if len(tanks) == 1 else 'depart'}"
    return STATE_WORDS["steady" if factor.departures else factor.state]


def notes(watch: Watch) -> tuple[str, ...]:
    """What the watch rests on: its false-alarm share, what it takes for granted, and what it does not tell."""
    share = plain_number(100 * watch.false_alarm_share)
    told = [f"How sure: of 100 trials of this length in which nothing drifts, at most {share} would get an alarm, all "
            f"{counted(watch.charts, 'chart')}, tanks and days together. That is so while tanks scatter as the tanks of one arm do here, "
            "and no less than readings are usually off.",
            "What is not told: a difference in a level that was there from the first day; fairtank even tells those."]
    if watch.has_single_arm:
        told.insert(1, "An arm has one tank: tank and arm cannot be told apart, and how far like tanks wander is taken from a table of "
                       "usual values (common practice, no source). Where they wander twice as far, about 8 of 100 trials get a false alarm "
                       "(8.4 % of 500 simulated ones).")
    return tuple(told) if watch.charts else tuple(told[1:])
