"""The way of one trial, from its plan to its report: what is there, what is missing, and the one thing to do next."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fairtank.publish.seal_words import day_words
from fairtank.records.next_steps import steps_left
from fairtank.records.selectors.trial_state import Counts, Papers


@dataclass(frozen=True)
class Stop:
    """One step of the way. route: of its page; title, stands: in words; is_done: whether it has left its mark."""

    route: str
    title: str
    stands: str
    is_done: bool


@dataclass(frozen=True)
class Next:
    """What to do next. route: of the page where it is done; said: a sentence; button: its words."""

    route: str
    said: str
    button: str


def way_of(papers: Papers, counts: Counts, *, today: date, is_judged: bool) -> tuple[Stop, ...]:
    """Every step of a trial in its order, with what is there of it.

    Parameters
    ----------
    papers : Papers
    counts : Counts
    today : date
    is_judged : bool
        Whether there is a finding.

    Returns
    -------
    tuple of Stop

    References
    ----------
    common_practice (keys from sources.py).
    """
    plan, seal = papers.plan, papers.seal
    if plan is None:
        answered = len(papers.kept.answers)
        told = ngettext("%(count)d question is answered.", "%(count)d questions are answered.", answered) % {"count": answered}
        return (Stop("plan", _("Plan"), told if answered else _("Not begun."), False),)
    drawn = _drawn_words(papers)
    return (
        Stop("plan", _("Plan"), _("Made: %(units)d tanks, %(days)d days.") % {"units": len(plan.units), "days": plan.days}, True),
        Stop("draw", _("Draw"), drawn or _("The lot was not drawn yet."), bool(drawn)),
        Stop("build", _("Build sheet"), _build_words(papers, counts), _is_built(papers, counts)),
        Stop("seal", _("Seal"), _("Not sealed yet.") if seal is None else
             _("Sealed on %(day)s, code %(code)s.") % {"day": day_words(seal.entries[0].at), "code": seal.last.code}, seal is not None),
        Stop("schedule", _("Schedule"), _("%(count)d chores.") % {"count": len(papers.schedule[0])} if papers.has_schedule
             else _("A proposal, not taken yet."), papers.has_schedule),
        Stop("round", _("Run"), _recorded_words(counts), counts.has_data),
        Stop("finding", _("Judge"), _("There is a finding.") if is_judged else _("Not judged yet."), is_judged),
        *([Stop("publish", _("Publish"), _("A report, charts, a film, words, a kit, a public page."), False)] if is_judged else []),
    )


def _is_built(papers: Papers, counts: Counts) -> bool:
    """Whether a build sheet was made, or none is needed."""
    return bool(counts.build) or papers.setup is None


def _drawn_words(papers: Papers) -> str:
    if papers.draws:
        last = papers.draws[-1]
        return _("Drawn on %(day)s with seed %(seed)d.") % {"day": day_words(last.at), "seed": last.seed}
    plan = papers.plan
    return _("Drawn elsewhere, with no record of it here.") if plan is not None and plan.drawn else ""


def _build_words(papers: Papers, counts: Counts) -> str:
    if counts.build:
        return ngettext("%(count)d line.", "%(count)d lines.", counts.build) % {"count": counts.build}
    if papers.setup is None:
        return _("Not needed: the plan says nothing of what goes into the glass.")
    return _("Ready. Nothing was weighed in yet.")


def _recorded_words(counts: Counts) -> str:
    told = [
        (counts.photos, ngettext("%(n)d photo", "%(n)d photos", counts.photos)),
        (counts.readings, ngettext("%(n)d reading", "%(n)d readings", counts.readings)),
        (counts.values, ngettext("%(n)d value", "%(n)d values", counts.values)),
        (counts.chores, ngettext("%(n)d chore done", "%(n)d chores done", counts.chores)),
        (counts.events, ngettext("%(n)d event", "%(n)d events", counts.events)),
    ]
    said = [words % {"n": count} for count, words in told if count]
    if not said:
        return _("Nothing was recorded yet.")
    *first, last = said
    return _("%(first)s and %(last)s.") % {"first": ", ".join(first), "last": last} if first else f"{last}."


def next_of(papers: Papers, counts: Counts, *, phase: str, is_judged: bool, waiting: int = 0, is_round_done: bool = False) -> Next:
    """The one thing to do next.

    Parameters
    ----------
    papers, counts
        Of the trial.
    phase : str
        As the shelf tells it.
    is_judged : bool
    waiting : int
        Photos that wait for a frame.
    is_round_done : bool
        Whether somebody went round the tanks today.

    Returns
    -------
    Next

    References
    ----------
    common_practice (keys from sources.py).
    """
    plan = papers.plan
    if plan is None:
        return Next("plan", _("The plan comes first: what is asked, how it is measured, how many tanks answer it."), _("Go on planning"))
    if papers.changes_since_seal:
        return Next("seal", _("The plan was changed since it was sealed. Seal it again, and say why."), _("Seal it again"))
    if waiting:
        told = ngettext("%(count)d photo waits for a frame: where the glass stands in it.",
                        "%(count)d photos wait for a frame: where the glass stands in them.", waiting) % {"count": waiting}
        return Next("frame", _("%(told)s Drawn once for each tank, it serves the photos to come.") % {"told": told}, _("Draw the frames"))
    if is_judged:
        return Next("finding", _("It was judged."), _("Read the finding"))
    if phase == "ended":
        return Next("finding", _("All days are over. What did the trial show?"), _("Judge it"))
    if not counts.has_data:
        left = steps_left("even", is_drawn=plan.drawn, is_built=_is_built(papers, counts) or phase != "before", has_cards=True,
                          is_sealed=papers.seal is not None)
        step = next((name for name, _words in left if name != "schedule"), "")
        if step:
            return _STEP_NEXT[step]()
    if phase == "running" and is_round_done:
        return Next("diary", _("It runs, and today's round is done."), _("Look at the diary"))
    if phase == "running":
        return Next("round", _("It runs. Today's round takes a few minutes."), _("Go round the tanks"))
    return _day_zero()


def next_after_build(*, is_drawn: bool, is_sealed: bool) -> Next:
    """What comes next for whoever has the build sheet open before the first day."""
    return _day_zero() if is_drawn and is_sealed else _STEP_NEXT["seal" if is_drawn else "draw"]()


def _day_zero() -> Next:
    return Next("schedule", _("All is prepared. The schedule tells what day 0 brings."), _("Look at the schedule"))


_STEP_NEXT = {
    "draw": lambda: Next("draw", _("Let the lot decide which tank gets the change, so that nobody chooses."), _("Go to the draw")),
    "build": lambda: Next("build", _("See what to weigh, to buy and to put into each tank."), _("Open the build sheet")),
    "seal": lambda: Next("seal", _("Seal the plan before the first day: then everybody can see that it came first."), _("Go to the seal")),
}
