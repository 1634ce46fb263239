"""What a plan could show, in words: the sentence, the table of alternatives, and what all of it rests on."""

from fairtank.inference.layouts import Layout, drawn_start_days
from fairtank.inference.showing import Design, Noticed, Showing
from fairtank.publish.numbers import figures, plain_number, shown, with_unit

DESIGN_WORDS = {
    "plan": "as planned",
    "tank": "one more tank per arm",
    "three": "three tanks per arm",
    "run_in": "two weeks alike first",
    "swap": "swap in the middle",
    "weeks": "two more weeks",
    "tank_run_in": "a tank more and two weeks alike",
    "drawn_start": "drawn start, two tanks",
}
COLUMNS = ("", "design", "tanks", "days", "cost", "you would notice", "if like tanks differ less", "if they differ more")
NOTHING = "nothing by itself"
_MOST_FIGURES = 6
SWAP_NOTE = ("A swap needs a reset (cleaning or trimming, a water change) and a wash-out at the swap, and is not for effects that stay: "
             "roots, a bed, plants that grew.")
DRAWN_START_NOTE = ("A drawn start tells whether the change moved those two tanks; whether it would move others needs more tanks. "
                    "It must be there at once: a change that builds up is mostly missed.")
_TABLE_WORDS = {"new": "new tanks", "settled": "settled tanks"}


def headline(showing: Showing) -> str:
    """The one sentence to begin with.

    Parameters
    ----------
    showing : Showing
        The frozen result.

    Returns
    -------
    str
        A whole sentence, with the range it may lie in.

    References
    ----------
    common_practice (keys from sources.py).
    """
    plan = showing.plan
    laid_out = f"As planned ({layout_words(plan.layout)})"
    if plan.noticed is None:
        return f"{laid_out}, this trial cannot tell by its own tanks: {plan.reason}."
    what = shown(showing.title)
    what = f"{what[:1].lower()}{what[1:]}"
    by_then = f" after {showing.full_after_d:.0f} days" if showing.shape == "builds up" else ""
    if showing.reference is None:
        told = f"you would notice {what} {noticed_words(plan.noticed, showing)}{by_then}, but no smaller difference"
    else:
        told = (f"you would notice {what} at {noticed_words(plan.noticed, showing)} instead of {_level(showing)}{by_then}, "
                "but no smaller difference")
    return f"{laid_out}, {told}. {_range_sentence(showing)}"


def _range_sentence(showing: Showing) -> str:
    """Between which differences the answer may lie."""
    low, high = showing.plan.noticed_low, showing.plan.noticed_high
    if low is None or high is None:
        return ""
    factors = showing.spread.low_factor, showing.spread.high_factor
    words = "a third less or half as much again" if showing.spread.df is None else (
        f"{figures(factors[0])} to {figures(factors[1])} times as much, which {plain_number(showing.spread.df)} degrees of freedom "
        "leave open")
    return f"If like tanks differ by {words}: {noticed_words(low, showing)} to {noticed_words(high, showing)}."


def noticed_words(noticed: Noticed, showing: Showing) -> str:
    """A noticed level in the natural unit, on the side that is expected; both sides where either is.

    Without a reference level it is the difference itself.
    """
    more, less = (_natural(value, showing) for value in (noticed.more, noticed.less))
    if showing.reference is None:
        return with_unit({"more": f"up by {more}", "less": f"down by {more}"}.get(showing.expect, f"up or down by {more}"), showing.unit)
    unit = _unit(showing)
    if showing.expect == "either":
        return f"{with_unit(more, unit)} or {with_unit(less, unit)}"
    return with_unit(more if showing.expect == "more" else less, unit)


def _natural(value: float, showing: Showing) -> str:
    """Two figures, or as many as tell it from the reference; near the end of the cover scale `over 99`, never 100 or 0."""
    if showing.scale == "logit" and value > 99.0:
        return "over 99"
    if showing.scale != "identity" and abs(value) < 0.1:
        return "under 0.1"
    enough = 3 if abs(value) >= 99.5 else 2
    level = showing.reference or 0.0
    telling = (count for count in range(enough, _MOST_FIGURES) if float(f"{value:.{count}g}") != float(f"{level:.{count}g}"))
    return figures(value, next(telling, _MOST_FIGURES))


def _unit(showing: Showing) -> str:
    return "%" if showing.is_relative else showing.unit


def _level(showing: Showing) -> str:
    level = with_unit(plain_number(showing.reference or 0.0), _unit(showing))
    return f"{level} (the reference tanks)" if showing.is_relative else level


def layout_words(layout: Layout) -> str:
    """Tanks and days of a layout in a few words.

    >>> layout_words(Layout("side_by_side", 3, 3, 0, 42))
    '3 tanks per arm, 42 days'
    """
    days = f"{layout.last_day} days"
    if layout.kind == "drawn_start" and layout.start_window is not None:
        return f"2 tanks, start drawn from day {layout.start_window[0]} to {layout.start_window[1]}, {days}"
    if layout.kind == "rounds":
        return f"2 tanks, {layout.rounds} rounds, {days}"
    if layout.kind == "pairs":
        count = f"{layout.n_changed} pairs"
    elif layout.n_reference == layout.n_changed:
        count = "1 tank per arm" if layout.n_changed == 1 else f"{layout.n_changed} tanks per arm"
    else:
        count = f"{layout.n_reference} reference and {layout.n_changed} changed tanks"
    run_in = f", the first {layout.run_in[1] + 1 - layout.run_in[0]} alike" if layout.run_in else ""
    swap = f", swapped on day {layout.swap_day}" if layout.kind == "swap" else ""
    return f"{count}, {days}{run_in}{swap}"


def design_words(design: Design) -> str:
    """A design in words: what is different from the plan."""
    return DESIGN_WORDS[design.key]


def table_rows(showing: Showing) -> list[list[str]]:
    """The alternatives side by side, one row each; the column of costs only where there are prices."""
    rows = [list(COLUMNS)]
    for one in showing.designs:
        found = [NOTHING if one.noticed is None else noticed_words(one.noticed, showing),
                 *("" if at is None else noticed_words(at, showing) for at in (one.noticed_low, one.noticed_high))]
        cost = "" if one.cost is None else plain_number(one.cost)
        rows.append([one.letter, design_words(one), str(one.tanks), str(one.days), cost, *found])
    if all(one.cost is None for one in showing.designs):
        rows = [[cell for place, cell in enumerate(row) if place != COLUMNS.index("cost")] for row in rows]
    return rows


def one_tank_sentences(showing: Showing) -> tuple[str, ...]:
    """What one tank in an arm can and cannot do; empty where each arm has more."""
    layout = showing.plan.layout
    if layout.kind not in ("side_by_side", "run_in", "swap") or layout.smaller_arm > 1:
        return ()
    by_key = {one.key: one for one in showing.designs}
    told = ["Not possible with one tank in an arm: an interval from its own tanks. More days or more photos do not help; two tanks treated "
            "alike also end apart, and by how much cannot be seen in one."]
    if showing.plan.way == "borrowed spread":
        told.append("Possible: an interval that borrows its spread from your earlier trials. It holds only if these tanks vary like "
                    "those, at most half as much again.")
    if "drawn_start" in by_key and by_key["drawn_start"].noticed is not None:
        told.append(f"Possible with the same two tanks: a drawn start (design {by_key['drawn_start'].letter}). The lot names the tank "
                    "and the day, and the finding speaks of these two tanks.")
    elif "drawn_start" not in by_key:
        needed = drawn_start_days(showing.expect, builds_up=layout.builds_up)
        told.append(f"With the same two tanks a drawn start could speak of these two; it needs {needed} days or more"
                    f"{' to look both ways' if showing.expect == 'either' else ''}.")
    if "three" in by_key:
        told.append(f"What would settle it: three tanks per arm (design {by_key['three'].letter}).")
    return tuple(told)


def spread_sentence(showing: Showing) -> str:
    """Where the spread of like tanks comes from."""
    spread = showing.spread
    size = f"{figures(spread.sd)} ({_scale_words(showing.scale)})"
    if spread.origin == "stated":
        return f"The spread of like tanks is the one you stated: a standard deviation of {size}."
    if spread.origin == "earlier trials":
        count = "1 earlier trial" if spread.trials == 1 else f"{spread.trials} earlier trials"
        return f"The spread of like tanks comes from {count} of yours, {plain_number(spread.df or 0)} degrees of freedom: {size}."
    if spread.origin == "run-in":
        return f"The spread of like tanks comes from the run-in of this trial, {plain_number(spread.df or 0)} degrees of freedom: {size}."
    return (f"The spread of like tanks is assumed: {size}. It is that of invented tanks in a simulation, no source; your own tanks may "
            "differ. State your own with --sd, or keep spread.csv from earlier trials.")


def _scale_words(scale: str) -> str:
    return {"logit": "in log-odds", "log": "as the logarithm of a ratio"}.get(scale, "in the measure's own unit")


def margin_sentence(showing: Showing) -> str:
    """Whether the smallest difference that matters is within reach; empty without a margin or a finding."""
    plan = showing.plan
    if showing.margin_noticed is None or plan.difference is None:
        return ""
    full = (showing.margin or 0.0) * (showing.full_after_d if showing.shape == "builds up" else 1.0)
    matters = noticed_words(showing.margin_noticed, showing)
    matters += "" if showing.reference is None else f" instead of {_level(showing)}"
    if plan.difference <= full:
        return f"What you said matters ({matters}) would be noticed."
    return (f"What you said matters ({matters}) is a smaller difference than that: it would often be missed, and a trial that finds "
            "nothing would not show that there is nothing.")


def look_sentences(showing: Showing) -> tuple[str, ...]:
    """What each planned look could show."""
    told = []
    for look in showing.looks:
        found = NOTHING if look.noticed is None else noticed_words(look.noticed, showing)
        told.append(f"Look on day {look.day} ({plain_number(100 * look.alpha)} % of false alarms): {found}.")
    return tuple(told)


def notes(showing: Showing) -> tuple[str, ...]:
    """What the numbers rest on and what they leave out."""
    keys = {one.key for one in showing.designs} | {one.layout.kind for one in showing.designs}
    told = [f"“Would notice” means: found in {100 * showing.power:.0f} of 100 trials in which the difference is that large. A photo of "
            "every tank on every day is assumed; gaps make it a little worse.", spread_sentence(showing)]
    if showing.shape == "at once":
        told.append("The change is taken to work at once and to stay. If it builds up, plan with the summary slope and ask again.")
    if showing.expect != "either" and "drawn_start" in keys:
        told.append("The interval of tanks looks both ways whatever you expect; only the drawn start looks one way.")
    if any(one.way == "borrowed spread" for one in showing.designs):
        told.append("With one or two tanks per arm the spread is borrowed from your earlier trials; the number is rough.")
    if "swap" in keys:
        told.append(SWAP_NOTE)
    if "drawn_start" in keys:
        told.append(DRAWN_START_NOTE)
    return tuple(told)
