"""What a folder's seal does to its judging: the smallest differences that count, a tag, and a sentence for each change."""

from dataclasses import replace

from fairtank.finding import Finding
from fairtank.inference.grades import in_order
from fairtank.publish.seal_words import change_words, late_words, margin_words
from fairtank.records.folder.seal_changes import changes_after, margins_that_count
from fairtank.records.folder.seal_parts import parts_of
from fairtank.trial import Plan, TrialFolder

TAG = "changed after the seal"


def sealed_plan(folder: TrialFolder) -> Plan:
    """The plan by which a folder is judged: that of trial.toml, with the smallest differences that were sealed before there was data.

    Parameters
    ----------
    folder : TrialFolder

    Returns
    -------
    Plan
        The folder's own where it is not sealed or nothing was changed.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if folder.seal is None:
        return folder.plan
    counted = {one.measure: one.margin for one in margins_that_count(folder.seal, parts_of(folder.plan))}
    if not counted:
        return folder.plan
    measures = (replace(one, margin=counted[one.key]) if one.key in counted else one for one in folder.plan.measures)
    return replace(folder.plan, measures=tuple(measures))


def seal_told(folder: TrialFolder, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with what the seal has to say about all of them: the tag and a sentence for each change.

    Parameters
    ----------
    folder : TrialFolder
    findings : tuple of Finding
        As they were judged by `sealed_plan`.

    Returns
    -------
    tuple of Finding
        As they were where the folder is not sealed, or was sealed before there was data and never changed.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if folder.seal is None:
        return findings
    now, titles = parts_of(folder.plan), {finding.measure: finding.title for finding in findings}
    changes = changes_after(folder.seal, now)
    told = [change_words(one, titles) for one in changes]
    told += [margin_words(one, titles) for one in margins_that_count(folder.seal, now)]
    told += late_words(folder.seal)
    if not told:
        return findings
    return tuple(replace(one, cautions=(*one.cautions, *told), tags=in_order({*one.tags, TAG}) if changes else one.tags)
                 for one in findings)
