"""Why a trial is not taken together with others that ask another question, in plain words."""

from dataclasses import dataclass

_SUMMARIES = {
    "mean": "how much there is on the days that count", "change": "how much it changes once the change begins",
    "swap": "what changing places does", "slope": "how fast it grows", "threshold": "when a level is first reached",
}  # fmt: skip
_SCALES = {
    "logit": "as odds, what is covered against what is not", "log": "as a ratio, how many times as much",
    "identity": "as a plain difference, how much more",
}  # fmt: skip


@dataclass(frozen=True)
class Question:
    """What has to be the same for two trials to ask one question.

    measure, summary, scale: keys, as a finding has them. window: about how long, in words.
    """

    measure: str
    summary: str
    scale: str
    window: str


def other_question_words(own: Question, title: str, asked: Question, asked_title: str) -> str:
    """The first thing in which a trial's question differs from that of the others, as one or two sentences.

    Parameters
    ----------
    own, asked : Question
        Of the trial that is left out, and of those that are taken together.
    title, asked_title : str
        What their measures are called.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> asked = Question("algae_cover", "mean", "logit", "35 to 49 days")
    >>> other_question_words(Question("canopy_height", "mean", "log", "35 to 49 days"), "Canopy height", asked, "Algae cover")
    'It asks another question: its measure is Canopy height, that of the others Algae cover.'
    """
    if own.measure != asked.measure:
        return f"It asks another question: its measure is {title}, that of the others {asked_title}."
    if own.summary != asked.summary:
        return (f"It asks another question of {title}: {_SUMMARIES.get(own.summary, own.summary)}. The others ask: "
                f"{_SUMMARIES.get(asked.summary, asked.summary)}.")
    if own.scale != asked.scale:
        return (f"It compares {title} in another way: {_SCALES.get(own.scale, own.scale)}. The others compare it "
                f"{_SCALES.get(asked.scale, asked.scale)}; numbers of two kinds have no middle.")
    return f"It asks another question of {title}: it is judged over {own.window}, the others over {asked.window}."
