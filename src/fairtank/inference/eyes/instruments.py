"""What a measure's instrument adds to its analysis: people's agreement, and a test's limit of detection."""

from dataclasses import replace

from fairtank.finding import Finding
from fairtank.inference.eyes.eyes import with_eyes
from fairtank.inference.record import Record
from fairtank.inference.series import detection
from fairtank.trial import MeasureChoice, Plan


def judged(analysis: detection.Analysis, plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The design's findings of one measure, with what is known of the instrument that gave its values.

    Parameters
    ----------
    analysis : function
        The design's own.
    plan, choice, record : Plan, MeasureChoice, Record
        As for the analysis.

    Returns
    -------
    tuple of Finding

    References
    ----------
    common_practice (keys from sources.py).
    """
    eyes = next((one.eyes for one in record.series if one.measure == choice.key and one.eyes is not None), None)
    if eyes is not None and eyes.kind == "choices":
        record = replace(record, earlier=())  # how far strengths scatter hangs on how many choices were made: no other trial can lend it
    found = detection.judged(analysis, plan, choice, record)
    zeros = detection.zeros_words([one for one in record.series if one.measure == choice.key])
    if zeros:
        found = tuple(replace(finding, cautions=(*finding.cautions, zeros)) for finding in found)
    return found if eyes is None else tuple(with_eyes(plan, finding, eyes) for finding in found)
