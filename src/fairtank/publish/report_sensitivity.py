"""Would another way of analysing say the same? Every way that the method fixed beforehand, with the grade that each gives."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.blocks import Block, Heading, Table, Words
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import capital, comparison_words
from fairtank.publish.ways import ANSWERS

NO_OTHER_WAY = "No other way of analysing was asked here: {why}."
_WHY = {"alone": "with so few tanks none of them could give an interval", "spoilt": "there is no finding that one of them could change"}
FIXED = ("These ways were fixed beforehand by the method and are asked for every trial; none was chosen after the values were seen. Each "
         "leaves out or changes one thing.")


def sensitivity_blocks(primary: Sequence[Finding]) -> tuple[Block, ...]:
    """One table for each comparison: the way, its grade, and whether that is the grade told above."""
    blocks: list[Block] = []
    for finding in primary:
        if len(primary) > 1:
            blocks.append(Heading(comparison_words(finding)))
        blocks += _own(finding)
    return tuple(blocks)


def _own(finding: Finding) -> list[Block]:
    if not finding.alternatives:
        return [Words(NO_OTHER_WAY.format(why=_WHY.get(finding.grade, "the design has none that applies")))]
    rows = tuple((capital(shown(name)), ANSWERS.get(grade, shown(grade)), "the same" if grade == finding.grade else "another answer")
                 for name, grade in finding.alternatives)
    return [Words(f"{agreement_words(finding)} Grade told above: “{finding.grade}” "
                  f"({ANSWERS.get(finding.grade, finding.grade)}). {FIXED}"),
            Table("Other ways of analysing the same values", ("Way", "Answer", "Against the one above"), rows, wide=(0,))]


def agreement_words(finding: Finding) -> str:
    """How many of the other ways of analysing give the same answer; empty where none was asked."""
    same, total = sum(grade == finding.grade for _, grade in finding.alternatives), len(finding.alternatives)
    if not total:
        return ""
    if total == 1:
        return f"The one other way of analysing gives {'the same' if same else 'another'} answer."
    if same == total:
        return f"{'Both' if total == 2 else f'All {total}'} other ways of analysing give the same answer."
    return f"{same} of {total} other ways of analysing give{'s' if same == 1 else ''} the same answer."
