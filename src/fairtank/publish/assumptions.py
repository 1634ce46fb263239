"""What must hold for a finding, in a few plain sentences; what nobody can check from the numbers stands here for the reader to judge."""

from fairtank.finding import Finding
from fairtank.publish.phrases import plural
from fairtank.publish.words import BORROWED

MOST_SAID = 5
SCALES = {"logit": " in log-odds", "log": " in logarithms", "identity": ""}


def assumptions(finding: Finding) -> tuple[str, ...]:
    """What must hold, the most telling first; empty where nothing is claimed.

    Parameters
    ----------
    finding : Finding
        The frozen result.

    Returns
    -------
    tuple of str
        Three to five whole sentences.

    Examples
    --------
    See `tests/publish/test_assumptions.py`.
    """
    if finding.grade in ("spoilt", "alone"):
        return ()
    said = (*_lot(finding), *_design(finding), *_spread(finding), *_measuring(finding))
    return said[:MOST_SAID]


def _lot(finding: Finding) -> tuple[str, ...]:
    word = plural(finding.unit_word, 2)
    if "not by lot" in finding.tags:
        return (f"The {word} of the arms differed in nothing else that matters. They were not drawn by lot, so nothing vouches for that.",)
    if finding.design == "rounds":
        return (f"Whatever else changes from round to round (season, lamp, tap water) reaches both {word} alike.",)
    if finding.design == "drawn_start":
        return (f"The {finding.unit_word} and the day were drawn by lot and kept, whatever the {word} looked like by then.",
                "Had the change done nothing, the numbers would be the same whatever the lot had drawn: nothing else happened to one of "
                f"the {word} only.")
    what = f"which {finding.unit_word} got what first" if finding.summary == "swap" else \
        f"which {finding.unit_word} of a pair got the change" if finding.design == "pairs" else f"which {finding.unit_word} got what"
    return (f"The lot decided {what}, and nothing else was done to one arm only.",)


def _design(finding: Finding) -> tuple[str, ...]:
    """What the layout and the summary rest on."""
    word, scale, said = finding.unit_word, SCALES.get(finding.scale, ""), []
    if finding.summary == "swap":
        said.append(f"Nothing of the change stays in a {word} after the swap: the reset and the wash-out took it out.")
    if finding.design == "rounds":
        said.append(f"Nothing of one round stays for the next, and the two {plural(word, 2)} keep the same lasting difference{scale}.")
    if finding.summary == "change" and finding.design != "drawn_start":
        said.append(f"Up to the change all {plural(word, 2)} were treated alike, and a head start in the run-in stays as large as it "
                    f"was{scale}.")
    if finding.summary == "slope" and finding.design != "drawn_start":
        said.append(f"Over the window the course is near enough to a straight line{scale}.")
    if finding.design == "ladder":
        said.append("What the dose does can be told by a straight line, at least roughly: more of it does more, step by step.")
    if finding.summary == "threshold":
        said.append("The level was not reached and lost again between two photos.")
    return tuple(said)


def _spread(finding: Finding) -> tuple[str, ...]:
    word, scale = finding.unit_word, SCALES.get(finding.scale, "")
    if finding.design == "pairs":
        return (f"Each pair stands for itself, and the differences of the pairs scatter evenly round their middle{scale}.",)
    if finding.design == "rounds":
        return (f"What is left from round to round scatters evenly{scale}, and one round says nothing about the next.",)
    if finding.design == "drawn_start":
        return ()
    apart = (f"Each {word} stands for itself: what happens to one does not reach another, and they share no water." if word == "tank" else
             f"Each {word} stands for itself: what happens to one does not reach another.")
    if finding.summary == "threshold":
        return (apart,)
    alike = f"Like {plural(word, 2)} scatter evenly round their middle{scale}, without one that is quite out of line"
    groups = {"swap": "the two orders", "ladder": "the doses", "two_changes": "the four ways"}.get(finding.design, "the arms")
    between = f"; {groups} may scatter differently"
    if finding.basis in BORROWED:
        return apart, f"{alike}{between}.", f"These {plural(word, 2)} vary like the earlier ones, at most half as much again."
    return apart, f"{alike}{between}."


def _measuring(finding: Finding) -> tuple[str, ...]:
    said = []
    if finding.design == "drawn_start":
        said.append("The photos that are missing are not missing because the change had started.")
    elif "gaps" in finding.tags:
        said.append("Photos are missing for reasons that have nothing to do with how the tank looked.".replace("tank", finding.unit_word))
    if finding.eyes is not None:
        said.append("The people who looked could not know which photo belonged to which arm." if "not blinded" not in finding.tags else
                    "The people who looked were not swayed by knowing the arms; nothing vouches for that.")
    else:
        said.append("All arms were measured in the same way: same frame, same light, same hand.")
    return tuple(said)
