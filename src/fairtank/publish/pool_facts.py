"""How several trials of one question differ in how they were done, and what the next one should change for it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from fairtank.publish.numbers import in_a_row, plain_number, shown, with_unit
from fairtank.publish.phrases import capital, counted
from fairtank.publish.pool_words import FEWEST_FOR_TWO_OF_THREE, PoolStory, letter_of
from fairtank.publish.report_plan import KIND_WORDS

NOT_SAID, NOT_SEALED = "not said", "not sealed"
FEWEST_TRIALS, FEWEST_TANKS = 3, 3
SAME_SIZE = 1.25  # tanks whose litres lie within this ratio are of about one size
MONTHS_APART_D = 60


@dataclass(frozen=True)
class PooledFacts:
    """How one of the trials was done, as far as it was written down.

    name: as it is shown. keeper, place, change, reference, licence, disclosure, seal_code: empty where they were not said. tanks: of the
    reference and of the changed arm. litres: of one tank; None where it was not said. has_interval: whether it counts.
    """

    name: str
    start: date
    days: int
    kind: str
    tanks: tuple[int, int]
    grade: str
    has_interval: bool
    drawn: bool
    blinded: bool
    keeper: str = ""
    place: str = ""
    change: str = ""
    reference: str = ""
    litres: float | None = None
    seal_code: str = ""
    licence: str = ""
    disclosure: str = ""
    repeats: str = ""


SETUP_HEAD = ("Letter", "Keeper", "Start", "Days", "Design", "Tanks", "Litres")
CARE_HEAD = ("Letter", "By lot", "Blind", "Seal", "Grade", "Licence")
_LICENCES = {"none": "rights remain", "own": "own terms"}
_SHORT_KINDS = {"side_by_side": "side by side", "run_in": "run-in", "swap": "swap", "drawn_start": "drawn start", "pairs": "pairs",
                "rounds": "rounds", "ladder": "ladder", "two_changes": "two changes"}


def setup_rows(facts: Sequence[PooledFacts]) -> tuple[tuple[str, ...], ...]:
    """Who kept what tanks, and when: one row for each trial under SETUP_HEAD."""
    return tuple((letter_of(place), shown(one.keeper) or NOT_SAID, one.start.isoformat(), str(one.days),
                  _SHORT_KINDS.get(one.kind, one.kind), f"{one.tanks[1]} and {one.tanks[0]}",
                  NOT_SAID if one.litres is None else plain_number(one.litres)) for place, one in enumerate(facts))


def care_rows(facts: Sequence[PooledFacts]) -> tuple[tuple[str, ...], ...]:
    """What kept it honest, what came out, and what others may do with it: one row for each trial under CARE_HEAD."""
    return tuple((letter_of(place), _yes(one.drawn), _yes(one.blinded), one.seal_code or NOT_SEALED, one.grade,
                  _LICENCES.get(one.licence, shown(one.licence)) or NOT_SAID) for place, one in enumerate(facts))


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def varied_words(facts: Sequence[PooledFacts]) -> tuple[str, ...]:
    """In whole sentences what differed between the trials, and what was the same in all; nothing of one trial.

    Parameters
    ----------
    facts : sequence of PooledFacts
        In the order in which the trials are shown.

    Returns
    -------
    tuple of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    if len(facts) == 1:
        return ()
    told = [_people(facts), _sizes(facts), _seasons(facts), _lengths(facts), _designs(facts), *_texts(facts), _lots(facts), _repeats(facts)]
    return tuple(text for text in told if text)


def _people(facts: Sequence[PooledFacts]) -> str:
    keepers = _said(one.keeper for one in facts)
    if len(keepers) > 1:
        return f"Keepers: {in_a_row(keepers)}."
    unsaid = sum(not one.keeper for one in facts)
    if unsaid:
        return f"Who kept the tanks was not said in {unsaid} of {len(facts)} trials."
    return f"All were kept by {keepers[0]}: whether somebody else would find the same, these trials do not tell."


def _said(texts: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(shown(text) for text in texts if text))


def _sizes(facts: Sequence[PooledFacts]) -> str:
    litres = [one.litres for one in facts if one.litres is not None]
    if not litres:
        return "How large the tanks were was not said."
    low, high = min(litres), max(litres)
    if high <= SAME_SIZE * low:
        size = with_unit(plain_number(round(low)), "L")
        return f"Tanks of about one size, {size}: what larger or smaller ones do, these trials do not tell."
    return f"Tanks of {plain_number(round(low))} to {with_unit(plain_number(round(high)), 'L')}."


def _seasons(facts: Sequence[PooledFacts]) -> str:
    first, last = min(one.start for one in facts), max(one.start for one in facts)
    if last == first:
        return f"All began on {first.isoformat()}, in one season."
    if (last - first).days < MONTHS_APART_D:
        return f"All began within {(last - first).days} days of each other, in one season."
    return f"They began between {first.isoformat()} and {last.isoformat()}."


def _lengths(facts: Sequence[PooledFacts]) -> str:
    low, high = min(one.days for one in facts), max(one.days for one in facts)
    return f"All ran for {low} days." if low == high else f"They ran for {low} to {high} days."


def _designs(facts: Sequence[PooledFacts]) -> str:
    kinds = list(dict.fromkeys(KIND_WORDS.get(one.kind, one.kind) for one in facts))
    return f"Designs: {in_a_row(kinds)}." if len(kinds) > 1 else ""


def _texts(facts: Sequence[PooledFacts]) -> list[str]:
    """The change and the reference, where they were described in different words."""
    told = []
    for what, texts in (("The change", _said(one.change for one in facts)), ("The reference", _said(one.reference for one in facts))):
        if len(texts) > 1:
            told.append(f"{what} was described in {counted(len(texts), 'way')}: {in_a_row([f'“{text}”' for text in texts])}.")
    return told


def _lots(facts: Sequence[PooledFacts]) -> str:
    not_drawn = [one.name for one in facts if not one.drawn]
    if not not_drawn:
        return "In all of them the lot chose the tanks."
    return f"Not drawn by lot, or not recorded: {in_a_row(map(shown, not_drawn))}."


def lot_words(facts: Sequence[PooledFacts]) -> str:
    """The caution that goes with the headline where a trial was not drawn by lot; empty where all were."""
    not_drawn = sum(not one.drawn for one in facts)
    if not not_drawn:
        return ""
    where = "The arms" if not_drawn == len(facts) else f"In {not_drawn} of {len(facts)} trials the arms"
    return f"{where} were not drawn by lot, or it was not recorded, so whatever went with that choice may be the cause."


def _repeats(facts: Sequence[PooledFacts]) -> str:
    told = [f"{shown(one.name)} repeats “{shown(one.repeats)}”" for one in facts if one.repeats]
    return f"{capital(in_a_row(told))}." if told else ""


def next_words(story: PoolStory, facts: Sequence[PooledFacts]) -> tuple[str, ...]:
    """What the next trial should keep so that it can be put together with these, and what it should change so that it tells more.

    Parameters
    ----------
    story : PoolStory
        The trials and their frozen result.
    facts : sequence of PooledFacts
        Of the same trials.

    Returns
    -------
    tuple of str
        Whole sentences.

    References
    ----------
    common_practice (keys from sources.py).
    """
    first = story.pattern
    told = [f"Keep what is compared, the measure ({shown(first.title)}), the way it is summed up and about the same number of days: a "
            "trial that differs in these answers another question and is left out."]
    told += _from_the_result(story, facts)
    told += _from_the_facts(facts)
    return tuple(told)


def _from_the_result(story: PoolStory, facts: Sequence[PooledFacts]) -> list[str]:
    pooled, told = story.pooled, []
    counted_in = sum(one.has_interval for one in facts)
    if counted_in < FEWEST_TRIALS:
        missing = FEWEST_TRIALS - counted_in
        told.append(f"{capital(counted(missing, 'further trial'))} with an interval and all of them can be pooled.")
    elif counted_in < FEWEST_FOR_TWO_OF_THREE:
        told.append(f"More trials: with {counted_in} nobody can say well how far the effect differs from trial to trial, and that is what "
                    "makes the span for a further trial wide.")
    small = [shown(one.name) for one in facts if min(one.tanks) < FEWEST_TANKS]
    if pooled.facts.not_counted or small:
        told.append(f"Three tanks per arm or more: with fewer a trial may have no interval of its own to be counted by "
                    f"({in_a_row(small or [shown(name) for name in pooled.facts.not_counted])}).")
    if pooled.margin is None:
        told.append("Fix the same smallest difference that matters in every trial, before the start: without one the verdict can only be "
                    "about any difference at all.")
    if pooled.facts.swayed:
        told.append("Let people score who do not know the arms: the scores of those who could know decide nothing.")
    return told


def _from_the_facts(facts: Sequence[PooledFacts]) -> list[str]:
    told, litres = [], [one.litres for one in facts if one.litres is not None]
    if len({one.keeper for one in facts if one.keeper}) == 1:
        told.append("Another keeper, in another room, with other water: so far all tanks stood under one pair of hands.")
    if litres and max(litres) <= SAME_SIZE * min(litres):
        told.append("Tanks of another size.")
    if not all(one.drawn for one in facts):
        told.append("Let the lot decide which tank gets what, and write the draw down.")
    unsealed = sum(not one.seal_code for one in facts)
    if unsealed:
        told.append(f"Seal the plan before the start: {unsealed} of {len(facts)} trials have no seal, so nobody can see that their "
                    "question came before their data.")
    return told


def disclosure_rows(facts: Sequence[PooledFacts]) -> tuple[tuple[str, str], ...]:
    """Who paid for or gave what, trial by trial; that nothing was said, where it was not."""
    return tuple((f"{letter_of(place)}  {shown(one.name)}", shown(one.disclosure) or "none stated") for place, one in enumerate(facts))
