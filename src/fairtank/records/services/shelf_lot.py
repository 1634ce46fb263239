"""The lot of a trial on the shelf: what would be drawn, the draw, and its papers, made anew whenever they are asked for."""

from dataclasses import dataclass
from datetime import UTC, datetime

from fairtank.card import cards_of_plan
from fairtank.errors import FairtankError, InputError
from fairtank.lot import Draw
from fairtank.planning.drawing.lots import drawn_lots, inputs_of
from fairtank.publish.draw_pages import DrawContent, draw_pdf, scoring_pdf
from fairtank.records.models import Card, Trial
from fairtank.records.selectors.trial_state import folder_of_rows, papers_of
from fairtank.records.services.drawing import DrawnTrial, DrawRequest, list_text, lot_inputs, trial_draw
from fairtank.records.services.trail import By
from fairtank.records.services.working import changing, opened, place_of
from fairtank.trial import CardOfUnit, Plan

_PAPERS, _LIST = "papers", "sealed-list"
PAPER_TYPES = {"sealed-list.csv": "text/csv; charset=utf-8", "draw.pdf": "application/pdf", "scoring-sheet.pdf": "application/pdf"}
SECRET = ("sealed-list.csv", "draw.pdf")  # they tell which unit has what


@dataclass(frozen=True)
class Coming:
    """What a draw would be: draw, worked out with a seed that counts for nothing, so that its numbers of possible draws and its blocks can
    be told; and why none can be made, in which case draw is None."""

    draw: Draw | None
    refusal: str = ""


def coming_draw(trial: Trial, request: DrawRequest) -> Coming:
    """What would be drawn, before it is.

    Parameters
    ----------
    trial : Trial
        With a plan.
    request : DrawRequest

    Returns
    -------
    Coming

    References
    ----------
    fisher1935 (keys from sources.py).
    """
    try:
        inputs, blocked_by = lot_inputs(folder_of_rows(trial, ("factors",)), request)
        drawn = drawn_lots(0, inputs)
    except FairtankError as error:
        return Coming(None, str(error))
    return Coming(Draw(0, datetime(2000, 1, 1, tzinfo=UTC), "", drawn.arms, drawn.blocks, drawn.possible, kind=inputs.kind,
                       arm_keys=inputs.arms, tanks=inputs.tanks, rows=inputs.rows, columns=inputs.columns, window=inputs.window,
                       blocked_by=blocked_by))


def lot_draw(*, trial: Trial, by: By, request: DrawRequest) -> DrawnTrial:
    """Let the lot give out the arms.

    Parameters
    ----------
    trial : Trial
    by : By
    request : DrawRequest

    Returns
    -------
    DrawnTrial

    Raises
    ------
    DesignError
        If it was drawn or sealed, or data is there, and no reason is given; or the units cannot be divided as asked.
    InputError
        If a column cannot be used.

    References
    ----------
    fisher1935, fips180 (keys from sources.py).
    """
    place = place_of(trial)
    if papers_of(trial).draws and not request.reason.strip():
        with opened(trial) as root:  # it refuses, or finds that nothing has changed
            return trial_draw(root=root, request=request, out=place / _PAPERS, list_to=place / _LIST)
    why = " ".join(request.reason.split())
    with changing(trial=trial, by=by, verb="draw", said=f"Drew the lot{f' again: {why}.' if why else '.'}") as root:
        return trial_draw(root=root, request=request, out=place / _PAPERS, list_to=place / _LIST)


def lot_paper(trial: Trial, name: str) -> bytes:
    """One of the papers of the last draw: the sealed list, the sheet to sign, or the sheet of whoever scores.

    Parameters
    ----------
    trial : Trial
    name : str
        One of `PAPER_TYPES`.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If nothing was drawn.

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    papers = papers_of(trial)
    plan = papers.plan
    if plan is None or not papers.draws:
        raise InputError("The draw", "not made yet", "a trial that was drawn")
    draw, codes = papers.draws[-1], codes_of(trial, plan)
    if name == "sealed-list.csv":
        return list_text(plan, draw, codes).encode()
    content = DrawContent(plan, draw, drawn_lots(draw.seed, inputs_of(draw)), codes, len(papers.draws))
    return draw_pdf(content) if name == "draw.pdf" else scoring_pdf(content)


def codes_of(trial: Trial, plan: Plan) -> tuple[tuple[str, str], ...]:
    """Unit and code of its photo card, printed or to be printed; none where there are more units than cards."""
    there = tuple(CardOfUnit(*row) for row in Card.objects.filter(trial=trial).values_list("unit__key", "card", "code"))
    try:
        cards = (*there, *cards_of_plan(plan, there))
    except InputError:
        return ()
    return tuple((one.unit, one.code) for one in cards)

