"""The reporting checklist of a trial: each item of the statement answered with the section that holds it, or plainly not.

An item counts as answered only where the folder really holds what it asks for.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

from fairtank.finding import Finding
from fairtank.publish.blocks import ANSWERED, DOES_NOT_APPLY, NOT_RECORDED, STATES, Answer, Block, Checklist, Words
from fairtank.publish.consort import ITEMS
from fairtank.publish.content import ReportContent
from fairtank.publish.even_matrix import matrix_checks
from fairtank.publish.phrases import capital, so_many
from fairtank.publish.report_harm import harm_events
from fairtank.trial import Plan, TrialFolder

CAPTION = ("After CONSORT 2025, the statement on what the report of a trial with people should tell, carried over to tanks in words of "
           "our own. Item numbers are those of the statement.")
NOT_BY_LOT = "the arms were not drawn by lot, or it was not recorded that they were"
Found = tuple[str, str, tuple[str, ...]]


@dataclass(frozen=True)
class _Asked:
    """What an item can look at. titles: sections of the report by key."""

    content: ReportContent
    primary: Sequence[Finding]
    titles: dict[str, str]

    @property
    def folder(self) -> TrialFolder:
        return self.content.folder

    @property
    def plan(self) -> Plan:
        return self.content.folder.plan


def checklist_blocks(content: ReportContent, primary: Sequence[Finding], titles: dict[str, str]) -> tuple[Block, ...]:
    """How many items are answered, then all of them.

    Parameters
    ----------
    content : ReportContent
    primary : sequence of Finding
        The primary findings.
    titles : dict of str to str
        The sections that the report has, by key: an answer leads to no other.

    Returns
    -------
    tuple of Block

    References
    ----------
    consort2025 (keys from sources.py).
    """
    found = answers(content, primary, titles)
    groups = tuple((part, tuple(found[item.number] for item in items)) for part, items in groupby(ITEMS, key=lambda item: item.part))
    return Words(counted_words(tuple(found.values()))), Checklist(CAPTION, groups)


def counted_words(found: Sequence[Answer]) -> str:
    """How many items are answered, not recorded, and do not apply."""
    counts = Counter(answer.state for answer in found)
    told = [f"{counts[state]} {'do not apply' if state == DOES_NOT_APPLY and counts[state] != 1 else state}" for state in STATES]
    return f"Of {so_many(len(found), 'item')}: {', '.join(told)}."


def answers(content: ReportContent, primary: Sequence[Finding], titles: dict[str, str]) -> dict[str, Answer]:
    """The answer to every item, by its number."""
    asked = _Asked(content, primary, titles)
    found = {}
    for item in ITEMS:
        state, text, keys = ANSWERS[item.number](asked)
        sections = tuple((key, titles[key]) for key in keys if key in titles)
        found[item.number] = Answer(item.number, item.asks, state, text, sections)
    return found


def _yes(text: str, *keys: str) -> Found:
    return ANSWERED, text, keys


def _no(text: str, *keys: str) -> Found:
    return NOT_RECORDED, text, keys


def _apart(why: str, *keys: str) -> Found:
    return DOES_NOT_APPLY, why, keys


def _if(is_there: object, yes: str, no: str, *keys: str) -> Found:
    return _yes(yes, *keys) if is_there else _no(no, *keys)


# title, openness, reasons ------------------------------------------------------------------------------------------------


def _by_lot(asked: _Asked) -> Found:
    return _yes("Said below the title.", "draw") if asked.plan.drawn else _no(f"{capital(NOT_BY_LOT)}; the report says so.", "draw")


def _summary(asked: _Asked) -> Found:
    return _if(asked.primary, "At the head, and in the box.", "Nothing was judged.", "brief")


def _register(asked: _Asked) -> Found:
    seal = asked.folder.seal
    if seal is None:
        return _no("No public register is named, and the plan was not sealed.")
    return _no(f"No public register is named. The plan is sealed instead, with the code {seal.entries[0].code}.", "plan")


def _plan_is_there(asked: _Asked) -> Found:
    how = "sealed" if asked.folder.seal is not None else "not sealed, so that nobody can see that it came before the data"
    return _yes(f"The plan stands here in full, {how}; how it was analysed too.", "plan", "methods")


def _data(asked: _Asked) -> Found:
    return _no("The folder does not say where its data can be had. The digest at the foot tells whether a copy is the same.")


def _funding(asked: _Asked) -> Found:
    return _if(asked.plan.disclosure, "In the keeper's own words.", "Nothing was said about who paid or supplied anything.", "disclosure")


def _interests(asked: _Asked) -> Found:
    return _if(asked.plan.disclosure, "In the keeper's own words.", "Nothing was said about interests.", "disclosure")


def _rationale(asked: _Asked) -> Found:
    return _if(asked.plan.rationale, "In the keeper's own words.", "No reason was given why the change should do anything.", "plan")


def _objectives(asked: _Asked) -> Found:
    return _if(asked.plan.question, "The question is there. Nothing was asked beforehand about harm.", "No question was written down.",
               "plan")


def _involved(asked: _Asked) -> Found:
    return _apart("what was drawn are tanks; nobody was treated, and nobody's consent was needed.")


# how it was done ---------------------------------------------------------------------------------------------------------


def _design(asked: _Asked) -> Found:
    sought = "whether a difference matters or is too small to" if any(one.margin is not None for one in asked.primary) else \
        "whether there is a difference, without a smallest one that matters"
    return _yes(f"Design and tanks of each arm; sought was {sought}.", "plan", "draw")


def _changes(asked: _Asked) -> Found:
    seal = asked.folder.seal
    if seal is None:
        return _no("Without a seal nobody can tell whether the plan was changed.", "deviations")
    amended = len(seal.entries) - 1
    return _yes(f"{so_many(amended, 'amendment')}, with time and reason." if amended else "The plan was not amended after it was sealed.",
                "plan", "deviations")


def _setting(asked: _Asked) -> Found:
    return _if(asked.plan.place, "The place is named.", "No place was written down.", "plan")


def _chosen(asked: _Asked) -> Found:
    return _no("By what the tanks were chosen was not written down.", "draw")


def _people(asked: _Asked) -> Found:
    return _apart("one place, and nobody had to qualify.")


def _change(asked: _Asked) -> Found:
    plan = asked.plan
    there = plan.change and plan.reference
    built = " What was built is there too." if asked.folder.build or asked.folder.setup else ""
    return _if(there, f"Both are described.{built}", "The change and what it is compared with are not described in full.", "plan", "build")


def _measures(asked: _Asked) -> Found:
    if not asked.primary:
        return _no("Nothing was judged.")
    seal = asked.folder.seal
    fixed = "" if seal is not None and not seal.entries[0].has_data else " That they were fixed before the data came cannot be shown."
    return _yes(f"Each with its number, scale and days.{fixed}", "plan", "methods")


def _harm_sought(asked: _Asked) -> Found:
    return _if(asked.folder.events, "As they were noticed, without a fixed list.", "How losses were looked for was not written down.",
               "harm")


def _how_many(asked: _Asked) -> Found:
    return _no("Why it was this many tanks was not written down.", "draw")


def _looks(asked: _Asked) -> Found:
    days = asked.plan.looks.days
    if not days:
        return _apart("no look before the end was planned.")
    return _yes(f"{so_many(len(days), 'planned look')}, with what each may spend of the 5 %.", "plan", "methods")


def _lot(yes: str, no: str) -> Callable[[_Asked], Found]:
    """An item that only a record of the draw can answer."""
    def answer(asked: _Asked) -> Found:
        if not asked.plan.drawn:
            return _no(f"{capital(NOT_BY_LOT)}.", "draw")
        return _if(asked.folder.draws, yes, no, "draw")
    return answer


def _knew_the_lot(asked: _Asked) -> Found:
    if not asked.plan.drawn:
        return _no(f"{capital(NOT_BY_LOT)}.", "draw")
    return _no("Whether those who planted and placed the tanks knew the lot was not written down.", "draw")


def _blinded(asked: _Asked) -> Found:
    return _if(asked.plan.blinded, "Those who scored, by the plan's word.",
               "Whether anybody was kept from knowing the arms was not written down.", "plan")


def _blinded_how(asked: _Asked) -> Found:
    return _no("How it was done, and how alike the arms looked, was not written down." if asked.plan.blinded else
               "Whether anybody was kept from knowing the arms was not written down, nor how.")


def _methods(asked: _Asked) -> Found:
    return _if(asked.primary, "For every measure.", "Nothing was judged.", "methods", "secondary")


def _who_counts(asked: _Asked) -> Found:
    return _if(any(one.units for one in asked.primary), "Every tank with its arm and its number; those left out with the reason.",
               "Which tanks were judged is not known.", "numbers", "deviations")


def _missing(asked: _Asked) -> Found:
    return _if(asked.primary, "Nothing is filled in; what a gap does is told.", "Nothing was judged.", "methods")


def _other_ways(asked: _Asked) -> Found:
    if not any(one.alternatives for one in asked.content.findings):
        return _apart("no further analysis was made.", "sensitivity")
    return _yes("All of them fixed beforehand by the method.", "sensitivity", "methods")


# what came of it ---------------------------------------------------------------------------------------------------------


def _flow(asked: _Asked) -> Found:
    return _if(any(one.units for one in asked.primary), "Units of each arm as drawn, and as judged; whether each had "
               "what it was drawn for is not told apart.",
               "Which tanks were judged is not known.", "draw", "numbers")


def _lost(asked: _Asked) -> Found:
    units = [unit for one in asked.primary for unit in one.units]
    if not units:
        return _no("Which tanks were judged is not known.")
    spoilt = {unit.unit for unit in units if unit.spoilt}
    return _yes(f"{so_many(len(spoilt), 'tank')} could not be used; the reason is there." if spoilt else
                "No tank was lost to the judging of the primary measure.", "deviations")


def _dates(asked: _Asked) -> Found:
    plan = asked.plan
    return _yes(f"From {plan.start.isoformat()} to {(plan.start + timedelta(days=plan.days)).isoformat()}.", "plan")


def _ended(asked: _Asked) -> Found:
    if any("stopped early" in one.tags for one in asked.primary):
        return _no("It was stopped before its last planned day; see whether an event tells why.", "deviations")
    last = max((day for one in asked.content.series for day in one.days), default=-1)
    if last >= asked.plan.days:
        return _yes("It ran to its last planned day.", "plan")
    return _no(f"The last value is of day {max(last, 0)}, before the last planned day; why was not written down.", "deviations")


def _as_done(asked: _Asked) -> Found:
    return _if(asked.folder.chores_done, "Every chore that was done, late or missed.", "What was really done in each arm was not written "
               "down chore by chore.", "done")


def _care(asked: _Asked) -> Found:
    if not asked.folder.chores_done:
        return _no("What was given besides (food, water) is known only as far as events were written down." if asked.folder.events else
                   "Feeding, water changes and the like were not written down.", "done", "deviations")
    return _yes("Every chore that was done, with the tanks it was done in.", "done", "deviations")


def _start(asked: _Asked) -> Found:
    result = asked.content.evenness
    known = result is not None and bool(matrix_checks(result))
    return _if(known, "The evenness matrix.", "Nothing is recorded by which the arms could be compared at the start.", "even")


def _results(asked: _Asked) -> Found:
    return _if(asked.primary, "For every measure, as far as the tanks allow an interval.", "Nothing was judged.", "numbers", "secondary")


def _harms(asked: _Asked) -> Found:
    events = asked.folder.events
    if not events:
        return _no("No event at all was written down, which is not the same as that nothing happened.", "harm")
    harm = len(harm_events(events))
    told = f"{so_many(harm, 'event')} of harm" if harm else "No loss or harm among the events that were written down"
    return _yes(f"{told}; every event is listed.", "harm", "deviations")


def _other_results(asked: _Asked) -> Found:
    if not any(one.alternatives for one in asked.content.findings):
        return _apart("no further analysis was made.", "sensitivity")
    return _yes("The grade that each gives.", "sensitivity")


def _meaning(asked: _Asked) -> Found:
    if not asked.primary:
        return _no("Nothing was judged.")
    return _no("The verdict is told, no stronger than its grade allows; losses and other people's trials are not weighed in.", "brief",
               "settle")


def _limits(asked: _Asked) -> Found:
    return _yes("Made from the trial's own design and record.", "limits", "cautions", "unrecorded")


ANSWERS: dict[str, Callable[[_Asked], Found]] = {
    "1a": _by_lot, "1b": _summary, "2": _register, "3": _plan_is_there, "4": _data, "5a": _funding, "5b": _interests, "6": _rationale,
    "7": _objectives, "8": _involved, "9": _design, "10": _changes, "11": _setting, "12a": _chosen, "12b": _people, "13": _change,
    "14": _measures, "15": _harm_sought, "16a": _how_many, "16b": _looks,
    "17a": _lot("Procedure, seed, time, and who saw it where that was said.", "Who drew, and by which procedure, was not recorded."),
    "17b": _lot("The blocks and how many draws there were.", "Within which bounds was drawn was not recorded."),
    "18": _lot("All tanks were drawn in one go, by a procedure that anybody can repeat from the seed.",
               "How the lot was kept from being known beforehand was not recorded."),
    "19": _knew_the_lot, "20a": _blinded, "20b": _blinded_how, "21a": _methods, "21b": _who_counts, "21c": _missing, "21d": _other_ways,
    "22a": _flow, "22b": _lost, "23a": _dates, "23b": _ended, "24a": _as_done, "24b": _care, "25": _start, "26": _results, "27": _harms,
    "28": _other_results, "29": _meaning, "30": _limits,
}
