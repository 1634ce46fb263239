"""The forecast of a trial folder: read, run on several processes, fitted to the keeper's readings, told and drawn."""

import multiprocessing
import os
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.errors import InputError, JobError
from fairtank.publish.calc_chart import file_svg
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.forecast_chart import forecast_chart
from fairtank.publish.forecast_words import forecast_sentences, headline
from fairtank.records.exporters.json_text import json_text
from fairtank.records.fanout import fanout_twice
from fairtank.records.folder import read_folder
from fairtank.records.forecast_readings import observed_of
from fairtank.records.forecast_tanks import forecast_tanks
from fairtank.records.services.trials import out_check, result_write
from fairtank.simulation.fit import fit_of
from fairtank.simulation.forecast import Forecast, arm_forecast, parting_of, telling_photos, telling_tests
from fairtank.simulation.tank import (
    LOGIT_MEASURES,
    MEASURES,
    Ensemble,
    LikeSpread,
    TankSetup,
    joined,
    like_tank_spread,
    parts_of,
    tank_ensemble,
)
from fairtank.trial import MeasureChoice, Plan, TrialFolder

CHART_FILE, PHONE_FILE = "forecast.svg", "forecast-phone.svg"
COVERS = ("plant_cover", "algae_cover")
_SPREAD = -1  # the part of the work that is no part of the ensemble
_JUDGED_ON_LOG = ("canopy_height",)  # the model's own spread of it is in cm, which does not serve there


@dataclass(frozen=True, eq=False)
class ForecastTrial:
    """A folder and its forecast; rows: of readings.csv that were weighed in; chart, phone_chart: where pictures were written, else None."""

    folder: TrialFolder
    forecast: Forecast
    rows: int = 0
    chart: Path | None = None
    phone_chart: Path | None = None


@dataclass(frozen=True)
class _Work:
    """One piece of work for a process: a part of the ensemble, or the spread of like tanks."""

    part: int
    tanks: tuple[tuple[str, TankSetup], ...]
    members: int
    days: int
    seed: int
    measure: str = ""
    window: tuple[int, int] = (0, 0)


def trial_forecast(*, root: Path, out: Path | None = None, days: int = 60, members: int = 200, seed: int = 1, soil: str | None = None,
                   workers: int | None = None, progress: Callable[[int, int], None] | None = None) -> ForecastTrial:
    """Run the model for every arm of a folder, weigh in its readings, and write the pictures when `out` is given.

    progress is told how many pieces of work are done, and of how many.
    """
    folder = read_folder(root)
    if out is not None:
        out_check(out, folder)
    given = forecast_tanks(folder, days=days, soil=soil)
    if not given.tanks:
        raise InputError("the units", "none with an arm", "at least one unit with an arm in trial.toml")
    unlike = {repr(tank): arm for arm, tank in reversed(given.tanks.items())}  # arms with the same tank are run once
    tanks = tuple((arm, given.tanks[arm]) for arm in given.tanks if unlike[repr(given.tanks[arm])] == arm)
    asked = _spread_asked(folder.plan, days)
    ensemble, spread = _run(tanks, asked, members, days, seed, workers, progress)
    courses = {arm: ensemble.courses[unlike[repr(tank)]] for arm, tank in given.tanks.items()}
    ensemble = Ensemble(courses, ensemble.parameters, ensemble.members)
    readings, rows = observed_of(folder, last_day=days)
    forecast = _forecast(folder.plan, ensemble, days, seed, given.stated, readings, spread, are_alike=len(unlike) == 1)
    if out is None:
        return ForecastTrial(folder, forecast, rows)
    for name, width_px in ((CHART_FILE, WIDE_PX), (PHONE_FILE, NARROW_PX)):
        result_write(out / name, file_svg(forecast_chart(forecast, folder.plan, width_px=width_px)))
    return ForecastTrial(folder, forecast, rows, out / CHART_FILE, out / PHONE_FILE)


def _forecast(plan: Plan, ensemble: Ensemble, days: int, seed: int, stated: tuple[str, ...], readings: tuple[Any, ...],
              spread: LikeSpread | None, *, are_alike: bool) -> Forecast:
    """Everything that is told, from the courses and the readings."""
    fit = fit_of(ensemble, readings)
    arms = tuple(arm_forecast(ensemble, arm, fit.weights, is_fitted=bool(fit.counted)) for arm in ensemble.courses)
    last_read = max((one.day for one in readings), default=-1)
    reference = next((arm.key for arm in plan.arms if arm.role == "reference" and arm.key in ensemble.courses), None)
    window = _window(plan, _primary(plan), days)
    partings = tuple(parting_of(ensemble, (reference, arm), measure, window, fit.weights)
                     for arm in ensemble.courses if reference and arm != reference and not are_alike for measure in COVERS)
    told = arms[:1] if are_alike else arms
    tests = tuple(test for one in told for test in telling_tests(ensemble, one.arm, fit.weights, last_read))
    photos = tuple(telling_photos(one, measure) for one in told for measure in COVERS)
    return Forecast(days, len(ensemble.members), seed, arms, are_alike, partings, tests, photos, spread,
                    fit if fit.counted else None, readings, stated)


def _run(tanks: tuple[tuple[str, TankSetup], ...], asked: tuple[str, tuple[int, int]] | None, members: int, days: int, seed: int,
         workers: int | None, progress: Callable[[int, int], None] | None) -> tuple[Ensemble, LikeSpread | None]:
    """The ensemble in its parts and the spread of like tanks, on as many processes as there are cores; one process needs none beside it."""
    works = [_Work(part, tanks, members, days, seed) for part in range(parts_of(members))]
    if asked is not None:
        works.append(_Work(_SPREAD, tanks[:1], members, days, seed, *asked))
    count = min(workers or os.cpu_count() or 1, len(works))
    if progress:
        progress(0, len(works))
    found: dict[int, Ensemble | LikeSpread] = {}
    if count == 1:
        for work in works:
            found[work.part] = _done(work)
            if progress:
                progress(len(found), len(works))
    else:
        for work, result in fanout_twice(partial(_pool, count), _done, works):
            if isinstance(result, JobError):
                raise JobError(f"The forecast could not be worked out. {result}") from result
            found[work.part] = result
            if progress:
                progress(len(found), len(works))
    parts = [found[work.part] for work in works if work.part != _SPREAD]
    spread = found.get(_SPREAD)
    return joined([one for one in parts if isinstance(one, Ensemble)]), spread if isinstance(spread, LikeSpread) else None


def _pool(count: int, number: int | None) -> Executor:
    return ProcessPoolExecutor(number or count, mp_context=multiprocessing.get_context("spawn"))


def _done(work: _Work) -> Ensemble | LikeSpread:
    """One piece of work, in whatever process."""
    if work.part == _SPREAD:
        first, last = work.window
        return like_tank_spread(work.tanks[0][1], measure=work.measure, first_day=first, last_day=last, seed=work.seed)
    return tank_ensemble(dict(work.tanks), members=work.members, days=work.days, seed=work.seed, part=work.part)


def _primary(plan: Plan) -> MeasureChoice | None:
    return next((one for one in plan.measures if one.role == "primary"), None)


def _window(plan: Plan, measure: MeasureChoice | None, days: int) -> tuple[int, int]:
    """Days that count, as far as the forecast reaches."""
    first, last = measure.window if measure is not None and measure.window else (plan.run_in_days, plan.days)
    last = min(last, days)
    return min(first, last), last


def _spread_asked(plan: Plan, days: int) -> tuple[str, tuple[int, int]] | None:
    """The primary measure and its days, where the model tells the spread of just that: a mean over days on a scale it has."""
    measure = _primary(plan)
    if measure is None or measure.key not in MEASURES or measure.summary != "mean":
        return None
    own = "logit" if measure.key in LOGIT_MEASURES else "identity"
    scale = measure.scale or ("log" if measure.key in _JUDGED_ON_LOG else own)
    return (measure.key, _window(plan, measure, days)) if scale == own else None


def forecast_json(done: ForecastTrial) -> str:
    """The forecast as one JSON object; what is not reached within its days is null."""
    told, plan = done.forecast, done.folder.plan
    fit = None if told.fit is None else {
        "readings": told.fit.counted, "rows": done.rows, "effective_members": told.fit.effective_members, "softened": told.fit.softened,
        "outside": told.fit.outside,
    }  # fmt: skip
    document = {
        "software": f"fairtank {__version__}", "inputs_digest": done.folder.digest, "sentence": headline(told, plan),
        "sentences": list(forecast_sentences(told, plan)), "days": told.days, "members": told.members, "seed": told.seed,
        "band": "nine in ten of the courses", "units": {key: unit for key, (unit, _) in MEASURES.items()},
        "arms": [asdict(one) for one in told.arms], "are_alike": told.are_alike, "partings": [asdict(one) for one in told.partings],
        "tests": [asdict(one) for one in told.tests], "photos": [asdict(one) for one in told.photos],
        "like_tank_spread": None if told.spread is None else asdict(told.spread), "fit": fit, "assumed": list(told.stated),
        "chart": None if done.chart is None else str(done.chart),
        "phone_chart": None if done.phone_chart is None else str(done.phone_chart),
    }
    return json_text(document, figures=5)
