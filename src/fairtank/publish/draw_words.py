"""A draw in words: what was drawn and from how many draws, how each number came about, and what a finding has to tell of it."""

import itertools
from collections.abc import Sequence

from fairtank.lot import Draw
from fairtank.planning.drawing.lots import Drawn, units_by_block
from fairtank.planning.drawing.numbers import Number
from fairtank.publish.arms import arm_looks
from fairtank.publish.numbers import NO_BREAK, in_a_row, shown
from fairtank.publish.seal_words import day_words, time_words
from fairtank.trial import Plan

NUMBERS_WORDS = ("Each number comes from a short text: seed, label and a count from 0, with colons between them, as in 7:arms 1:0. The "
                 "first "
                 "eight digits of the text's SHA-256 digest, which any computer can work out, are a number in base sixteen. To draw one "
                 "of n, "
                 "divide it by n: the remainder is the answer, counted from 0. A number so near the top that some remainders would come "
                 "oftener (at or above the largest multiple of n below 4 294 967 296) is passed over, and the next count is taken.")
SHUFFLE_WORDS = ("A list is shuffled from its last place down to the second: of the place itself and all before it one is drawn, and the "
                 "two "
                 "change places.")
ADVICE = ("A seed that nobody can choose is the best one: say in public beforehand where it will come from, such as the last six digits "
          "of the "
          "first draw of a public lottery after a date, or the closing figures of something that is printed every day, and take it as it "
          "comes.")


def count_words(count: int) -> str:
    """A whole number with its thousands set apart.

    >>> count_words(20), count_words(161280)
    ('20', '161\\xa0280')
    """
    return f"{count:,}".replace(",", NO_BREAK)


def possible_words(draw: Draw) -> str:
    """How many draws there were, as a sentence.

    Parameters
    ----------
    draw : Draw

    Returns
    -------
    str

    References
    ----------
    fisher1935 (keys from sources.py).
    """
    what = "the arms and the day" if draw.window else "the arms"
    if draw.possible == 2:
        return "There were 2 possible draws, both equally likely: with so few the lot keeps out choosing, but evens out nothing."
    return f"There were {count_words(draw.possible)} possible draws of {what}, all equally likely."


def seed_words(draw: Draw) -> str:
    """Which seed it was, and where it came from."""
    source = "from this computer's own randomness" if draw.seed_from == "system" else "as it was given"
    return f"Seed {draw.seed}, {source}."


def blocked_words(draw: Draw) -> str:
    """What the draw was blocked by, and how evenly the arms stand in the blocks."""
    if draw.rows:
        return f"Drawn as a Latin square: every arm once in each {shown(draw.blocked_by[0])} and once in each {shown(draw.blocked_by[1])}."
    if draw.kind == "rounds":
        return "Drawn in rounds: in each of them one tank has the change, and either tank has it in half of the rounds, or nearly so."
    if not draw.blocks:
        return f"Drawn without blocks, {_evenly(draw, [len(draw.arms)])}"
    sizes = [len(units) for units in units_by_block([unit for unit, _ in draw.arms], draw.blocks).values()]
    by = in_a_row([shown(name) for name in draw.blocked_by]) if draw.blocked_by else "block"
    return f"Drawn in {len(sizes)} {'block' if len(sizes) == 1 else 'blocks'} by {by}, {_evenly(draw, sizes)}"


def _evenly(draw: Draw, sizes: Sequence[int]) -> str:
    arms = len(draw.arm_keys)
    if all(size % arms == 0 for size in sizes):
        return "with every arm equally often in " + ("each." if len(sizes) > 1 else "all.")
    return ("with the arms as even as they can be: what is left over in a block went to arms by lot, so that over all tanks no arm has two "
            "more than another, and every such draw was equally likely.")


def arms_sentence(plan: Plan) -> str:
    """Which units got which arm, arm by arm.

    Parameters
    ----------
    plan : Plan
        As the draw left it.

    Returns
    -------
    str

    References
    ----------
    arithmetic (keys from sources.py).
    """
    looks, parts = arm_looks(plan), []
    first = " first" if plan.kind == "swap" else ""
    for key, look in looks.items():
        own = [shown(unit.key) for unit in plan.units if unit.arm == key]
        parts.append(f"{shown(look.words)}{first}: {in_a_row(own) if own else 'none'}")
    return "; ".join(parts) + "."


def label_words(draw: Draw, label: str) -> str:
    """What a row of numbers was drawn for."""
    name, _, number = label.partition(" ")
    if name == "arms" and draw.kind == "rounds":
        return "which tank has the change, round by round"
    if name == "arms":
        blocks = list(units_by_block([unit for unit, _ in draw.arms], draw.blocks))
        return f"arms of block {shown(blocks[int(number) - 1])}" if draw.blocks else "arms of all tanks"
    if name == "odd":
        return f"who gets what is left over, try {number}" if draw.kind != "rounds" else "which tank has one round more"
    return {"places": "places", "start": "day of the start", "planting": "order of planting", "scoring": "order of scoring",
            "square": "which reduced Latin square", "columns": "order of its columns", "rows": "order of its rows but the first"}[name]


def number_cells(one: Number) -> tuple[str, str, str, str, str]:
    """One number for a table: text, digits, value, one of how many, what came out."""
    came = "passed over" if one.result is None else str(one.result)
    return one.text, one.digits, count_words(one.value), count_words(one.of), came


def worked_words(drawn: Drawn) -> str:
    """The first number of a draw, worked out in a sentence; empty where none was needed."""
    one = next((one for lot in drawn.lots for one in lot.used if one.result is not None), None)
    if one is None:
        return ""
    return (f"The first one: the digest of {one.text} begins with {one.digits}, which is {count_words(one.value)}; divided by {one.of} it "
            f"leaves "
            f"{one.result}.")


def steps_words(draw: Draw, drawn: Drawn) -> tuple[str, ...]:
    """How this very draw was made, step by step, for somebody who wants to do it once more.

    Parameters
    ----------
    draw : Draw
    drawn : Drawn
        The same draw with its numbers.

    Returns
    -------
    tuple of str

    References
    ----------
    fisher1938, fips180 (keys from sources.py).
    """
    steps = [NUMBERS_WORDS, SHUFFLE_WORDS]
    if draw.places:
        steps.append("Places: the tanks in the order of the plan are shuffled; the first tank takes the place of the first of the shuffled "
                     "row, and so on. Blocks and pairs belong to the places.")
    if draw.kind == "rounds":
        steps.append("Arms: a row with 0 for one half of the rounds and 1 for the other is shuffled; 0 means that the first tank of the "
                     "plan "
                     "has the reference in that round. Of an odd number of rounds one is drawn first.")
    elif draw.rows:
        steps.append("Arms: all reduced Latin squares, whose first row and column stand in order, are listed by their rows read as "
                     "numbers; one is drawn, its columns are shuffled, then its rows but the first.")
    else:
        odd = ("; then what is left over, in a block the arms do not divide: for each such block the arms are shuffled and the first ones "
               "take it, tried until no arm is two ahead of another over all blocks "
               f"({drawn.tries} {'try' if drawn.tries == 1 else 'tries'})")
        steps.append(f"Arms: in each block, list every arm of the plan as often as it stands there for "
                     f"certain{odd if drawn.tries else ''}. "
                     "Shuffle that list; the tanks of the block take it in the order of the plan.")
    if draw.window:
        steps.append(f"Start: one of the days {draw.window[0]} to {draw.window[1]} is drawn.")
    return (*steps, "Orders of planting and scoring: the tanks of the plan, shuffled.")


# what the report and a finding tell ----------------------------------------------------------------------------------


def drawn_fact(draws: Sequence[Draw]) -> str:
    """The draws as one entry among the facts of the plan; empty where there are none.

    Parameters
    ----------
    draws : sequence of Draw
        All of them, the one that counts last.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    if not draws:
        return ""
    last = draws[-1]
    seen = f", seen by {shown(last.witness)}" if last.witness else ""
    again = f" This was draw {len(draws)}; the ones before it are kept in draw.json." if len(draws) > 1 else ""
    return f"{time_words(last.at)}{seen}. {seed_words(last)} {possible_words(last)} {blocked_words(last)}{again}"


def draws_told(plan: Plan, draws: Sequence[Draw]) -> tuple[str, ...]:
    """What every finding has to tell of the draws: that it was drawn again or late, and where trial.toml says something else.

    Parameters
    ----------
    plan : Plan
        As trial.toml has it now.
    draws : sequence of Draw

    Returns
    -------
    tuple of str
        Whole sentences; none where the trial was drawn once, in time.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if not draws:
        return ()
    told = []
    for earlier, later in itertools.pairwise(draws):
        told.append(f"The arms were drawn with seed {earlier.seed} on {day_words(earlier.at)} and drawn again with seed {later.seed} on "
                    f"{day_words(later.at)}{_reason(later)}: whoever may draw again can choose.")
    for draw in draws:
        if draw.sealed or draw.values + draw.photos:
            there = [*(["the plan was sealed"] if draw.sealed else []), *(["there was data"] if draw.values + draw.photos else [])]
            told.append(f"The draw of {day_words(draw.at)} was made when {' and '.join(there)} already{_reason(draw)}.")
    if draws[0].said_before:
        told.append(f"Before the first draw that is on record, trial.toml said already that the arms were {shown(draws[0].said_before)}.")
    return (*told, *disagreement_words(plan, draws[-1]))


def _reason(draw: Draw) -> str:
    return f" (reason given: “{shown(draw.reason)}”)" if draw.reason else " (no reason given)"


def disagreement_words(plan: Plan, draw: Draw) -> tuple[str, ...]:
    """Where trial.toml says something else than the last draw.

    Parameters
    ----------
    plan : Plan
    draw : Draw
        The last one.

    Returns
    -------
    tuple of str
        Whole sentences; none where all agrees.

    References
    ----------
    common_practice (keys from sources.py).
    """
    now = {unit.key: (unit.first_arm or unit.arm) if plan.kind == "swap" else unit.arm for unit in plan.units}
    was, wrong = dict(draw.arms), []
    for key in dict.fromkeys((*was, *now)):
        if key not in now:
            wrong.append(f"Tank {shown(key)} was drawn and is not in trial.toml.")
        elif key not in was:
            wrong.append(f"Tank {shown(key)} is in trial.toml and was not drawn.")
        elif now[key] != was[key]:
            wrong.append(f"The lot gave tank {shown(key)} arm {shown(was[key])}, and trial.toml says {shown(now[key])}.")
    if draw.drawn_day is not None and plan.drawn_day != draw.drawn_day:
        day = "none" if plan.drawn_day is None else plan.drawn_day
        wrong.append(f"The lot gave day {draw.drawn_day} for the start, and trial.toml says {day}.")
    places = dict(draw.places)
    wrong += [f"The lot gave tank {shown(unit.key)} the place {shown(places[unit.key])}, "
              f"and trial.toml says {shown(unit.position) or 'none'}."
              for unit in plan.units if unit.key in places and unit.position != places[unit.key]]
    if plan.seed != draw.seed or not plan.drawn:
        wrong.append(f"The draw on record has seed {draw.seed}, and trial.toml says {_said(plan)}.")
    return tuple(wrong)


def _said(plan: Plan) -> str:
    return ("none" if plan.seed is None else f"seed {plan.seed}") if plan.drawn else "that nothing was drawn"
