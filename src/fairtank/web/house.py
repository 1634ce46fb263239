"""The two rows of links that every page has: the house, and the path of a trial with the pages of each step."""

from collections.abc import Iterator

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext_lazy as _

from fairtank.records.models import Trial

# Route, words, right that it needs.
HOUSE = (
    ("shelf", _("Shelf"), "look"), ("today", _("Today"), "record"), ("tanks", _("Tanks"), "manage"),
    ("materials", _("Materials"), "manage"), ("bench", _("Bench"), "look"), ("settings", _("Settings"), "keep"),
)  # fmt: skip
# Step, words, and its pages: route (with the trial's word), words, right. The first page is where the step leads.
PATH = (
    ("plan", _("Plan"), (("plan", _("The plan"), "look"), ("even", _("How even"), "look"), ("show", _("What it can show"), "look"),
                         ("forecast", _("How it may go"), "look"), ("draw", _("Draw"), "look"), ("seal", _("Seal"), "look"),
                         ("schedule", _("Schedule"), "look"))),
    ("build", _("Build"), (("build", _("Build sheet"), "look"), ("equal", _("What each tank has"), "look"))),
    ("run", _("Run"), (("round", _("Round"), "record"), ("diary", _("Diary"), "look"), ("readings", _("Readings"), "look"),
                       ("watch", _("Drift"), "look"))),
    ("measure", _("Measure"), (("wall", _("Strip wall"), "look"), ("frame", _("Frames"), "manage"), ("labels", _("Strokes"), "manage"),
                               ("audit", _("Audit"), "manage"), ("blind", _("Blind table"), "score"))),
    ("judge", _("Judge"), (("finding", _("Finding"), "look"),)),
    ("publish", _("Publish"), (("publish", _("Report and files"), "look"),
                             ("charts_export", _("Charts"), "look"),
                             ("film", _("Film"), "look"), ("words", _("Words"), "look"), ("kit", _("Kit"), "look"),
                             ("site", _("Public page"), "look"))),
)  # fmt: skip


def address(route: str, *args: str) -> str:
    """The address of a route; empty where there is none."""
    try:
        return reverse(route, args=args)
    except NoReverseMatch:
        return ""


def house_links(may: frozenset[str]) -> Iterator[tuple[str, str, str]]:
    """Route, words and address of the links at the top that a visitor may follow."""
    for route, words, right in HOUSE:
        if right in may and (place := address(route)):
            yield route, str(words), place


def trial_links(trial: Trial, may: frozenset[str]) -> Iterator[tuple[str, str, str]]:
    """Step, words and address of the path of a trial."""
    for step, words, pages in PATH:
        first = next((place for route, _words, right in pages if right in may and (place := address(route, trial.slug))), "")
        if first:
            yield step, str(words), first


def step_links(trial: Trial, step: str, here: str, may: frozenset[str]) -> list[tuple[str, str, bool]]:
    """Address, words and whether one is there, of the pages of a step; none where it has only one, or while there is no plan yet."""
    if step == "plan" and not trial.planned:
        return []  # each of them would only say that the plan comes first
    pages = next((pages for key, _words, pages in PATH if key == step), ())
    found = [(place, str(words), route == here) for route, words, right in pages if right in may and (place := address(route, trial.slug))]
    return found if len(found) > 1 else []


def step_of(route: str) -> str:
    """The step to which a page of a trial belongs."""
    return next((step for step, _words, pages in PATH for name, _said, _right in pages if name == route), "")
