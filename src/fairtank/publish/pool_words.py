"""What several trials of one question say together, in words: the sentence, how far the trials differ, and the table of trials."""

from dataclasses import dataclass, replace

from fairtank.finding import Finding, Natural
from fairtank.inference.intervals.chi_square import chance_above
from fairtank.inference.pooling import ForestRow, Pooled
from fairtank.publish.amounts import amount_words
from fairtank.publish.numbers import NO_BREAK, decimals_of, end, figures, in_a_row, interval, number, plain_number, shown, with_unit
from fairtank.publish.phrases import measure_words, named, title_words
from fairtank.publish.printed import difference_unit, factor, interval_of_ratio, levels_apart, natural_unit, ratio, spread_words
from fairtank.publish.scales import natural_value, scale_value
from fairtank.publish.verdicts import verdict_words

COLUMNS = ("", "trial", "grade", "effect", "weight")
ALL_OF_THEM = ("Every finished trial of the question belongs in the folder, whatever it showed: leaving out the dull ones makes any effect "
               "look real.")
CHANCE_AT_MOST = 0.05  # above it trials of one and the same effect often scatter as much
FEWEST_FOR_TWO_OF_THREE = 10  # with fewer trials how far effects differ is too unsure to say where two of three would lie
WEIGHTY = 1.2  # times an even share of the weight, before a trial is said to weigh most
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class PoolStory:
    """Several trials of one question, and what words and pictures need besides the numbers.

    pooled: the frozen result. pattern: the finding of the first trial that is shown; it lends the measure's name, its unit and the arms'
    names. level: where the reference tanks stand when a cover is told, in the middle of the trials [natural unit]; None where no
    trial has such a level. remarks: whole sentences on how the trials were put together.
    """

    pooled: Pooled
    pattern: Finding
    level: float | None = None
    remarks: tuple[str, ...] = ()

    @property
    def is_ratio(self) -> bool:
        """Whether effects are told as a ratio: amounts, and slopes of a cover."""
        return self.pattern.scale == "log" or (self.pattern.scale == "logit" and not self.is_level)

    @property
    def is_level(self) -> bool:
        """Whether effects are told as the level that the change leads to."""
        return self.pattern.scale == "logit" and self.level is not None

    def natural(self, effect: float) -> float:
        """An effect in the unit in which it is told: a level, a ratio or a difference."""
        if self.is_level and self.level is not None:
            return natural_value(scale_value(self.level, "logit") + effect, "logit")
        return factor(effect) if self.is_ratio else effect


def letter_of(place: int) -> str:
    """The letter of a row: A to Z, then AA, AB and so on.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('A', 'Z', 'AA')
    """
    return _LETTERS[place] if place < len(_LETTERS) else letter_of(place // len(_LETTERS) - 1) + _LETTERS[place % len(_LETTERS)]


def as_finding(story: PoolStory, estimate: float, low: float | None, high: float | None, *, grade: str = "open") -> Finding:
    """An effect in the form of one trial's finding, so that it is worded like one."""
    natural = None
    if story.is_level and story.level is not None:
        first, last = (None if limit is None else story.natural(limit) for limit in (low, high))
        natural = Natural(story.level, story.natural(estimate), first, last, natural_unit(story.pattern))
    tags = ("not blinded",) if story.pooled.facts.swayed else ()
    return replace(story.pattern, role="primary", design="side_by_side", estimate=estimate, low=low, high=high, level=story.pooled.level,
                   grade=grade, margin=story.pooled.margin, natural=natural, tags=tags, units=(), facts=(), cautions=(),
                   shuffle_gate_refused=False, holm_p=None, alternatives=(), basis="own tanks", looks=(), ranking=())


def headline(story: PoolStory) -> str:
    """The sentence to begin with: the verdict of all trials with its number, or why there is none.

    Parameters
    ----------
    story : PoolStory
        The trials and their frozen result.

    Returns
    -------
    str
        One to a few sentences.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    pooled = story.pooled
    if pooled.estimate is None or len(pooled.rows) == 1:
        return shown(pooled.note)
    found = as_finding(story, pooled.estimate, pooled.low, pooled.high, grade=pooled.grade or "open")
    verdict, amount = verdict_words(found), amount_words(found)
    return f"{pooled.facts.trials} trials taken together. {verdict} {amount}".rstrip()


def sentences(story: PoolStory) -> tuple[str, ...]:
    """What follows the headline: a further trial, how far the trials differ, which way they point, and what rests on what."""
    pooled = story.pooled
    if pooled.estimate is None or len(pooled.rows) == 1:
        own = [words for words in [_only_words(story)] if words]
        return (*own, *story.remarks, ALL_OF_THEM)
    told = [prediction_words(story), differ_words(story), direction_words(story), _weight_words(pooled)]
    if pooled.fragile and pooled.even_low is not None and pooled.even_high is not None:
        even = effect_words(story, (pooled.even_low + pooled.even_high) / 2, pooled.even_low, pooled.even_high)
        told.append(f"Fragile: with every trial counted the same it would be {even}, and the grade another.")
    if pooled.facts.swayed:
        told.append(f"Scored by people who could know which tank had which arm: {_listed(pooled.facts.swayed)}. Such scores decide "
                    "nothing, however many there are.")
    return (*(text for text in told if text), *story.remarks, ALL_OF_THEM)


def _only_words(story: PoolStory) -> str:
    pooled = story.pooled
    if pooled.estimate is None or pooled.low is None:
        return ""
    found = as_finding(story, pooled.estimate, pooled.low, pooled.high, grade=pooled.grade or "open")
    return f"{verdict_words(found)} {amount_words(found)}".rstrip()


def prediction_words(story: PoolStory) -> str:
    """Between what a further trial would probably lie; empty where nothing was pooled."""
    pooled = story.pooled
    if pooled.prediction_low is None or pooled.prediction_high is None or pooled.estimate is None:
        return ""
    often = " (19 times in 20)" if abs(pooled.level - 0.95) < 1e-9 else ""
    told = f"A further trial would probably lie between {_between_words(story, pooled.prediction_low, pooled.prediction_high)}{often}."
    if pooled.facts.next_may_be_opposite:
        return f"{told} So it may well point the other way."
    return f"{told} So it may well find none." if pooled.facts.next_may_be_none else told


def span_words(story: PoolStory, low: float, high: float) -> str:
    """Two effects in natural units, as `3 to 20 %`."""
    decimals = decimals_of(*(story.natural(effect) for effect in ((low + high) / 2, low, high)))
    unit = " times" if story.is_ratio else _effect_unit(story)
    ends = interval(story.natural(low), story.natural(high), decimals, "" if story.is_ratio else unit)
    return ends + unit if story.is_ratio else ends


def _effect_unit(story: PoolStory) -> str:
    """The unit behind an effect that is told as a level or as a difference."""
    return natural_unit(story.pattern) if story.is_level else difference_unit(story.pattern)


def _between_words(story: PoolStory, low: float, high: float) -> str:
    """Two effects with `and` between them, and what they are counted from."""
    ends = span_words(story, low, high).replace(" to ", " and ", 1)
    if story.is_level:
        return f"{ends} where the reference has {_level_words(story)}"
    per_day = " a day" if story.pattern.summary == "slope" else ""
    if story.is_ratio:
        return f"{ends} the reference{per_day}"
    if low < 0 < high:
        decimals = decimals_of((low + high) / 2, low, high)
        first, second = (with_unit(end(size, decimals), difference_unit(story.pattern)) for size in (-low, high))
        return f"{first} less and {second} more than the reference{per_day}"
    near, far = sorted((abs(low), abs(high)))
    return f"{span_words(story, near, far).replace(' to ', ' and ', 1)} {'more' if high > 0 else 'less'} than the reference{per_day}"


def _level_words(story: PoolStory) -> str:
    level = story.level or 0.0
    return with_unit(plain_number(float(f"{level:.{2 if level < 98 else 3}g}")), natural_unit(story.pattern))


def differ_words(story: PoolStory) -> str:
    """How far the trials differ beyond what their own tanks explain."""
    tau = story.pooled.tau
    if tau is None:
        return ""
    if tau == 0:
        return ("The trials differ no more than the scatter of their tanks explains; with so few trials that does not show that they are "
                "alike." if story.pooled.facts.trials < FEWEST_FOR_TWO_OF_THREE else
                "The trials differ no more than the scatter of their tanks explains.")
    trials, per_day = story.pooled.facts.trials, " per day" if story.pattern.summary == "slope" else ""
    size = f"a standard deviation of {spread_words(story.pattern, tau)}{per_day}"
    chance = 0.0 if story.pooled.q is None else chance_above(story.pooled.q, trials - 1)
    if chance > CHANCE_AT_MOST:
        cases = f"{100 * chance:.0f} of 100 sets"
        return (f"The trials scatter somewhat more than their tanks explain; chance alone makes as much of it or more in {cases} of "
                "trials. "
                f"The best guess of how far effects differ is {size}, and {trials} trials say that only very roughly.")
    told = "From trial to trial the effect itself differs, by more than the scatter of their tanks explains"
    if trials < FEWEST_FOR_TWO_OF_THREE:
        return f"{told}: the best guess is {size}, and {trials} trials say that only very roughly."
    middle = story.pooled.estimate or 0.0
    return (f"{told}: in about two of three trials like these it would lie between {_between_words(story, middle - tau, middle + tau)} "
            f"({size}).")


def direction_words(story: PoolStory) -> str:
    """How many trials point which way."""
    facts, what = story.pooled.facts, measure_words(story.pattern)
    less, more = ("a slower rise in", "a faster rise in") if story.pattern.summary == "slope" else ("less", "more")
    for count, word in ((facts.less, less), (facts.more, more)):
        if count == facts.trials:
            return f"All {count} trials point to {word} {what}."
    parts = [f"{count} {'points' if count == 1 else 'point'} to {word} {what}" for count, word in ((facts.less, less), (facts.more, more))
             if count]
    parts += [f"{facts.none} to neither"] if facts.none else []
    return f"Of {facts.trials} trials {in_a_row(parts)}."


def _weight_words(pooled: Pooled) -> str:
    facts = pooled.facts
    told = shown(pooled.note)
    if facts.largest_share is not None and facts.largest_share > WEIGHTY / facts.trials:
        told += f" {facts.largest_trial} weighs most, {100 * facts.largest_share:.0f}{NO_BREAK}%."
    if facts.not_counted:
        told += f" Shown without being counted, as there is no interval: {_listed(facts.not_counted)}."
    return told


def effect_words(story: PoolStory, estimate: float, low: float | None, high: float | None) -> str:
    """An effect with its interval as a row tells it, in natural units where there are any."""
    unit = _effect_unit(story)
    if low is None or high is None:
        only = figures(story.natural(estimate))
        return f"{with_unit(only, unit) if not story.is_ratio else only + ' times'}, no interval"
    found = as_finding(story, estimate, low, high)
    if story.is_level and found.natural is not None:
        _, changed, bounds = levels_apart(found, found.natural.reference, found.natural.changed, story.natural(low), story.natural(high))
        return f"{with_unit(changed, unit)} ({with_unit(bounds, unit)})"
    if story.is_ratio:
        return f"{ratio(found, ' times')} ({interval_of_ratio(found)})"
    decimals = decimals_of(estimate, low, high)
    return f"{number(estimate, decimals)} ({interval(low, high, decimals, unit)})"


def effect_heading(story: PoolStory) -> str:
    """What the effects of the rows are, for the head of a table or an axis."""
    what, changed = title_words(story.pattern), named(story.pattern.changed_label)
    if story.is_level:
        return f"{what} under {changed} where the reference has {_level_words(story)}"
    if story.pattern.summary == "slope":
        rise = "odds of " if story.pattern.scale == "logit" else ""
        unit = _effect_unit(story)
        return (f"Daily rise of {rise}{measure_words(story.pattern)} under {changed}, "
                + ("times that of the reference" if story.is_ratio else f"beyond that of the reference [{unit or 'units'} per day]"))
    if story.is_ratio:
        return f"{what} under {changed}, times the reference"
    return f"{what} under {changed}, beyond the reference [{_effect_unit(story) or 'units'}]"


def table_rows(story: PoolStory) -> list[list[str]]:
    """One row for each trial, then all of them together and a further one."""
    pooled = story.pooled
    rows = [list(COLUMNS)]
    for place, row in enumerate(pooled.rows):
        rows.append([letter_of(place), shown(row.trial), row.grade, effect_words(story, row.estimate, row.low, row.high), _share(row)])
    if pooled.estimate is not None and len(pooled.rows) > 1:
        together = effect_words(story, pooled.estimate, pooled.low, pooled.high)
        rows.append(["", f"{pooled.facts.trials} trials together", pooled.grade or "", together, ""])
    if pooled.prediction_low is not None and pooled.prediction_high is not None:
        rows.append(["", "a further trial", "", span_words(story, pooled.prediction_low, pooled.prediction_high), ""])
    if all(not row[-1] for row in rows[1:]):
        rows = [row[:-1] for row in rows]
    return rows


def _share(row: ForestRow) -> str:
    if row.weight_share is None:
        return ""
    return "not counted" if row.low is None else f"{100 * row.weight_share:.0f}{NO_BREAK}%"


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(shown(name) for name in names)
