"""What every part of the shelf is made by: who did it, trials by the questions of their plan, and work that is done at once."""

from typing import Any


def by() -> Any:
    from fairtank.records.services.trail import By

    return By("Quorim")


def worked() -> None:
    """All work that waits is done."""
    from fairtank.records.jobs.worker import work_once

    while work_once():
        pass


def begun(title: str) -> Any:
    from fairtank.records.services.shelf_trials import trial_begin

    return trial_begin(by=by(), title=title)


def planned(template: str, **answers: str) -> Any:
    """A trial whose plan was made by the questions: what is not answered here takes what is proposed."""
    from fairtank.records.services.shelf_planning import plan_store

    trial = answered(template, until="", **answers)
    plan_store(trial=trial, by=by())
    trial.refresh_from_db()
    return trial


def answered(template: str, *, until: str, **answers: str) -> Any:
    """A trial with the questions answered up to one of them, or all."""
    from fairtank.records.services.shelf_planning import answer_store, questions_of, template_take

    trial = begun("")
    template_take(asked=questions_of(trial), name=template, by=by())
    while (step := (asked := questions_of(trial)).standing.step) is not None and step.key != until:
        refusal = answer_store(asked=asked, key=step.key, text=answers.get(step.key, ""), by=by())
        assert not refusal, f"{step.key}: {refusal}"
        trial.refresh_from_db()
    return trial
