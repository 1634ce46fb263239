"""The duty table: which kind of claim may be said of a finding of which grade, and why another may not."""

from dataclasses import dataclass

from fairtank.finding import GRADES, Finding
from fairtank.publish.words import grade_words

NEVER: frozenset[str] = frozenset()
FOUND = frozenset({"matters", "differs"})
NOT_BY_LOT = "not by lot"


@dataclass(frozen=True)
class Duty:
    """One kind of claim: its key, what it says, the grades that carry it, and why it may not be said elsewhere."""

    kind: str
    says: str
    grades: frozenset[str]
    why: str


DUTIES: tuple[Duty, ...] = (
    Duty("difference", "that there is a difference", FOUND, "This finding does not tell whether there is a difference."),
    Duty("direction", "that there is more or less of something", FOUND, "This finding does not tell a direction."),
    Duty("wrong way", "the opposite of what was found", NEVER, "The finding points the other way."),
    Duty("matters", "that a difference is large, or large enough to matter", frozenset({"matters"}),
         "The interval does not lie beyond the smallest difference that matters."),
    Duty("small", "that any difference is too small to matter", frozenset({"alike"}), "The interval does not lie inside the smallest "
                                                                                      "difference that matters."),
    Duty("absence", "that there is no difference at all", NEVER,
         "No trial can show that there is none; at best its interval lies inside the smallest difference that matters."),
    Duty("absolute", "that something is gone altogether", NEVER, "A comparison of arms tells more or less, never all or nothing."),
    Duty("cause", "that the change is the cause", FOUND, "Without a difference that was found there is nothing to name a cause for."),
    Duty("general", "that it holds for other tanks too", NEVER,
         "One trial speaks of its own tanks and days; what holds elsewhere, only repeats can show."),
    Duty("certainty", "that it is certain, proven, or works", NEVER, "An interval holds 19 times in 20, not always: nothing is proven."),
    Duty("significant", "that it is, or is not, significant", NEVER,
         "The word is read as “important” and, with a “not”, as “none”: it says neither."),
    Duty("advice", "what others should do", NEVER, "What somebody should do depends on more than one measure in one trial."),
    Duty("winner", "that one arm is better or wins", NEVER, "A measure tells more or less; what is better is a judgement of yours."),
    Duty("other", "something about what was not measured", NEVER, "That was not among the measures that this trial judged."),
    Duty("part", "something about single days or single tanks", NEVER,
         "The finding is about all tanks of an arm over the planned days; single days and tanks are chosen after looking."),
    Duty("headline", "a secondary measure as if it were the question", NEVER,
         "That is a secondary measure: the trial was planned to answer its primary one."),
    Duty("size", "a size that the interval does not hold", NEVER, "That size lies outside the interval, or there is no interval."),
    Duty("number", "a number that the finding does not have", NEVER, "That number does not occur in the finding."),
    Duty("interval", "an estimate without its interval", NEVER, "An estimate alone looks surer than it is: its interval belongs beside "
                                                                "it."),
)
DUTY = {duty.kind: duty for duty in DUTIES}
# What a kind is told with where several are found in one sentence: the first ones say most of what is wrong.
KINDS = tuple(DUTY)


def leaves_out_none(finding: Finding) -> bool:
    """Whether the finding has an interval, and one that leaves out no effect."""
    return finding.low is not None and finding.high is not None and not finding.low <= 0 <= finding.high


def is_allowed(kind: str, finding: Finding) -> bool:
    """Whether a finding carries a kind of claim.

    Parameters
    ----------
    kind : str
        One of KINDS.
    finding : Finding
        The frozen result; its grade decides, its interval and its tags take some back.

    Returns
    -------
    bool

    References
    ----------
    common_practice (keys from sources.py).
    """
    if kind == "difference" and finding.grade == "alike":
        return leaves_out_none(finding)
    if kind == "cause" and NOT_BY_LOT in finding.tags:
        return False
    return finding.grade in DUTY[kind].grades


def why(kind: str, finding: Finding) -> str:
    """Why a claim of that kind may not be said of this finding, in a sentence."""
    if kind == "cause" and NOT_BY_LOT in finding.tags:
        return "The arms were not drawn by lot, so whatever went with that choice may be the cause."
    if kind in ("matters", "small") and finding.low is None:
        return "There is no interval to tell it by."
    return DUTY[kind].why


def reason(kind: str, finding: Finding) -> str:
    """The same with the finding's grade, where the grade decides."""
    if not DUTY[kind].grades:
        return why(kind, finding)
    return f"{why(kind, finding)} Its grade is “{finding.grade}”: {grade_words(finding.grade)}."


def table_rows() -> list[list[str]]:
    """The duty table as rows of text: the kind, what it says, and for each grade whether it may be said."""
    rows = [["claim", *GRADES]]
    for duty in DUTIES:
        rows.append([duty.says, *("may be said" if grade in duty.grades else "not" for grade in GRADES)])
    return rows
