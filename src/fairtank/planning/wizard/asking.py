"""What is asked next: the steps in their order, each only where what was answered before makes it one."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from fairtank.planning.wizard.reading import Read, read_answer, text_of
from fairtank.planning.wizard.step import Step, Told, Value
from fairtank.planning.wizard.steps_fairness import FAIRNESS_STEPS
from fairtank.planning.wizard.steps_layout import LAYOUT_STEPS
from fairtank.planning.wizard.steps_measure import MEASURE_STEPS
from fairtank.planning.wizard.steps_question import QUESTION_STEPS
from fairtank.planning.wizard.steps_setup import SETUP_STEPS

STEPS: tuple[Step, ...] = (*QUESTION_STEPS, *MEASURE_STEPS, *LAYOUT_STEPS, *FAIRNESS_STEPS, *SETUP_STEPS)


@dataclass(frozen=True)
class Standing:
    """How far the questions are.

    told: the answers that hold, in the order of the steps; answers to steps that are no longer asked, or that no longer fit, are left out.
    step: the one to be asked next, None once all are answered. refusal: why an answer that was there does not hold, else empty.
    asked: the steps that were answered, in order.
    """

    told: Told
    step: Step | None
    asked: tuple[Step, ...]
    refusal: str = ""


def standing(answers: Mapping[str, Value], *, template: Mapping[str, Value] | None = None, today: date = date(2026, 1, 1)) -> Standing:
    """How far the questions are with these answers: a pure function, whatever asks them.

    Parameters
    ----------
    answers : mapping
        By key of the step, in any order; keys that no step has are left out.
    template : mapping or None
        Answers that a template proposes.
    today : date
        For the start that is proposed.

    Returns
    -------
    Standing

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> standing({}).step.key
    'change'
    """
    told, asked = Told({}, template or {}, today), list[Step]()
    for step in STEPS:
        if not step.asked_when(told):
            continue
        if step.key not in answers:
            return Standing(told, step, tuple(asked))
        read = reread(step, answers[step.key], told)
        if read.value is None:
            return Standing(told, step, tuple(asked), read.refusal)
        told = replace(told, answers={**told.answers, step.key: read.value})
        asked.append(step)
    return Standing(told, None, tuple(asked))


def reread(step: Step, value: Value, told: Told) -> Read:
    """An answer that was given before, held against what is asked now; an empty text stays an answer where the step allows it."""
    text = text_of(value)
    if not text:
        return Read("") if step.may_be_empty else Read(None, "The answer is empty.")
    return read_answer(step, text, told)
