"""From values of photos, people's scores and choices, water tests and ready-made tables to the series that an analysis sees.

The only door between the two. Each measure comes from one source: what was measured, scored, chosen and tested in different ways is never
mixed.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace

from fairtank.errors import FolderError, Problem
from fairtank.finding import Eyes
from fairtank.inference.eyes.choices import SeenChoice, chosen_series
from fairtank.inference.eyes.eyes import scored_series
from fairtank.inference.eyes.raters import Rating
from fairtank.records.folder.tables import PAIRS, READINGS, SCORES
from fairtank.records.readings import reading_series
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.trial import MeasureChoice, Series, TrialFolder

Rows = dict[tuple[str, str], list[tuple[int, float, float | None]]]


def series_of(folder: TrialFolder, measured: MeasuredTrial) -> tuple[Series, ...]:
    """One series per unit and measure, of the whole frame.

    Photos that are not usable gave no values. A measure that series.csv holds is taken from there, as it is, for all units:
    a measure that came from photos in some tanks and from elsewhere in others would compare two ways of measuring. Any other measure
    of the plan comes from photos, from scores.csv, from pairs.csv or from readings.csv, and from one of them only.

    Parameters
    ----------
    folder : TrialFolder
    measured : MeasuredTrial
        What the photos gave.

    Returns
    -------
    tuple of Series
        In the order of units, then of measures as they first occur; days ascending.

    Raises
    ------
    FolderError
        If a measure of the plan has values from more than one source and series.csv is not one of them.

    References
    ----------
    common_practice (keys from sources.py).
    """
    ready_made = {series.measure for series in folder.series}
    asked = [choice for choice in folder.plan.measures if choice.key not in ready_made]
    from_photos = {value.measure for value in measured.measured}
    problems = tuple(problem for choice in asked for problem in _mixed(folder, choice.key, choice.key in from_photos))
    if problems:
        raise FolderError(problems)
    taken = [*_photo_series(measured, ready_made)]
    for choice in asked:
        if choice.key not in from_photos:
            taken += _other_series(folder, choice)
    order = {unit.key: place for place, unit in enumerate(folder.plan.units)}
    carried = {one.measure: one.eyes for one in folder.carried}
    given = (_given(one, carried[one.measure]) if one.measure in carried else replace(one, ready_made=True) for one in folder.series)
    return tuple(sorted((*given, *taken), key=lambda series: order[series.unit]))


def _given(carried: Series, eyes: Eyes | None) -> Series:
    """A series that a kit carries in place of photos, as it was when the photos were there: people's answers with these people."""
    return replace(carried, ready_made=eyes is not None and eyes.kind == "choices", scored=eyes is not None, eyes=eyes)


def _photo_series(measured: MeasuredTrial, ready_made: set[str]) -> Iterable[Series]:
    rows: Rows = {}
    for value in measured.measured:
        if value.zone == "" and value.measure not in ready_made:
            rows.setdefault((value.unit, value.measure), []).append((value.day, value.value, value.se))
    for (unit, measure), values in rows.items():
        values.sort(key=lambda row: row[0])
        days, numbers, ses = zip(*values, strict=True)
        yield Series(unit, measure, days, numbers, ses)


def sources_of(folder: TrialFolder, measure: str) -> tuple[str, ...]:
    """The tables of scores, choices and readings that hold values of the measure."""
    holds = ((SCORES.file, any(score.measure == measure for score in folder.scores)),
             (PAIRS.file, any(pair.measure == measure for pair in folder.pairs)),
             (READINGS.file, any(reading.quantity == measure for reading in folder.readings)))
    return tuple(file for file, is_there in holds if is_there)


def _mixed(folder: TrialFolder, measure: str, is_photographed: bool) -> Iterable[Problem]:
    """A measure that photos gave and a table holds too; two tables were told of when the folder was read."""
    if is_photographed:
        for file in sources_of(folder, measure):
            yield Problem(file, None, "quantity" if file == READINGS.file else "measure",
                          f"{measure} has values here, and photos give values of it too",
                          f"one source for each measure: a key of its own here, such as {measure}_by_eye, or values in series.csv")


def _other_series(folder: TrialFolder, choice: MeasureChoice) -> tuple[Series, ...]:
    """The measure's series from the one table that holds it; none where no table does."""
    makers: dict[str, Callable[[TrialFolder, MeasureChoice], tuple[Series, ...]]] = {
        SCORES.file: _scored, PAIRS.file: _chosen, READINGS.file: reading_series}
    return tuple(series for file in sources_of(folder, choice.key)[:1] for series in makers[file](folder, choice))


def _scored(folder: TrialFolder, choice: MeasureChoice) -> tuple[Series, ...]:
    shown = {photo.path: photo for photo in folder.photos}
    return scored_series([Rating(score.photo, shown[score.photo].unit, shown[score.photo].day, score.rater, score.value)
                          for score in folder.scores if score.measure == choice.key], choice.key)


def _chosen(folder: TrialFolder, choice: MeasureChoice) -> tuple[Series, ...]:
    shown = {photo.path: photo for photo in folder.photos}
    answers = [SeenChoice(pair.rater, pair.photo_a, pair.photo_b, shown[pair.photo_a].unit, shown[pair.photo_b].unit,
                          shown[pair.photo_a].day, shown[pair.photo_b].day, pair.more)
               for pair in folder.pairs if pair.measure == choice.key]
    return chosen_series(folder.plan, choice, answers, folder.events)
