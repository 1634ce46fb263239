"""What each picture shows, in words for people who do not see it: the report's charts, the film's poster and its stills."""

import csv
import io
from dataclasses import dataclass

from fairtank.publish.arms import arm_looks, arm_words
from fairtank.publish.film.content import FilmFiles
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.phrases import counted, plain_text
from fairtank.publish.video_words.content import WordsContent
from fairtank.trial import Plan

HEAD = ("picture", "what", "alt_text")


@dataclass(frozen=True)
class AltText:
    """One picture: its file or its name, what kind of picture it is, and what it shows."""

    picture: str
    what: str
    text: str


def alt_texts(content: WordsContent, film: FilmFiles | None = None) -> tuple[AltText, ...]:
    """Every picture with its text.

    Parameters
    ----------
    content : WordsContent
    film : FilmFiles or None
        Where the film and its stills lie, where there is one.

    Returns
    -------
    tuple of AltText

    References
    ----------
    wcag22 (keys from sources.py).
    """
    report, plan = content.report, content.plan
    told = []
    for measure in dict.fromkeys(one.measure for one in content.findings):
        own = [one for one in content.findings if one.measure == measure]
        for chart in finding_charts(own, plan, report.series, report.folder.events):
            told.append(AltText(chart.key, "chart", plain_text(chart.description)))
    told += _of_film(content, film) if film is not None else []
    return tuple(told)


def _of_film(content: WordsContent, film: FilmFiles) -> list[AltText]:
    plan, days = content.plan, film.timeline.days
    first, last = days[0], days[-1]
    is_hidden = any(shot.kind == "reveal" for shot in film.timeline.shots)
    units = [unit for unit, _ in film.pairs] or [unit.key for unit in plan.units]
    tanks = counted(len(units), "tank")
    which = "" if is_hidden else f": {_by_arm(plan, units)}"
    told = [AltText(film.film.name, "film", f"A film of photos of {tanks} in the same frame, from day {first} to day {last}{which}. A "
                                            f"counter "
                                            "tells the day; the captions tell the rest."),
            AltText(film.poster_jpg.name, "poster", f"Photos of {tanks} side by side on one day{which}."),
            AltText(film.before_after.name, "before and after", f"Photos of {tanks} on day {first} and on day {last}{which}.")]
    return told + [AltText(place.name, "before and after", f"Photos of {_unit_words(plan, unit) if not is_hidden else 'one tank'} on day "
                                                           f"{first} "
                                                           f"and on day {last}.") for unit, place in film.pairs]


def _by_arm(plan: Plan, units: list[str]) -> str:
    """The tanks of each arm: `arm R (8 h block): T1 and T4; arm C (dark break): T2 and T3`."""
    told = []
    for key, look in arm_looks(plan).items():
        own = [shown(unit) for unit in units if plan.arm_of(unit).key == key]
        name = "" if look.is_nameless else f" ({shown(look.label)})"
        told += [f"{arm_words(look, is_swap=plan.kind == 'swap')}{name}: {in_a_row(own)}"] if own else []
    return "; ".join(told)


def _unit_words(plan: Plan, unit: str) -> str:
    look = arm_looks(plan)[plan.arm_of(unit).key]
    return f"{shown(unit)}, {arm_words(look, is_swap=plan.kind == 'swap')}" + ("" if look.is_nameless else f" ({shown(look.label)})")


def alt_text_table(texts: tuple[AltText, ...]) -> str:
    """The texts as a table, one row for each picture."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    writer.writerows((one.picture, one.what, one.text) for one in texts)
    return out.getvalue()
