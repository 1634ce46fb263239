"""What is worked out of a plan for its pages: how even the tanks are, and what the trial could show; each from the rows alone.

An answer that was worked out by a job, and still holds, is taken as it is. Else it is worked out at once, without opening a photo, and held
in memory until the trial changes.
"""

import json
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from fairtank.errors import InputError
from fairtank.inference.foresight.showing import Prices, show
from fairtank.publish.arms import arm_looks
from fairtank.publish.care_words import prices_words
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.even_matrix import even_matrix
from fairtank.publish.even_words import even_sentences
from fairtank.publish.page_chart import PageChart
from fairtank.publish.page_foresight import frontier_page_chart
from fairtank.records.evened import folder_even
from fairtank.records.litres import tank_litres_of
from fairtank.records.models import Trial
from fairtank.records.selectors.results import answer_of, charts_of, document_of
from fairtank.records.selectors.trial_state import folder_of_rows, papers_of
from fairtank.records.services.detecting import DetectedTrial, detect_json
from fairtank.records.services.evening import EvenTrial, even_json
from fairtank.records.services.run_in_values import run_in_measured
from fairtank.records.services.working import out_of
from fairtank.records.services.worth import prices_from, trial_care
from fairtank.trial import Looks, Plan, Unit

_HELD = 16
MOST_PER_ARM, MOST_WEEKS = 20, 52
SIZED = ("side_by_side", "run_in", "swap")


@dataclass(frozen=True)
class EvenShown:
    """How even the tanks are: the document of `fairtank even --json`, and the matrix, empty where nothing is recorded."""

    document: dict[str, Any]
    pictures: dict[str, str]


@dataclass(frozen=True)
class CanShow:
    """What the trial could show: the document that `fairtank detect` prints with --json, and its chart."""

    document: dict[str, Any]
    chart: PageChart


@dataclass(frozen=True)
class Tried:
    """What a keeper tries: level of the reference tanks, spread of like tanks, which invented tanks stand in, prices of a tank and a day,
    and another size of the trial: units in each arm, and weeks."""

    reference: float | None = None
    sd: float | None = None
    tanks: str = "new"
    tank_cost: float | None = None
    day_cost: float | None = None
    per_arm: int | None = None
    weeks: int | None = None


def even_shown(trial: Trial) -> EvenShown:
    """How even the tanks of a trial are.

    Parameters
    ----------
    trial : Trial
        With a plan.

    Returns
    -------
    EvenShown

    Raises
    ------
    FolderError
        If there is no plan that can be read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    kept = answer_of(trial, "even")
    if kept.result is not None and kept.is_current:
        return EvenShown(document_of(kept.result), kept.result.content["pictures"])
    return _even(trial.pk, trial.revision)


@lru_cache(maxsize=_HELD)
def _even(number: int, revision: int) -> EvenShown:
    folder = folder_of_rows(Trial.everything.get(pk=number))
    result, caution = folder_even(folder)
    looks = arm_looks(folder.plan)
    document = json.loads(even_json(EvenTrial(folder, result, even_sentences(result, looks), caution)))
    if not any(check.values for check in result.checks):
        return EvenShown(document, {})
    drawn = {name: even_matrix(result, looks, key=f"even-{name}", width_px=width_px)
             for name, width_px in (("wide", WIDE_PX), ("narrow", NARROW_PX))}
    return EvenShown(document, {**{name: picture.svg for name, picture in drawn.items()}, "description": drawn["wide"].description})


def sized(plan: Plan, per_arm: int | None, weeks: int | None) -> Plan:
    """The plan with as many units in each arm, and as many weeks, as are tried.

    Raises
    ------
    InputError
        If the size is none, or the design has a size of its own.
    """
    if per_arm is not None and not 1 <= per_arm <= MOST_PER_ARM:
        raise InputError("Tanks in each arm", per_arm, f"1 to {MOST_PER_ARM}")
    if weeks is not None and not (1 <= weeks <= MOST_WEEKS and 7 * weeks > max(plan.run_in_days, plan.swap_day) + 1):
        raise InputError("Weeks", weeks, f"more than the days before the change, and at most {MOST_WEEKS}")
    if (per_arm or weeks) and plan.kind not in SIZED:
        raise InputError("This design", "of a size of its own", "another design to try other sizes", "The chart compares it with others.")
    found = plan
    if weeks is not None:
        swap_day = (7 * weeks + 1) // 2 if plan.kind == "swap" else plan.swap_day
        measures = tuple(replace(one, window=None) for one in plan.measures)
        found = replace(found, days=7 * weeks, swap_day=swap_day, looks=Looks(), measures=measures)
    if per_arm is not None:
        units = tuple(Unit(f"{arm.key}-{number}", arm.key, first_arm=arm.key if plan.kind == "swap" else "")
                      for number in range(1, per_arm + 1) for arm in plan.arms)
        found = replace(found, units=units)
    return found


def can_show(trial: Trial, tried: Tried | None = None) -> CanShow:
    """What a trial could show, with what a keeper tries in place of what the plan says; from the same level as `fairtank detect`.

    Parameters
    ----------
    trial : Trial
        With a plan.
    tried : Tried, optional

    Returns
    -------
    CanShow

    Raises
    ------
    FolderError
        If there is no plan that can be read.
    DesignError
        If nobody knows how far like tanks differ in the measure.
    InputError
        If a value that is tried cannot be used.

    References
    ----------
    common_practice (keys from sources.py).
    """
    tried = tried or Tried()
    if tried == Tried():
        kept = answer_of(trial, "detect")
        if kept.result is not None and kept.is_current and not kept.result.content["given"]:
            return CanShow(document_of(kept.result), charts_of(kept.result)[0])
    return _can_show(trial.pk, trial.revision, tried)


def level_answered(trial: Trial) -> float | None:
    """Where the keeper expects the reference tanks in the measure that decides, by the answers; None where it was not asked."""
    papers = papers_of(trial)
    answers, plan = papers.kept.answers, papers.plan
    level = answers.get("level")
    decides = plan is not None and any(one.role == "primary" and one.key == answers.get("primary") for one in plan.measures)
    return float(str(level)) if level is not None and decides else None


@lru_cache(maxsize=_HELD)
def _can_show(number: int, revision: int, tried: Tried) -> CanShow:
    trial = Trial.everything.get(pk=number)
    folder = folder_of_rows(trial)
    care = trial_care(folder)
    is_priced = tried.tank_cost is not None or tried.day_cost is not None
    prices = Prices(tried.tank_cost or 0.0, tried.day_cost or 0.0) if is_priced else prices_from(care)
    told = prices_words(care.spending) if not is_priced and prices is not None and care.spending is not None else ""
    series = (*folder.series, *run_in_measured(folder, out_of(trial)))
    plan = sized(folder.plan, tried.per_arm, tried.weeks)
    showing = show(plan, reference=tried.reference, sd=tried.sd, entries=folder.spread, tank_litres=tank_litres_of(folder),
                   series=series, tanks=tried.tanks, prices=prices)
    return CanShow(json.loads(detect_json(DetectedTrial(folder, showing, care, told))), frontier_page_chart(showing))
