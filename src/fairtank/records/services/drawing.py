"""Draw a trial by lot: arms, start day, places, orders; kept in draw.json and trial.toml, on paper, and in a list that lies apart."""

import csv
import io
import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fairtank.card import cards_of_plan
from fairtank.errors import DesignError, InputError, JobError, plain_reason
from fairtank.lot import Draw
from fairtank.planning.drawing.blocking import OF_PLACES, blocks_by, usual_columns, values_of
from fairtank.planning.drawing.lots import PROCEDURE, Drawn, LotInputs, drawn_lots, inputs_of
from fairtank.publish.draw_pages import DrawContent, draw_pdf, scoring_pdf
from fairtank.publish.draw_words import disagreement_words
from fairtank.records.folder import read_folder
from fairtank.records.folder.draw_json import DRAW_FILE, text_from_draws
from fairtank.records.folder.plan_edit import text_with
from fairtank.records.folder.plan_writer import text_from_plan
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.services.sealing import data_of
from fairtank.records.services.trials import place_check, result_write
from fairtank.records.writing import text_write
from fairtank.trial import Plan, TrialFolder, Unit

LIST_FILE, SHEET_FILE, SCORING_FILE = "sealed-list.csv", "draw.pdf", "scoring-sheet.pdf"
SYSTEM_SEEDS = 10**9


@dataclass(frozen=True)
class DrawRequest:
    """What the keeper asks of a draw.

    seed: None draws one from the system's randomness. block: columns that make the blocks; empty stands for the usual ones, `none` for no
    blocks. together: neighbours in a block, 0 for as many as there are arms. rows, columns: of a Latin square. places: draw also which
    unit goes to which place.
    """

    seed: int | None = None
    block: tuple[str, ...] = ()
    together: int = 0
    rows: str = ""
    columns: str = ""
    places: bool = False
    witness: str = ""
    reason: str = ""


@dataclass(frozen=True)
class DrawnTrial:
    """What a draw did.

    done: `drawn`, `again` or `unchanged`. draw, drawn: the record and all its numbers. plan: as it stands now. codes: unit and blind code.
    before: earlier draws. places of what was written; None where nothing was.
    """

    done: str
    draw: Draw
    drawn: Drawn
    plan: Plan
    codes: tuple[tuple[str, str], ...]
    before: tuple[Draw, ...]
    record: Path
    sheet: Path | None = None
    sealed_list: Path | None = None
    scoring: Path | None = None


def trial_draw(*, root: Path, request: DrawRequest, out: Path, list_to: Path | None = None,
               now: Callable[[], datetime] = lambda: datetime.now(UTC), chance: Callable[[int], int] = secrets.randbelow) -> DrawnTrial:
    """Draw a folder's arms, and whatever else its design leaves to the lot; a second draw, or a late one, only with a reason.

    Parameters
    ----------
    root : Path
        The trial folder; arms of units may stand there or be left out.
    request : DrawRequest
        Seed, blocks and what else is asked.
    out : Path
        Where the scorer's sheet goes.
    list_to : Path or None
        Where the sealed list and the sheet with the arms go; None: a folder beside the trial's.
    now, chance : functions
        The clock, and the system's randomness: a whole number below the one given.

    Returns
    -------
    DrawnTrial

    Raises
    ------
    FolderError
        If the folder cannot be read.
    DesignError
        If it was drawn or sealed, or data is there, and no reason is given; or the units cannot be divided as asked.
    InputError
        If a place or a column cannot be used.

    References
    ----------
    fisher1935, fips180 (keys from sources.py).
    """
    folder = read_folder(root, reworded=with_arms)
    inputs, blocked_by = _inputs(folder, request)
    before, reason = folder.draws, " ".join(request.reason.split())
    if before and not reason and request.seed in (None, before[-1].seed) and _same(inputs, blocked_by, before[-1]):
        return DrawnTrial("unchanged", before[-1], drawn_lots(before[-1].seed, inputs_of(before[-1])), folder.plan, (), before[:-1],
                          root / DRAW_FILE)
    values, photos, _ = data_of(folder)
    _check_reason(folder, values + photos, reason)
    list_place = _list_place(root, list_to)
    place_check(out, root, tuple(photo.path for photo in folder.photos))
    seed = chance(SYSTEM_SEEDS) if request.seed is None else request.seed
    drawn = drawn_lots(seed, inputs)
    draw = _draw(request, inputs, drawn, seed, blocked_by, now().replace(microsecond=0), reason)
    draw = replace(draw, sealed=folder.seal is not None, values=values, photos=photos,
                   said_before=_said_before(folder.plan) if not before else "")
    return _written(root, folder, draw, drawn, out, list_place)


def lot_inputs(folder: TrialFolder, request: DrawRequest) -> tuple[LotInputs, tuple[str, ...]]:
    """What a draw would be made from, and the names of what makes its blocks; nothing is drawn.

    Raises
    ------
    DesignError
        If the units cannot be divided as asked.
    InputError
        If a column cannot be used.
    """
    return _inputs(folder, request)


def _check_reason(folder: TrialFolder, recorded: int, reason: str) -> None:
    """Refuse a draw that needs a reason and has none."""
    if reason:
        return
    if folder.draws:
        last = folder.draws[-1]
        raise DesignError(f"This trial was drawn already, on {last.at:%Y-%m-%d} with seed {last.seed}. Whoever draws until the draw "
                          f"pleases "
                          'has chosen. Draw again only with --reason "why": every draw is kept, and the finding tells them.')
    if folder.seal is not None:
        raise DesignError('The plan is sealed, and the arms are part of it. Draw now only with --reason "why": the finding will tell it.')
    if recorded:
        raise DesignError(f"There is data already ({recorded} values and photos), and a draw belongs before it. Draw now only with "
                          '--reason "why": the finding will tell it.')


def _said_before(plan: Plan) -> str:
    if not plan.drawn:
        return ""
    return "drawn" + (f" with seed {plan.seed}" if plan.seed is not None else "")


def _inputs(folder: TrialFolder, request: DrawRequest) -> tuple[LotInputs, tuple[str, ...]]:
    """What goes into the lot, and the names of what makes the blocks."""
    plan, factors = folder.plan, folder.factors
    if bool(request.rows) != bool(request.columns):
        raise InputError("--rows and --columns", "one of them alone", "both, for a Latin square", "For blocks of one kind use --block.")
    if request.rows and (request.block or plan.kind in ("pairs", "rounds")):
        raise InputError("--rows and --columns", "beside blocks, pairs or rounds", "a Latin square by itself")
    columns = () if request.block == ("none",) or request.rows else (request.block or usual_columns(plan))
    if plan.kind in ("pairs", "rounds"):
        columns = tuple(dict.fromkeys((*usual_columns(plan), *columns)))
    if request.together and "neighbours" not in columns:
        raise InputError("--neighbours", request.together, "together with --block neighbours")
    blocks = blocks_by(plan, columns, factors, together=request.together)
    if plan.kind == "pairs" and len(plan.arms) == 2 and any(count != 2 for count in _counts(blocks)):
        raise DesignError("A pair is two units; with further columns to block by, some pairs are torn apart. Leave --block out.")
    given = {name: tuple(values_of(plan, column, factors).items()) if column else ()
             for name, column in (("rows", request.rows), ("columns", request.columns))}
    tanks = tuple((unit.key, unit.tank or unit.key) for unit in plan.units) if plan.kind == "rounds" else ()
    inputs = LotInputs(plan.kind, tuple(unit.key for unit in plan.units), tuple(arm.key for arm in plan.arms), blocks, tanks,
                       given["rows"], given["columns"], plan.start_window if plan.kind == "drawn_start" else None,
                       _places(folder, columns) if request.places else ())
    return inputs, (request.rows, request.columns) if request.rows else columns


def _counts(blocks: Sequence[tuple[str, str]]) -> list[int]:
    names = [name for _, name in blocks]
    return [names.count(name) for name in dict.fromkeys(names)]


def _places(folder: TrialFolder, columns: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Unit and place, where places can be drawn at all."""
    plan = folder.plan
    places = [unit.position for unit in plan.units]
    if plan.kind == "rounds" or any(unit.compartment for unit in plan.units):
        raise DesignError("Places are drawn for tanks that can be moved, not for rounds or the compartments of one tank. Leave --places "
                          "out.")
    if not all(places) or len(set(places)) < len(places):
        raise DesignError('To draw the places, every [[unit]] needs a position of its own, such as position = "shelf 1, place 2".')
    fixed = [column for column in columns if column not in OF_PLACES]
    told = {one.factor for one in folder.factors} & {"shelf", "place", "window_side"}
    if fixed or told:
        raise DesignError(f"The places cannot be drawn together with {', '.join(sorted({*fixed, *told}))}, which belongs to the tank and "
                          "not to its place or is written down for the old one. Draw the places first, then write it down.")
    return tuple((unit.key, unit.position) for unit in plan.units)


def _same(inputs: LotInputs, blocked_by: tuple[str, ...], last: Draw) -> bool:
    """Whether a draw would be made from what the last one was made from; places that were drawn stand in the plan by now."""
    settled = replace(inputs_of(last), places=(), blocks=last.blocks)
    return replace(inputs, places=()) == settled and (blocked_by == last.blocked_by or inputs.blocks == last.blocks)


def _draw(request: DrawRequest, inputs: LotInputs, drawn: Drawn, seed: int, blocked_by: tuple[str, ...], at: datetime, reason: str) -> Draw:
    return Draw(
        seed, at, PROCEDURE, drawn.arms, drawn.blocks, drawn.possible, " ".join(request.witness.split()), reason, kind=inputs.kind,
        arm_keys=inputs.arms, tanks=inputs.tanks, rows=inputs.rows, columns=inputs.columns, window=inputs.window, drawn_day=drawn.drawn_day,
        places=drawn.places, places_before=inputs.places, planting=drawn.planting, scoring=drawn.scoring, blocked_by=blocked_by,
        seed_from="system" if request.seed is None else "given",
    )  # fmt: skip


# what is written -----------------------------------------------------------------------------------------------------


def _list_place(root: Path, list_to: Path | None) -> Path:
    """Where the sealed list goes: outside the trial folder, and writable."""
    place = list_to if list_to is not None else root.resolve().parent / f"{root.resolve().name}-sealed-list"
    if place.resolve().is_relative_to(root.resolve()):
        raise InputError("--list-to", place, "a folder outside the trial folder", "A scorer who is given the folder must not find the "
                                                                                  "list.")
    try:
        place_check(place, root)
    except InputError as error:
        raise InputError("--list-to", error.value, error.accepted, "Name another place for the sealed list. Nothing was drawn.") from error
    return place


def _written(root: Path, folder: TrialFolder, draw: Draw, drawn: Drawn, out: Path, list_place: Path) -> DrawnTrial:
    """Everything made first, then written: the list and the sheets, then trial.toml, and the record last."""
    plan = plan_after(folder.plan, draw, drawn, folder.draws)
    draws = (*folder.draws, draw)
    codes = _codes(plan, folder)
    content = DrawContent(plan, draw, drawn, codes, len(draws))
    sheet, scoring, text = draw_pdf(content), scoring_pdf(content), _plan_text(root, folder, plan)
    result_write(list_place / LIST_FILE, list_text(plan, draw, codes))
    result_write(list_place / SHEET_FILE, sheet)
    result_write(out / SCORING_FILE, scoring)
    for file, own in ((PLAN_FILE, text), (DRAW_FILE, text_from_draws(draws))):
        try:
            text_write(root / file, own)
        except OSError as error:
            raise JobError(f"{root / file} cannot be written: {plain_reason(error)}. The draw does not count.") from error
    done = "again" if folder.draws else "drawn"
    return DrawnTrial(done, draw, drawn, plan, codes, folder.draws, root / DRAW_FILE, list_place / SHEET_FILE, list_place / LIST_FILE,
                      out / SCORING_FILE)


def plan_after(plan: Plan, draw: Draw, drawn: Drawn, earlier: Sequence[Draw] = ()) -> Plan:
    """The plan as the draw leaves it: arms, places, seed, start day, and blocks where none stood there but those of an earlier draw."""
    own, arms, blocks = {unit.key: unit for unit in plan.units}, dict(draw.arms), dict(draw.blocks)
    before = dict(earlier[-1].blocks) if earlier else {}
    is_free = all(unit.block in ("", before.get(unit.key, "")) for unit in plan.units)
    moved, names_blocks = dict(drawn.moved), is_free and plan.kind not in ("pairs", "rounds")

    def settled(unit: Unit) -> Unit:
        at = own[moved.get(unit.key, unit.key)]
        block = blocks.get(unit.key, "") if names_blocks else at.block
        return replace(unit, arm=arms[unit.key], first_arm=arms[unit.key] if plan.kind == "swap" else unit.first_arm, position=at.position,
                       pair=at.pair, block=block)
    day = draw.drawn_day if draw.drawn_day is not None else plan.drawn_day
    return replace(plan, units=tuple(settled(unit) for unit in plan.units), drawn=True, seed=draw.seed, drawn_day=day)


def _plan_text(root: Path, folder: TrialFolder, plan: Plan) -> str:
    """trial.toml with what was drawn; comments stay where the file is written in lines that can be replaced one by one."""
    text = (root / PLAN_FILE).read_text(encoding="utf-8-sig")
    design: dict[str, Any] = {"drawn": True, "seed": plan.seed}
    if plan.kind == "drawn_start":
        design["drawn_day"] = plan.drawn_day
    names = ("arm", "first_arm", "position", "pair", "block")
    before = {unit.key: unit for unit in folder.plan.units}
    units = {unit.key: {name: value for name in names if (value := getattr(unit, name)) != getattr(before[unit.key], name) or name == "arm"}
             for unit in plan.units}
    edited = text_with(text, design, units)
    return text_from_plan(plan, dict((folder.unknown_cells.get(PLAN_FILE) or ({},))[0])) if edited is None else edited


def _codes(plan: Plan, folder: TrialFolder) -> tuple[tuple[str, str], ...]:
    """Unit and code of its photo card, the same that `fairtank cards` prints; none where there are more units than cards."""
    try:
        cards = (*folder.cards, *cards_of_plan(plan, folder.cards))
    except InputError:
        return ()
    return tuple((one.unit, one.code) for one in cards)


def list_text(plan: Plan, draw: Draw, codes: tuple[tuple[str, str], ...]) -> str:
    """The sealed list: code, unit, arm, block and place, one row for each unit."""
    file, code, blocks = io.StringIO(newline=""), dict(codes), dict(draw.blocks)
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(("code", "unit", "arm", "block", "position"))
    for unit in plan.units:
        writer.writerow((code.get(unit.key, ""), unit.key, unit.arm, blocks.get(unit.key, ""), unit.position))
    return file.getvalue()


# the draw once more --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class CheckedDraw:
    """A draw worked out again. draws: all of them. wrong: sentences about what does not agree; empty where all of it does."""

    draws: tuple[Draw, ...]
    drawn: Drawn
    wrong: tuple[str, ...]


def draw_check(*, root: Path) -> CheckedDraw:
    """Work out every draw of draw.json once more, and compare the last one with trial.toml.

    Parameters
    ----------
    root : Path
        The trial folder.

    Returns
    -------
    CheckedDraw

    Raises
    ------
    FolderError
        If the folder cannot be read, or draw.json was changed by hand.
    DesignError
        If nothing was drawn yet.

    References
    ----------
    fips180 (keys from sources.py).
    """
    folder = read_folder(root, reworded=with_arms)
    if not folder.draws:
        raise DesignError("There is no draw.json in this folder: nothing was drawn yet. Draw with: fairtank draw FOLDER --seed NUMBER")
    wrong = []
    for number, draw in enumerate(folder.draws, start=1):
        drawn = drawn_lots(draw.seed, inputs_of(draw))
        same = (drawn.arms, drawn.possible, drawn.drawn_day, drawn.places, drawn.planting, drawn.scoring, drawn.blocks)
        if draw.procedure != PROCEDURE:
            wrong.append(f"Draw {number} was made by another procedure ({draw.procedure}) and cannot be worked out here.")
        elif same != (draw.arms, draw.possible, draw.drawn_day, draw.places, draw.planting, draw.scoring, draw.blocks):
            wrong.append(f"Draw {number}, worked out again from its seed {draw.seed}, gives something else than draw.json says.")
    return CheckedDraw(folder.draws, drawn, (*wrong, *disagreement_words(folder.plan, folder.draws[-1])))
