"""The description of a film or an article: the finding, the method in five lines, who gave what, the seal and the way to the kit."""

from fairtank.publish.many_arms_words import ranking_words
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.video_words.chapters import chapters_text
from fairtank.publish.video_words.content import NONE_STATED, WordsContent
from fairtank.publish.video_words.method_lines import method_lines

NO_LINK = "the address is put in here as soon as the kit lies somewhere"


def found_lines(content: WordsContent) -> tuple[str, ...]:
    """The sentence of every primary finding, and the places of several arms."""
    told = [sentence(finding) for finding in content.primary] + [ranking_words(finding) for finding in content.primary]
    return tuple(dict.fromkeys(plain_text(shown(text)) for text in told if text)) or ("Nothing was judged.",)


def description_text(content: WordsContent) -> str:
    """The whole description as plain text.

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
    plan = content.plan
    lines = [shown(plan.title) or "A trial without a title", ""]
    lines += [shown(plan.question), ""] if plan.question else []
    lines += [*found_lines(content), "", "How it was done", *method_lines(content), ""]
    open_lines = tuple(dict.fromkeys(plain_text(shown(settling_words(one))) for one in content.primary))
    lines += ["What would settle it", *(line for line in open_lines if line), ""] if any(open_lines) else []
    lines += [f"Who paid for or gave what: {disclosure_words(content)}", f"Seal of the plan: {content.seal_code or 'not sealed'}",
              f"All data, to check or to repeat it (the kit): {content.kit_link or NO_LINK}"]
    chapters = chapters_text(content)
    lines += ["", "Chapters of the film", chapters.rstrip("\n")] if chapters else []
    return "\n".join(lines) + "\n"


def disclosure_words(content: WordsContent) -> str:
    """What was said about interests and gifts; that nothing was, where it was not."""
    return plain_text(shown(content.plan.disclosure)) or NONE_STATED
