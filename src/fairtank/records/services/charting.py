"""The charts of a finished trial as files to take away."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from fairtank.errors import DesignError, FairtankError, InputError
from fairtank.inference.foresight.showing import Showing, show
from fairtank.publish.chart_export.files import FORMS, ChartWishes, chart_files
from fairtank.publish.chart_export.inks import THEMES
from fairtank.publish.chart_export.shapes import SHAPES
from fairtank.publish.not_read import why_not_read
from fairtank.publish.page_judged import OVER, reading_of
from fairtank.records.litres import tank_litres_of
from fairtank.records.services.pictures import unit_pictures
from fairtank.records.services.run_in_values import run_in_measured
from fairtank.records.services.trials import JudgedTrial, out_check, report_content, result_write
from fairtank.records.services.worth import prices_from, trial_care

FOLDER = "charts"
NOT_OVER = "This is given out once the trial has been read: it would show what nobody should see yet."


def charts_write(*, judged: JudgedTrial, out: Path, wishes: ChartWishes, progress: Callable[..., None] | None = None) -> tuple[Path, ...]:
    """Write the charts that are wished for into the folder `charts` of `out`.

    Parameters
    ----------
    judged : JudgedTrial
        A trial that was read.
    out : Path
        The folder for results.
    wishes : ChartWishes
        Shapes, themes, forms, and whether the curves come day by day.
    progress : callable, optional
        Told (done, total, 0) as files are written; the total is what is known so far.

    Returns
    -------
    tuple of Path
        In the order in which they were written.

    Raises
    ------
    DesignError
        If the trial is not over.
    InputError
        If a shape, theme or form is none of those that there are.

    References
    ----------
    common_practice (keys from sources.py).
    """
    read_check(judged)
    wishes_check(wishes)
    out_check(out, judged.folder)
    content = replace(report_content(judged), pictures=unit_pictures(judged.folder, judged.measured))
    written: list[Path] = []
    for name, made in chart_files(content, wishes, could_show(judged, out)):
        place = out / FOLDER / name
        result_write(place, made)
        written.append(place)
        if progress is not None:
            progress(len(written), len(written) + 1, 0)
    if progress is not None and written:
        progress(len(written), len(written), 0)
    return tuple(written)


def could_show(judged: JudgedTrial, out: Path) -> Showing | None:
    """What the plan could show, from what `fairtank detect` takes; None where that cannot be told, such as for a spread nobody knows.

    Parameters
    ----------
    judged : JudgedTrial
        The trial.
    out : Path
        The folder for results, with the values of a run-in that were measured.

    Returns
    -------
    Showing or None

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = judged.folder
    try:
        return show(folder.plan, entries=folder.spread, tank_litres=tank_litres_of(folder), prices=prices_from(trial_care(folder)),
                    series=(*folder.series, *run_in_measured(folder, out)))
    except FairtankError:
        return None


def read_check(judged: JudgedTrial, today: date | None = None) -> None:
    """Refuse to give anything out of a trial that was not read yet, with what it waits for."""
    if reading_of(judged.findings).state != OVER:
        raise DesignError(f"{NOT_OVER} {why_not_read(judged.findings, judged.folder.plan, today or date.today())}")


def wishes_check(wishes: ChartWishes) -> None:
    """Refuse words that mean no shape, theme or form."""
    for what, given, known in (("shape", wishes.shapes, tuple(SHAPES)), ("theme", wishes.themes, THEMES), ("form", wishes.forms, FORMS)):
        for one in given:
            if one not in known:
                raise InputError(f"the {what}", f"'{one}'", " or ".join(known))
        if not given:
            raise InputError(f"the {what}", "none", f"at least one of {', '.join(known)}")
