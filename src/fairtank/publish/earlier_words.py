"""What earlier like tanks did for a finding: what the interval rests on, and what these tanks alone would say."""

from fairtank.finding import Finding
from fairtank.publish.numbers import shown
from fairtank.publish.printed import limits_words
from fairtank.publish.words import basis_words


def earlier_words(finding: Finding) -> str:
    """What an interval that leans on earlier tanks rests on, with what these tanks alone give beside it; empty where none was asked.

    Parameters
    ----------
    finding : Finding
        The frozen result.

    Returns
    -------
    str
        Up to three sentences.

    Examples
    --------
    See `tests/publish/test_earlier_words.py`.
    """
    earlier = finding.earlier
    if finding.low is None:
        return ""
    parts = [basis_words(finding.basis)]
    if earlier is None:
        return parts[0]
    if earlier.withdrawn:
        parts.append(shown(earlier.withdrawn))
    if earlier.brake is not None and earlier.own_low is not None and earlier.own_high is not None:
        parts.append(f"These {finding.unit_word}s alone would give {limits_words(finding, earlier.own_low, earlier.own_high)}.")
    elif earlier.brake is not None and earlier.twice_low is not None and earlier.twice_high is not None:
        parts.append(f"If like {finding.unit_word}s differed twice as much as the earlier ones, it would be "
                     f"{limits_words(finding, earlier.twice_low, earlier.twice_high)}.")
    return " ".join(part for part in parts if part)
