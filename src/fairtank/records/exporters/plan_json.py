"""The questions of a plan, how far they are answered, and what was written, as one JSON object: the same steps as data."""

from datetime import date
from typing import Any

from fairtank import __version__
from fairtank.planning.wizard.step import Step, Value
from fairtank.publish.plan_words import plan_sentences
from fairtank.records.exporters.json_text import json_text
from fairtank.records.services.planning import MadePlan, Planning, choices_of, proposed


def plan_json(planning: Planning, made: MadePlan | None = None) -> str:
    """Steps and state as one JSON object.

    Parameters
    ----------
    planning : Planning
        How far the questions are.
    made : MadePlan or None
        What was written, where the plan is finished.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    steps = [*planning.standing.asked, *((planning.step,) if planning.step is not None else ())]
    document = {
        "software": f"fairtank {__version__}", "folder": str(planning.root), "template": planning.kept.template or None,
        "done": planning.step is None, "next": None if planning.step is None else planning.step.key,
        "refusal": planning.standing.refusal or None,
        "answers": {key: _plain(value) for key, value in planning.told.answers.items()},
        "steps": [_step(planning, step) for step in steps],
        "files": [] if made is None else [str(path) for path in made.files],
        "sentences": [] if made is None else plan_sentences(made.plan, made.margin),
        "can_show": [] if made is None else made.can_show,
        "takes": [] if made is None else made.takes,
        "drawn": None if made is None else made.plan.drawn,
        "change_missing_in_setup": None if made is None else made.is_change_missing,
    }
    return json_text(document)


def _step(planning: Planning, step: Step) -> dict[str, Any]:
    told = planning.told
    value = proposed(planning, step)
    return {
        "key": step.key, "section": step.section, "question": step.question_for(told), "help": step.help, "kind": step.kind,
        "choices": [{"key": one.key, "words": one.words, "told": one.told} for one in choices_of(planning, step)],
        "proposed": None if value is None else _plain(value), "unit": step.unit(told), "low": step.low, "high": step.high,
        "longest": step.longest, "counts": list(step.counts(told)), "may_be_empty": step.may_be_empty,
        "picture": step.picture(told) or None,
        "answer": _plain(told.answers[step.key]) if step.key in told.answers else None,
    }


def _plain(value: Value) -> Any:
    if isinstance(value, tuple):
        return list(value)
    return value.isoformat() if isinstance(value, date) else value
