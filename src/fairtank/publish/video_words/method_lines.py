"""The method in five lines: what was compared, on how many tanks, for how long, by which measure, and how it was judged."""

from fairtank.publish.arms import arm_looks
from fairtank.publish.curves import change_day
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.phrases import capital, counted, measure_words, named, plain_text, word_of
from fairtank.publish.settling_words import size_words
from fairtank.publish.video_words.content import WordsContent
from fairtank.trial import Plan

_DESIGNS = {
    "side_by_side": "side by side from the first day", "swap": "every tank had both, one after the other",
    "pairs": "side by side in pairs of neighbours", "ladder": "side by side at several doses", "two_changes": "two changes, each with and "
                                                                                                              "without the other",
    "rounds": "the same tanks in several rounds, the change going to and fro", "drawn_start": "the lot drew the tank and the day of the "
                                                                                              "start",
    "run_in": "all alike first",
}


def method_lines(content: WordsContent) -> tuple[str, ...]:
    """Five lines, each a whole sentence, of what was written down in the plan.

    Parameters
    ----------
    content : WordsContent

    Returns
    -------
    tuple of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    plan = content.plan
    return tuple(plain_text(line) for line in (_compared(plan), _tanks(plan), _days(plan), _measure(content), _judged(content)))


def _compared(plan: Plan) -> str:
    change, reference = shown(plan.change).rstrip("."), shown(plan.reference).rstrip(".")
    if change and reference:
        return f"Compared: {change}, against: {reference}."
    return f"Compared: {in_a_row([named(arm.label) for arm in plan.arms])}."


def _tanks(plan: Plan) -> str:
    word = word_of(plan)
    if plan.kind == "rounds":
        tanks, rounds = len({unit.in_tank for unit in plan.units}), len({unit.round for unit in plan.units})
        lot = "Which one had what in which round was drawn by lot" if plan.drawn else \
            "Which one had what in which round was not drawn by lot, or that was not recorded"
        return f"{capital(counted(tanks, word))} in {counted(rounds, 'round')}, in each of them one in either arm. {lot}."
    counts = {key: sum(unit.arm == key for unit in plan.units) for key in arm_looks(plan)}
    told = in_a_row([f"{count} under {named(plan.arm(key).label)}" for key, count in counts.items()])
    is_swap = plan.kind == "swap"
    what = "Which one had what first" if is_swap else "Which one got what"
    lot = f"{what} was drawn by lot" if plan.drawn else f"{what} was not drawn by lot, or that was not recorded"
    return f"{capital(counted(len(plan.units), word))}: {told}{' first' if is_swap else ''}. {lot}."


def _days(plan: Plan) -> str:
    start = change_day(plan)
    last = f"Day 0 was {plan.start.isoformat()}, the last day was day {plan.days}; {_DESIGNS[plan.kind]}"
    if start is None or start == 0:
        return f"{last}."
    return f"{last}, and on day {start} {'the tanks changed places' if plan.kind == 'swap' else 'the change started'}."


def _measure(content: WordsContent) -> str:
    primary = content.primary
    if not primary:
        return "No measure was judged."
    first = primary[0]
    how = "from photos" if content.report.folder.photos and content.report.qualities else "from values that were written down"
    if any(one.measure == first.measure for one in content.report.folder.carried):
        how = "from photos that are not in this folder"
    if first.eyes is not None:
        how = "by people who looked at photos"
    days = f"day {first.reading_day}" if first.reading_day is not None else f"days {first.window[0]} to {first.window[1]}"
    days += " of each round" if content.plan.kind == "rounds" else ""
    fixed = "" if first.margin is None or first.natural is None else \
        f" Fixed beforehand as the smallest difference that matters: {size_words(first, first.margin)}."
    return f"Measured {how}: {measure_words(first)}, {days}.{fixed}"


def _judged(content: WordsContent) -> str:
    blind = ("people who scored did not know the arms" if content.plan.blinded else
             "nobody was kept from knowing the arms, or that was not recorded")
    seal = "the plan was sealed" if content.report.folder.seal is not None else "the plan was not sealed"
    return f"Judged with the tanks as the sample, not the photos; {blind}; {seal}."
