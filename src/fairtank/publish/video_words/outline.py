"""An outline for what is said in a video or written in an article, in the order of the evidence."""

from fairtank.publish.arms import arm_looks
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import measure_words, plain_text, title_words
from fairtank.publish.sentences import amount_words, caution_words, count_words, sentence, verdict_words
from fairtank.publish.settling_words import settling_words
from fairtank.publish.strength.duty import DUTIES, is_allowed, why
from fairtank.publish.unrecorded import unrecorded
from fairtank.publish.video_words.content import WordsContent
from fairtank.publish.video_words.description import disclosure_words
from fairtank.publish.video_words.method_lines import method_lines
from fairtank.publish.words import cautions_text, grade_words

MOST_CAUTIONS = 6
_LEFT_OUT = ("size", "number", "interval", "headline", "wrong way")


def outline_text(content: WordsContent) -> str:
    """The outline as Markdown.

    Parameters
    ----------
    content : WordsContent

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    sections = (("What we asked", _asked(content)), ("What we did", method_lines(content)), ("What we saw", _saw(content)),
                ("How sure we are", _sure(content)), ("What we don't know", _unknown(content)),
                ("What this finding carries, and what it does not", _duties(content)))
    lines = [f"# {shown(content.plan.title) or 'A trial without a title'}", ""]
    for title, told in sections:
        lines += [f"## {title}", "", *(f"- {plain_text(line)}" for line in told if line), ""]
    return "\n".join(lines).rstrip() + "\n"


def _asked(content: WordsContent) -> list[str]:
    plan = content.plan
    asked = [f"We asked: {shown(plan.question) or 'no question was written down'}"]
    if plan.rationale:
        asked.append(f"Why we asked, in the plan's words: “{shown(plan.rationale)}”")
    seal = content.report.folder.seal
    is_shown = seal is not None and not seal.entries[0].has_data
    when = "and said so beforehand" if is_shown else "by the plan; nothing shows that this was said beforehand"
    expected = {"less": f"We expected less of it, {when}.", "more": f"We expected more of it, {when}."}
    return [*asked, expected.get(plan.expect, "We did not say beforehand which way it would go.")]


def _saw(content: WordsContent) -> list[str]:
    looks = arm_looks(content.plan)
    told = [f"Show the picture of the tanks: one mark for each, {' and '.join(look.words for look in looks.values())}."]
    told += [shown(amount_words(one) or verdict_words(one)) for one in content.primary]
    told += [f"Besides, not what the trial was planned for, {measure_words(one)}: {shown(sentence(one))}" for one in content.secondary]
    return told


def _sure(content: WordsContent) -> list[str]:
    told = []
    for one in content.primary:
        told.append(shown(verdict_words(one)))
        told.append(f"{title_words(one)} has the grade “{one.grade}”: {grade_words(one.grade)}.")
        told += [shown(count_words(one)), shown(caution_words(one))]
    return list(dict.fromkeys(told))


def _unknown(content: WordsContent) -> list[str]:
    """What would settle it, the cautions, what was not recorded, and that one trial is one trial."""
    told = [shown(settling_words(one)) for one in content.primary]
    told += [text for one in content.primary for text in cautions_text(one)][:MOST_CAUTIONS]
    told += list(unrecorded(content.report))
    told.append("One trial speaks of its own tanks, in its own room, over its own days.")
    return [*dict.fromkeys(told), f"Who paid for or gave what: {disclosure_words(content)}"]


def _duties(content: WordsContent) -> list[str]:
    """What may be claimed of the primary finding, and what may not, by the duty table."""
    if not content.primary:
        return []
    first = content.primary[0]
    may = [duty.says for duty in DUTIES if is_allowed(duty.kind, first)]
    not_to = [duty for duty in DUTIES if not is_allowed(duty.kind, first) and duty.kind not in _LEFT_OUT]
    carries = [f"Carried: “{says}”." for says in may] or ["It carries no claim about a difference, only what was seen, with its doubt."]
    return [*carries, *(f"Not carried: “{duty.says}”. {why(duty.kind, first)}" for duty in not_to),
            "A number is told with its interval. A text of yours can be checked: `fairtank words FOLDER --check TEXT`."]
