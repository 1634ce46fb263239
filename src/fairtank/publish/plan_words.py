"""A plan in words: what each design could show, what the smallest difference means on both scales, and the plan on one screen."""

import re
from collections import Counter
from datetime import timedelta

from fairtank.inference.foresight.showing import Showing
from fairtank.inference.question import title_unit_scale
from fairtank.planning.wizard.margins import Margin
from fairtank.publish.detect_words import design_words, is_huge, margin_sentence, noticed_words, opening
from fairtank.publish.numbers import figures, in_a_row, plain_number, shown, with_unit
from fairtank.trial import MeasureChoice, Plan

NOTHING_ALONE = "nothing by itself"
UNKNOWN = "not known: no table says how far like tanks differ in it"
_EXPECTED = {"less": "less of it with the change", "more": "more of it with the change", "either": "either way"}
CANNOT_SHOW = (
    "What one tank per arm can show: pictures side by side, and a difference between these two tanks. What it cannot show: whether the "
    "change made it. Two tanks treated alike end up apart too, and no number of photos tells by how much."
)
DRAWN_SHOWS = (
    "What these two tanks can show: whether the change moved them, exactly, because the lot chose tank and day. What they cannot show: "
    "whether it would move other tanks; that takes more of them."
)
HUGE = "would notice only twenty times as much, or more"
NONE_NOTICES = "None of the usual ways to lay it out would notice it with so few tanks: fairtank detect shows them all."
_LETTER = re.compile(r" \(design [A-Z]\)")
_BEGIN_LATER = ("run_in", "tank_run_in", "swap")
SOME_SHOW = "What it cannot show: a difference smaller than that, or what happens in other kinds of tanks."
TWO_EACH = "Two tanks per arm carry an interval, but a wide one. A third in each arm is worth more than anything else you could add."


def design_shows(showing: Showing | None) -> str:
    """What a design could show, in a few words; None: nobody knows how far like tanks differ."""
    if showing is None:
        return UNKNOWN
    found = showing.plan.noticed
    if found is None:
        return NOTHING_ALONE
    if is_huge(found, showing):
        return HUGE
    if showing.reference is None:
        return f"would notice {noticed_words(found, showing)}"
    unit = "%" if showing.is_relative else showing.unit
    return f"would notice {noticed_words(found, showing)} instead of {with_unit(plain_number(showing.reference), unit)}"


def margin_words(margin: Margin, *, scale: str, level: float, unit: str, expect: str) -> str:
    """The smallest difference that matters on both scales, as a sentence.

    Parameters
    ----------
    margin : Margin
        As it was worked out.
    scale : str
        `logit`, `log` or `identity`.
    level : float
        Where the reference tanks are thought to stand. [natural unit]
    unit : str
        The measure's unit.
    expect : str
        `less`, `more` or `either`.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> margin_words(Margin(0.4626, 15.0, 6.5), scale="logit", level=10, unit="%", expect="more").replace(chr(160), " ")
    'Smallest difference that matters: from 10 % to 15 %. On the scale of judging that is 0.46; the same step downwards leads to 6.5 %.'
    """
    if scale == "identity":
        return f"Smallest difference that matters: {with_unit(figures(margin.margin), unit)}."
    up, down, at = (with_unit(plain_number(round(value, 1)) if value >= 1 else figures(value), unit)
                    for value in (margin.up, margin.down, level))
    step = figures(margin.margin)
    if expect == "either":
        return f"Smallest difference that matters: from {at} to {up}, or to {down}. On the scale of judging both are {step}."
    there, other, way = (up, down, "downwards") if expect == "more" else (down, up, "upwards")
    return (f"Smallest difference that matters: from {at} to {there}. On the scale of judging that is {step}; the same step {way} "
            f"leads to {other}.")


def plan_sentences(plan: Plan, margin: str) -> tuple[str, ...]:
    """The plan in a few sentences: how, when, and what decides. margin: its sentence, as `margin_words` makes it."""
    primary = next(one for one in plan.measures if one.role == "primary")
    others = [_title(one) for one in plan.measures if one.role != "primary"]
    told = [f"{_tanks(plan)} {_days(plan)}",
            f"{_title(primary).capitalize()} decides; expected: {_EXPECTED[plan.expect]}."
            f"{f' Beside it: {in_a_row(others)}.' if others else ''}", margin]
    if plan.shared_water:
        told.append("The tanks share water: what the change does to the water, it does to all of them, and a difference that comes through "
                    "the water will be missed.")
    return tuple(one for one in told if one)


def showing_sentences(showing: Showing | None, *, can_begin_later: bool = True) -> tuple[str, ...]:
    """What the plan could show and what it cannot, in plain words.

    Parameters
    ----------
    showing : Showing or None
        The frozen result; None where nobody knows how far like tanks differ.
    can_begin_later : bool
        Whether the change could start after a run-in, or change places; a bed cannot.

    Returns
    -------
    tuple of str
        Whole sentences.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if showing is None:
        return (f"What it could show is {UNKNOWN}. Earlier trials (spread.csv) or a value of your own tell: fairtank detect --sd.",)
    layout, first = showing.plan.layout, opening(showing)[0]
    if layout.kind == "drawn_start":
        return first, DRAWN_SHOWS, *_margin(showing, can_begin_later)
    if layout.smaller_arm == 1 and not layout.arms:
        return CANNOT_SHOW, *(_LETTER.sub("", one) for one in opening(showing)[1:] if one.startswith("Possible"))
    extra = TWO_EACH if layout.smaller_arm == 2 and layout.kind in ("side_by_side", "run_in", "swap") else SOME_SHOW
    return first, *_margin(showing, can_begin_later), extra


def _margin(showing: Showing, can_begin_later: bool) -> tuple[str, ...]:
    """Whether what matters would be noticed, and which other designs would notice it where this one would not."""
    told, plan = margin_sentence(showing), showing.plan
    if not told or showing.margin is None or plan.difference is None:
        return (told,) if told else ()
    size = showing.margin * (showing.full_after_d if showing.shape == "builds up" else 1.0)
    if plan.difference <= size:
        return (told,)
    others = [design_words(one) for one in showing.designs[1:] if one.difference is not None and one.difference <= size
              and one.key != "drawn_start" and (can_begin_later or one.key not in _BEGIN_LATER)]
    return told, f"What would notice it: {' or '.join(others[:2])}." if others else NONE_NOTICES


def _title(choice: MeasureChoice) -> str:
    title = title_unit_scale(choice)[0]
    return shown(title[:1].lower() + title[1:])


def _tanks(plan: Plan) -> str:
    """How many tanks and how they are laid out."""
    counts = Counter(plan.arm(unit.arm).role for unit in plan.units)
    units = len(plan.units)
    if plan.kind == "drawn_start" and plan.start_window:
        return f"Two tanks, alike at first; from day {plan.start_window[0]} to {plan.start_window[1]} the lot starts the change in one."
    if plan.kind == "swap":
        return f"{units} tanks; half have the change first, and on day {plan.swap_day} they change places."
    told = f"{units} tanks: {counts['changed']} with the change, {counts['reference']} without"
    if plan.kind == "pairs":
        return f"{told}, in pairs of neighbours."
    return f"{told}; the first {plan.run_in_days} days all alike." if plan.run_in_days else f"{told}."


def _days(plan: Plan) -> str:
    end = plan.start + timedelta(days=plan.days)
    return f"Day 0 is {plan.start.isoformat()}, day {plan.days}, the last, {end.isoformat()}."
