"""What a plan could show, in words: the sentence, the table of alternatives, and what all of it rests on."""

from fairtank.inference.foresight.layouts import Layout, drawn_start_days
from fairtank.inference.foresight.showing import Design, Noticed, Showing
from fairtank.publish.numbers import figures, in_a_row, plain_number, shown, with_unit
from fairtank.publish.printed import PERCENTAGE_POINTS

DESIGN_WORDS = {
    "plan": "as planned",
    "tank": "one more tank per arm",
    "three": "three tanks per arm",
    "two_arms": "the same tanks in two arms",
    "run_in": "two weeks alike first",
    "swap": "swap in the middle",
    "weeks": "two more weeks",
    "rounds": "two more rounds",
    "tank_run_in": "a tank more and two weeks alike",
    "drawn_start": "drawn start, two tanks",
}
_MORE_WORDS = {
    ("pairs", "tank"): "one more pair",
    ("pairs", "three"): "three pairs",
    ("pairs", "tank_run_in"): "a pair more and two weeks alike",
    ("ladder", "tank"): "one more tank on each dose",
    ("ladder", "three"): "three tanks on each dose",
}
COLUMNS = ("", "design", "tanks", "last day", "cost", "you would notice", "if like tanks differ less", "if they differ more")
NOTHING = "nothing by itself"
_MOST_FIGURES, _TENTH = 6, 0.1
# No change makes a step of twenty times and more; where a table of invented tanks leads there, no number is told.
HUGE_TIMES = 20.0
HUGE_CELL = "in practice nothing"
HUGE_SENTENCE = (
    f"As planned, it would notice only a difference of twenty times and more: {HUGE_CELL}. That rests on a table of invented tanks; "
    "your own earlier trials tell it better."
)
SWAP_NOTE = ("A swap needs a reset (cleaning or trimming, a water change) and a wash-out at the swap, and is not for effects that stay: "
             "roots, a bed, plants that grew.")
DRAWN_START_NOTE = ("A drawn start tells whether the change moved those two tanks; whether it would move others needs more tanks. "
                    "It must be there at once: a change that builds up is mostly missed.")
SEVERAL_NOTE = ("With more than two arms all comparisons of a measure share one promise, so that each needs a larger difference than it "
                "would alone.")
LADDER_NOTE = ("A ladder is told for its highest dose against the reference's, along a straight line; an effect that levels off before the "
               "highest dose is noticed less well.")
TWO_CHANGES_NOTE = ("Each of the two changes is told over all tanks with it against all without it. Whether the two help or hinder each "
                    "other is harder: it takes twice as large a difference, or four times the tanks.")
PAIRS_NOTE = ("Pairs are counted as if their two tanks were no more alike than any others; where they share a place or a lamp they do "
              "better.")
ROUNDS_NOTE = ("What stays with the two tanks from round to round drops out of the comparison; how much that is cannot be known "
               "beforehand, and it is not counted here.")
NOTHING_NOTE = (f"“{NOTHING}”: with one tank in an arm nothing shows how far like tanks end up apart, and neither weeks nor photos change "
                "that.")
_KIND_NOTES = {"ladder": LADDER_NOTE, "two_changes": TWO_CHANGES_NOTE, "pairs": PAIRS_NOTE, "rounds": ROUNDS_NOTE}
_MOST_LEFT_OUT = 3


def opening(showing: Showing) -> tuple[str, ...]:
    """The sentences above the table: the one to begin with, what few tanks can and cannot do, and whether what matters is within reach."""
    told = (headline(showing), *one_tank_sentences(showing), *earlier_sentences(showing), settling_sentence(showing),
            margin_sentence(showing))
    return tuple(one for one in told if one)


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
    if is_huge(plan.noticed, showing):
        return HUGE_SENTENCE
    what = shown(showing.title)
    what = f"{what[:1].lower()}{what[1:]}"
    by_then = f" after {showing.full_after_d:.0f} days" if showing.shape == "builds up" else ""
    told = f"you would notice {what} {_told(plan.noticed, showing)}{by_then}, but no smaller difference"
    return f"{laid_out}, {told}. {_range_sentence(showing)}"


def is_huge(noticed: Noticed | None, showing: Showing) -> bool:
    """Whether what would be noticed is a step that no change makes, by a table and not by the keeper's own trials."""
    return (noticed is not None and showing.scale == "log" and showing.spread.origin == "table" and showing.reference is not None
            and noticed.more > HUGE_TIMES * showing.reference)


def _told(noticed: Noticed, showing: Showing) -> str:
    """What would be noticed, as the end of a sentence: the level that the change would have to bring, and what it is held against."""
    where = _WHERE.get(showing.plan.layout.kind, "")
    if showing.plan.layout.arms and not where:
        where = " between two of the arms" if showing.plan.layout.all_pairs else " in one of the arms"
    if is_huge(noticed, showing):
        return "only at twenty times and more"
    if showing.reference is None:
        return noticed_words(noticed, showing) + where
    against = " of what the reference tanks show" if showing.is_relative else f" instead of {_level(showing)}"
    return f"at {noticed_words(noticed, showing)}{where}{against}"


_WHERE = {"ladder": " at the highest dose", "two_changes": " with either change"}


def _range_sentence(showing: Showing) -> str:
    """What would be noticed if like tanks differ less or more than thought."""
    low, high = showing.plan.noticed_low, showing.plan.noticed_high
    less, more = ("nothing at all" if one is None else f"{'' if showing.reference is None or is_huge(one, showing) else 'at '}"
                  f"{noticed_words(one, showing)}" for one in (low, high))
    spread = showing.spread
    if spread.df is None:
        return f"If like tanks differ by a third less, {less}; if by half as much again, {more}."
    factors = figures(spread.low_factor), figures(spread.high_factor)
    return (f"If like tanks differ {factors[0]} times as much, {less}; if {factors[1]} times as much, {more} "
            f"({_degrees(spread.df)} of freedom leave both open).")


def _degrees(df: float) -> str:
    return "1 degree" if df == 1 else f"{plain_number(df)} degrees"


def noticed_words(noticed: Noticed, showing: Showing) -> str:
    """A noticed level in the natural unit, on the side that is expected; both sides where either is.

    Without a reference level it is the difference itself.
    """
    more, less = (_natural(value, showing) for value in (noticed.more, noticed.less))
    if is_huge(noticed, showing):
        return HUGE_CELL
    if showing.reference is None:
        unit = PERCENTAGE_POINTS if showing.scale == "identity" and showing.unit == "%" else showing.unit
        return with_unit({"more": f"up by {more}", "less": f"down by {more}"}.get(showing.expect, f"up or down by {more}"), unit)
    unit = _unit(showing)
    if showing.expect == "either":
        return f"{with_unit(more, unit)} or {with_unit(less, unit)}"
    return with_unit(more if showing.expect == "more" else less, unit)


def _natural(value: float, showing: Showing) -> str:
    """Two figures, or as many as keep its distance from the reference to a tenth; near the end of the cover scale `over 99`, never 100."""
    if showing.scale == "logit" and value > 99.0:
        return "over 99"
    if showing.scale != "identity" and abs(value) < 0.1:
        return "under 0.1"
    enough = 3 if abs(value) >= 99.5 else 2
    gap = abs(value - (showing.reference or 0.0))
    telling = (count for count in range(enough, _MOST_FIGURES) if abs(float(f"{value:.{count}g}") - value) <= _TENTH * gap)
    return figures(value, next(telling, _MOST_FIGURES))


def _unit(showing: Showing) -> str:
    return "%" if showing.is_relative else showing.unit


def _level(showing: Showing) -> str:
    return with_unit(plain_number(showing.reference or 0.0), _unit(showing))


def layout_words(layout: Layout) -> str:
    """Tanks and days of a layout in a few words.

    >>> layout_words(Layout("side_by_side", 3, 3, 0, 42))
    '3 tanks per arm, day 0 to 42'
    """
    days = f"day 0 to {layout.end_day}"
    if layout.kind == "drawn_start" and layout.start_window is not None:
        return f"2 tanks, start drawn from day {layout.start_window[0]} to {layout.start_window[1]}, {days}"
    if layout.kind == "rounds":
        return f"2 tanks, {layout.rounds} rounds of {layout.round_days} days"
    if layout.kind == "pairs":
        count = f"{layout.n_changed} pairs"
    elif layout.arms:
        count = _arms_words(layout)
    elif layout.n_reference == layout.n_changed:
        count = "1 tank per arm" if layout.n_changed == 1 else f"{layout.n_changed} tanks per arm"
    else:
        count = f"{_tanks(layout.n_reference, 'reference')} and {_tanks(layout.n_changed, 'changed')}"
    run_in = f", the first {layout.run_in[1] + 1 - layout.run_in[0]} alike" if layout.run_in else ""
    swap = f", swapped on day {layout.swap_day}" if layout.kind == "swap" else ""
    return f"{count}, {days}{run_in}{swap}"


def _tanks(count: int, role: str) -> str:
    return f"1 {role} tank" if count == 1 else f"{count} {role} tanks"


def _arms_words(layout: Layout) -> str:
    """More than two arms in a few words."""
    noun = {"ladder": "doses", "two_changes": "combinations of two changes"}.get(layout.kind, "arms")
    sizes = set(layout.arms)
    if len(sizes) == 1:
        return f"{len(layout.arms)} {noun} with {'1 tank' if sizes == {1} else f'{layout.arms[0]} tanks'} each"
    return f"{len(layout.arms)} {noun} with {in_a_row(map(str, layout.arms))} tanks"


def design_words(design: Design) -> str:
    """A design in words: what is different from the plan."""
    return _MORE_WORDS.get((design.layout.kind, design.key), DESIGN_WORDS[design.key])


def table_rows(showing: Showing) -> list[list[str]]:
    """The alternatives side by side, one row each; the column of costs only where there are prices."""
    rows = [list(COLUMNS)]
    for one in showing.designs:
        found = [NOTHING if one.noticed is None else noticed_words(one.noticed, showing),
                 *("" if one.noticed is None else NOTHING if at is None else noticed_words(at, showing)
                   for at in (one.noticed_low, one.noticed_high))]
        cost = "" if one.cost is None else plain_number(one.cost)
        rows.append([one.letter, design_words(one), str(one.tanks), str(one.days), cost, *found])
    if all(one.cost is None for one in showing.designs):
        rows = [[cell for place, cell in enumerate(row) if place != COLUMNS.index("cost")] for row in rows]
    return rows


def one_tank_sentences(showing: Showing) -> tuple[str, ...]:
    """What one tank in an arm can and cannot do; empty where each arm has more."""
    layout = showing.plan.layout
    if layout.kind not in ("side_by_side", "run_in", "swap") or layout.arms or layout.smaller_arm > 1:
        return ()
    by_key = {one.key: one for one in showing.designs}
    these = "the same two tanks" if layout.tanks == 2 else "two of these tanks"
    told = ["Not possible with one tank in an arm: an interval from its own tanks. More days or more photos do not help; two tanks treated "
            "alike also end apart, and by how much cannot be seen in one."]
    if "drawn_start" in by_key and by_key["drawn_start"].noticed is not None:
        told.append(f"Possible with {these}: a drawn start (design {by_key['drawn_start'].letter}). The lot names the tank and the day, "
                    "and the finding speaks of these two tanks.")
    elif "drawn_start" not in by_key:
        needed = drawn_start_days(showing.expect, builds_up=layout.builds_up)
        told.append(f"With {these} a drawn start could speak of these two; it needs {needed} days or more"
                    f"{' to look both ways' if showing.expect == 'either' else ''}.")
    return tuple(told)


def settling_sentence(showing: Showing) -> str:
    """What would settle it where the plan has one tank in an arm; else empty."""
    three = next((one for one in showing.designs if one.key == "three"), None)
    has_one = showing.plan.layout.smaller_arm == 1 and showing.plan.layout.kind not in ("drawn_start", "rounds")
    return f"What would settle it: three tanks per arm (design {three.letter})." if has_one and three is not None else ""


def earlier_sentences(showing: Showing) -> tuple[str, ...]:
    """What earlier trials do for one or two tanks in an arm, or would do if there were enough of them."""
    plan, spread = showing.plan, showing.spread
    told = []
    if plan.way == "borrowed spread":
        told.append("Possible: an interval that borrows its spread from your earlier trials. It holds only if these tanks vary like "
                    "those, at most half as much again.")
    elif plan.with_earlier is not None:
        count = {0: "none", 1: "1"}.get(spread.trials, str(spread.trials))
        told.append(f"Possible with earlier trials: spread.csv holds {count} of this kind. With five, of two tanks per arm each, you "
                    f"would notice it {_told(plan.with_earlier, showing)}.")
    elif not showing.may_borrow and plan.layout.smaller_arm < 3 and not plan.layout.arms:
        told.append("The plan does not let earlier tanks help (earlier_tanks = false).")
    told += _left_out(spread.left_out) if told else []
    return (*told, *(spread.cautions if plan.way == "borrowed spread" else ()))


def _left_out(left_out: tuple[tuple[str, str], ...]) -> list[str]:
    """Which entries of spread.csv do not count: the reasons, each with the first few trials that have it."""
    reasons: dict[str, list[str]] = {}
    for trial, reason in left_out:
        reasons.setdefault(reason, []).append(shown(trial) or "an entry without a trial")
    told = []
    for reason, trials in reasons.items():
        more = len(trials) - _MOST_LEFT_OUT
        named = [*trials[:_MOST_LEFT_OUT], f"{more} more"] if more > 0 else trials
        told.append(f"{in_a_row(named)}: {reason}")
    return [f"Left out of spread.csv: {'; '.join(told)}."] if told else []


def spread_sentence(showing: Showing) -> str:
    """Where the spread of like tanks comes from."""
    spread = showing.spread
    size = f"{figures(spread.sd)} ({_scale_words(showing.scale)})"
    if spread.origin == "stated":
        return f"The spread of like tanks is the one you stated: a standard deviation of {size}."
    if spread.origin == "earlier trials":
        count = "1 earlier trial" if spread.trials == 1 else f"{spread.trials} earlier trials"
        return f"The spread of like tanks comes from {count} of yours, {_degrees(spread.df or 0)} of freedom: {size}."
    if spread.origin == "run-in":
        return f"The spread of like tanks comes from the run-in of this trial, {_degrees(spread.df or 0)} of freedom: {size}."
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
    matters += "" if showing.reference is None or showing.is_relative else f" instead of {_level(showing)}"
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
    if not showing.plan.layout.arms and any(one.noticed is None and one.layout.smaller_arm == 1 for one in showing.designs):
        told.append(NOTHING_NOTE)
    if showing.shape == "at once":
        told.append("The change is taken to work at once and to stay. If it builds up, plan with the summary slope and ask again.")
    if showing.expect != "either" and "drawn_start" in keys:
        told.append("The interval of tanks looks both ways whatever you expect; only the drawn start looks one way.")
    if any(one.way == "borrowed spread" for one in showing.designs):
        told.append("With one or two tanks per arm the spread is borrowed from your earlier trials, and the interval's width is worked out "
                    "from these very trials.")
    told += [_KIND_NOTES[kind] for kind in (showing.plan.layout.kind,) if kind in _KIND_NOTES]
    if showing.plan.layout.arms and showing.plan.layout.kind not in _WHERE:
        told.append(SEVERAL_NOTE)
    if "swap" in keys:
        told.append(SWAP_NOTE)
    if "drawn_start" in keys:
        told.append(DRAWN_START_NOTE)
    return tuple(told)
