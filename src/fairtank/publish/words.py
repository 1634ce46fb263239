"""What grades, tags and bases mean, said in words; every fixed sentence about a finding that is not its own headline."""

from fairtank.finding import Finding
from fairtank.publish.numbers import shown
from fairtank.publish.ways import fragile_words

GRADE_WORDS = {
    "spoilt": "the trial is not over, a stop rule fired, an arm was left without a usable tank, or the measure cannot be judged as "
              "planned: no finding",
    "alone": "too few tanks to learn from them how far like tanks end up apart: no interval can be given",
    "matters": "the whole interval lies beyond the smallest difference that matters",
    "alike": "the whole interval lies inside the smallest difference that matters",
    "differs": "“no effect” does not fit what was seen, but the size is still unsure",
    "open": "what was seen fits more than one answer",
}

TAG_WORDS = {
    "not by lot": "The arms were not drawn by lot, so whatever went with that choice may be the cause.",
    "not blinded": "The scores were given by people who could know which tank had which arm.",
    "stopped early": "The trial was stopped before its last planned day.",
    "fragile": "Fragile: another way of analysing, fixed beforehand by the method, gives another answer.",
    "at the limit of the scale": "Many values lie at the limit of the scale, where differences can no longer be seen.",
    "uneven arms": "The arms have uneven numbers of tanks.",
    "gaps": "Gaps in the record took out more tanks in one arm than in the other.",
    "below detection": "More than a fifth of the readings lay below what the test can tell, where differences can no longer be seen.",
    "raters differ": "The people who scored agree only moderately.",
    "changed after the seal": "The plan was changed after it was sealed; what was changed stands among the cautions.",
}

BASIS_WORDS = {
    "own tanks": "",
    "own and earlier tanks": "Earlier like tanks were weighed in; with two tanks per arm the plan uses this interval, be it the wider or "
                             "the narrower one. It is only as good as “these tanks vary like the earlier ones, at most half as much "
                             "again”.",
    "earlier tanks only": "The spread is borrowed from earlier like tanks alone: the interval is only as good as “these tanks vary like "
                          "the earlier ones, at most half as much again”.",
    "none": "",
}


BORROWED = ("own and earlier tanks", "earlier tanks only")


def grade_words(grade: str) -> str:
    """What a grade stands for, as half a sentence for a table's legend.

    >>> grade_words("differs")
    '“no effect” does not fit what was seen, but the size is still unsure'
    """
    return GRADE_WORDS.get(grade, grade)


def tag_words(tag: str) -> str:
    """A tag as a whole sentence; a tag that is not known is shown as it stands.

    >>> tag_words("uneven arms")
    'The arms have uneven numbers of tanks.'
    """
    return TAG_WORDS.get(tag) or f"{shown(tag)[:1].upper()}{shown(tag)[1:]}."


def basis_words(basis: str) -> str:
    """What an interval that leans on earlier tanks rests on; empty where it rests on the trial's own tanks.

    >>> basis_words("own tanks")
    ''
    """
    return BASIS_WORDS.get(basis, "")


def is_without_scatter(finding: Finding) -> bool:
    """Whether no interval can be given because the tanks of an arm do not differ, far from any limit of the scale."""
    return (finding.low is None and "at the limit of the scale" in finding.tags and bool(finding.units)
            and not any(unit.clipped_days for unit in finding.units))


def tag_sentence(tag: str, finding: Finding) -> str:
    """A tag as a whole sentence about this finding: what makes it fragile, and whether arms are at the limit or without scatter.

    >>> from types import SimpleNamespace
    >>> tag_sentence("uneven arms", SimpleNamespace())
    'The arms have uneven numbers of tanks.'
    """
    if tag == "fragile":
        return fragile_words(finding) or tag_words(tag)
    if tag == "at the limit of the scale" and is_without_scatter(finding):
        return "The tanks of an arm show no scatter at all: how far like tanks drift apart cannot be learnt from them."
    return tag_words(tag)


def cautions_text(finding: Finding) -> tuple[str, ...]:
    """All cautions that apply to a finding, each once: its own, those of its tags and that of its basis.

    Parameters
    ----------
    finding : Finding
        The frozen result.

    Returns
    -------
    tuple of str
        Whole sentences, the finding's own first.

    Examples
    --------
    See `tests/publish/test_words.py`.
    """
    said: dict[str, str] = {}
    for text in (*finding.cautions, *(tag_sentence(tag, finding) for tag in finding.tags), basis_words(finding.basis)):
        clean = shown(text)
        if clean:
            said.setdefault(clean.casefold().rstrip("."), clean)
    return tuple(said.values())
