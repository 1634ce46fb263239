"""What a folder's draws add to its findings: that it was drawn again or late, and where trial.toml does not follow the lot."""

from dataclasses import replace

from fairtank.finding import Finding
from fairtank.publish.draw_words import draws_told
from fairtank.trial import TrialFolder


def draw_told(folder: TrialFolder, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with what draw.json has to say about all of them.

    Parameters
    ----------
    folder : TrialFolder
    findings : tuple of Finding

    Returns
    -------
    tuple of Finding
        As they were where nothing is on record, or the trial was drawn once, in time, and trial.toml follows it.

    References
    ----------
    common_practice (keys from sources.py).
    """
    told = draws_told(folder.plan, folder.draws)
    return tuple(replace(one, cautions=(*one.cautions, *told)) for one in findings) if told else findings
