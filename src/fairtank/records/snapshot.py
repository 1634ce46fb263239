"""From values of photos and ready-made tables to the series that an analysis sees: the only door between the two."""

from fairtank.records.services.measuring import MeasuredTrial
from fairtank.trial import Series, TrialFolder


def series_of(folder: TrialFolder, measured: MeasuredTrial) -> tuple[Series, ...]:
    """One series per unit and measure, of the whole frame.

    Photos that are not usable gave no values. A measure that series.csv holds is taken from there, as it is, for all units:
    a measure that came from photos in some tanks and from elsewhere in others would compare two ways of measuring.

    Parameters
    ----------
    folder : TrialFolder
    measured : MeasuredTrial
        What the photos gave.

    Returns
    -------
    tuple of Series
        In the order of units, then of measures as they first occur; days ascending.

    References
    ----------
    common_practice (keys from sources.py).
    """
    ready_made = {series.measure for series in folder.series}
    rows: dict[tuple[str, str], list[tuple[int, float, float | None]]] = {}
    for value in measured.measured:
        if value.zone == "" and value.measure not in ready_made:
            rows.setdefault((value.unit, value.measure), []).append((value.day, value.value, value.se))
    taken = []
    for (unit, measure), values in rows.items():
        values.sort(key=lambda row: row[0])
        days, numbers, ses = zip(*values, strict=True)
        taken.append(Series(unit, measure, days, numbers, ses))
    order = {unit.key: place for place, unit in enumerate(folder.plan.units)}
    return tuple(sorted((*folder.series, *taken), key=lambda series: order[series.unit]))
