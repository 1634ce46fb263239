"""Repeat a trial: a kit, or a trial folder, becomes a new plan for another keeper's tanks."""

import os
import re
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from fairtank.build import Setup, Tank
from fairtank.chore import Chore
from fairtank.errors import InputError, JobError, plain_reason
from fairtank.planning.building.repeated import OPEN, RECKONED, TAKEN, Moved, setup_repeated
from fairtank.publish.kit.repeat_words import repeat_text
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.kit_files import DIGESTS, PACKAGE, check_form, digest_named, files_from_text
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, TOML_LIMIT_BYTES, is_there, read_bytes, text_from_bytes
from fairtank.records.folder.plan_toml import draft_from_text
from fairtank.records.folder.plan_writer import text_from_plan
from fairtank.records.folder.problems import Problems, Refusal, check_is_folder
from fairtank.records.folder.schedule_toml import schedule_from_text
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.schedule_toml_writer import text_from_schedule
from fairtank.records.folder.seal import SEAL_FILE, seal_from_text
from fairtank.records.folder.setup_toml import setup_from_text
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.setup_toml_writer import text_from_setup
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.folder.zipped import folder_at
from fairtank.trial import Plan, Unit

TOLD_FILE = "what-was-repeated.md"
READ = (PLAN_FILE, SETUP_FILE, SCHEDULE_FILE, SEAL_FILE, DIGESTS, PACKAGE)
DAYS_AHEAD = 14
AGAIN = " (repeated)"
_SIZE = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*[x×*]\s*(\d+(?:[.,]\d+)?)\s*[x×*]\s*(\d+(?:[.,]\d+)?)\s*(?:cm)?\s*")
_SIZE_ACCEPTED = "length x width x height in cm, such as 60x30x36"
_WATER_BELOW_RIM_MM = 30.0  # where the first keeper's tanks are not known; common practice, no source


@dataclass(frozen=True)
class OtherTanks:
    """The other keeper's tanks. sizes: one for all, or one for each tank of the trial: length, width, height, outer [cm]. glass_mm: of the
    walls. water_line_cm: above the inner bottom; None: as far below the rim as the first keeper's."""

    sizes: tuple[tuple[float, float, float], ...]
    glass_mm: float
    water_line_cm: float | None = None


@dataclass(frozen=True)
class RepeatedTrial:
    """A plan that repeats another trial. root: its folder. plan: the new one. moved: what became of the first one's, line by line."""

    root: Path
    plan: Plan
    moved: tuple[Moved, ...]
    text: str


@dataclass(frozen=True)
class _First:
    """What is read of the trial that is to be repeated."""

    plan: Plan
    setup: Setup | None
    chores: tuple[Chore, ...]
    mark: str


def size_read(text: str) -> tuple[float, float, float]:
    """Length, width and height of a tank [cm] from a text.

    >>> size_read("60x30x36")
    (60.0, 30.0, 36.0)
    """
    found = _SIZE.fullmatch(text)
    if found is None:
        raise InputError("the tank", text or "empty", _SIZE_ACCEPTED)
    length, width, height = (float(one.replace(",", ".")) for one in found.groups())
    return length, width, height


def trial_repeat(*, place: Path, root: Path, tanks: OtherTanks, start: date | None = None, today: date | None = None) -> RepeatedTrial:
    """Write a new trial folder that asks the same question in other tanks; photos, readings, draw and seal of the first are not taken.

    Parameters
    ----------
    place : Path
        A kit, or a trial folder.
    root : Path
        A new or an empty folder.
    tanks : OtherTanks
    start : date, optional
        Of day 0; two weeks from today where it is left out.
    today : date, optional

    Returns
    -------
    RepeatedTrial

    Raises
    ------
    InputError
        If the place is no kit, the folder is not free, day 0 is past, or the sizes cannot be those of tanks.
    FolderError
        With every problem of the plan, or files of the kit that are otherwise than listed.
    DesignError
        If the setup cannot be built in these tanks.

    References
    ----------
    arithmetic, common_practice (keys from sources.py).
    """
    if root.is_symlink() or (root.exists() and not (root.is_dir() and not any(root.iterdir()))):
        raise InputError("the folder to write", root, "a new or an empty folder", "Choose another name; nothing was written.")
    today = today or date.today()
    if start is not None and start < today:
        raise InputError("day 0", start.isoformat(), "today or a later day")
    with folder_at(place, only=READ) as folder:
        first = _read(folder)
    plan = _plan_again(first, start or today + timedelta(days=DAYS_AHEAD))
    moved = _plan_moved(first.plan, plan)
    texts = {PLAN_FILE: _to_confirm(plan) + text_from_plan(plan)}
    if first.setup is not None:
        setup, lines = setup_repeated(first.setup, _tanks(first.setup, tanks), first.setup.places, tuple((one.key, one.arm)
                                                                                                         for one in plan.units))
        moved += lines
        texts[SETUP_FILE] = text_from_setup(setup, usual_weeks=plan.days / 7 if plan.days else None)
    else:
        moved.append(Moved(OPEN, "what is to be built: the first trial has no setup, so that no quantity could be reckoned", "", ""))
    if first.chores:
        texts[SCHEDULE_FILE] = text_from_schedule(first.chores, (), {})
        moved.append(Moved(TAKEN, "schedule", f"{len(first.chores)} chores", f"{len(first.chores)} chores"))
    texts[TOLD_FILE] = repeat_text(first.plan, plan, moved, has_amounts=any(one.amount is not None and one.unit_of_measure
                                                                            for one in first.chores))
    _write(root, texts)
    return RepeatedTrial(root, plan, tuple(moved), texts[TOLD_FILE])


def _read(root: Path) -> _First:
    """The plan, what was built, the schedule and the mark of a trial; of a kit only after these files were held against its list."""
    check_is_folder(root, PLAN_FILE)
    check_form(root)
    _check_listed(root)
    problems = Problems((PLAN_FILE, SETUP_FILE, SCHEDULE_FILE, SEAL_FILE))
    draft = draft_from_text(with_arms(_text(root, PLAN_FILE, problems) or ""), problems)
    setup_text = _text(root, SETUP_FILE, problems) if is_there(root, SETUP_FILE) else None
    setup = setup_from_text(setup_text, draft.plan, problems).setup if setup_text is not None and draft.plan is not None else None
    schedule_text = _text(root, SCHEDULE_FILE, problems) if is_there(root, SCHEDULE_FILE) else None
    chores = schedule_from_text(schedule_text, draft, problems, Problems()).chores if schedule_text is not None else ()
    seal_text = _text(root, SEAL_FILE, problems) if is_there(root, SEAL_FILE) else None
    seal = seal_from_text(seal_text, problems) if seal_text is not None else None
    if problems or draft.plan is None:
        raise problems.as_error()
    of_plan = f"plan sha256:{digest_of_bytes((root / PLAN_FILE).read_bytes())}"
    mark = f"seal {seal.last.code}" if seal is not None else digest_named(root) or of_plan
    return _First(draft.plan, setup, tuple(chores), mark)


def _check_listed(root: Path) -> None:
    """Refuse a kit whose plan, setup, schedule or seal is otherwise than its list says; photos are not looked at."""
    if not is_there(root, DIGESTS):
        return
    try:
        files = {one.path: one for one in files_from_text(read_bytes(root, DIGESTS, CSV_LIMIT_BYTES).decode())}
    except (Refusal, ValueError) as error:
        raise InputError(DIGESTS, "not as a kit writes it", "a kit as it was written, or a folder without that file") from error
    problems = Problems()
    for path in READ[:4]:
        listed = files.get(path)
        found = digest_of_bytes((root / path).read_bytes()) if (root / path).is_file() else ""
        if (listed.sha256 if listed else "") != found:
            odd = Refusal("the file is not the one that the kit's list names", "the kit as it was written")
            problems.refuse(path, None, None, odd)
    if problems:
        raise problems.as_error()


def _text(root: Path, file: str, problems: Problems) -> str | None:
    try:
        text, row, fault = text_from_bytes(read_bytes(root, file, TOML_LIMIT_BYTES, called="the file"))
    except Refusal as refusal:
        problems.refuse(file, None, None, refusal)
        return None
    if fault:
        problems.refuse(file, row, None, fault)
    return text


def _plan_again(first: _First, start: date) -> Plan:
    """The same question for other tanks: nothing of the keeper, the place, the draw, nor that the first one's eyes were kept blind."""
    plan = first.plan
    return replace(plan, title=f"{(plan.title or 'A trial').removesuffix(AGAIN)}{AGAIN}", start=start, keeper="", place="", disclosure="",
                   drawn=False, blinded=False, seed=None,
                   drawn_day=None, tank_litres=None if first.setup is not None else plan.tank_litres, units=_units_again(plan),
                   repeats=f"{plan.title or 'A trial without a title'}; {first.mark}"[:1000])


def _units_again(plan: Plan) -> tuple[Unit, ...]:
    """The units without their places; the arms stand in turn inside each pair, round or block, as before any draw."""
    order = {arm.key: number for number, arm in enumerate(plan.arms)}
    groups: dict[str, list[Unit]] = {}
    for unit in plan.units:
        groups.setdefault(unit.pair or unit.round or unit.block, []).append(unit)
    arms, firsts = dict[str, str](), dict[str, str]()
    for members in groups.values():
        for found, name in ((arms, "arm"), (firsts, "first_arm")):
            there = sorted((getattr(unit, name) for unit in members), key=lambda arm: order.get(arm, -1))
            turns = _in_turn(there)
            found.update(zip((unit.key for unit in members), turns, strict=True))
    return tuple(replace(unit, arm=arms[unit.key], first_arm=firsts[unit.key], position="") for unit in plan.units)


def _in_turn(arms: Sequence[str]) -> list[str]:
    """The same arms as often, in turn: R R C C becomes R C R C.

    >>> _in_turn(["R", "R", "C", "C", "C"])
    ['R', 'C', 'R', 'C', 'C']
    """
    left: dict[str, int] = {}
    for arm in arms:
        left[arm] = left.get(arm, 0) + 1
    turns: list[str] = []
    while len(turns) < len(arms):
        for arm in left:
            if left[arm]:
                left[arm] -= 1
                turns.append(arm)
    return turns


def _tanks(setup: Setup, other: OtherTanks) -> tuple[Tank, ...]:
    """The other keeper's tanks under the first one's keys; the water stands as far below the rim."""
    if len(other.sizes) not in (1, len(setup.tanks)):
        raise InputError("the number of tanks", len(other.sizes), f"one size for all tanks, or {len(setup.tanks)} of them, one for each")
    made = []
    for number, tank in enumerate(setup.tanks):
        length, width, height = (10 * side for side in other.sizes[number if len(other.sizes) > 1 else 0])
        glass, air = other.glass_mm, tank.inner_height_mm - tank.water_mm
        water = height - glass - (air if air > 0 else _WATER_BELOW_RIM_MM) if other.water_line_cm is None else 10 * other.water_line_cm
        if not 0 < water <= height - glass or min(length, width) <= 4 * glass:
            raise InputError("the tank", f"{length / 10:g} x {width / 10:g} x {height / 10:g} cm with {glass:g} mm glass and the water at "
                             f"{water / 10:g} cm", "a tank whose water line lies inside it",
                             "Length x width x height in cm, such as 60x30x36.")
        made.append(replace(tank, length_mm=length, width_mm=width, height_mm=height, glass_mm=glass, bottom_glass_mm=None,
                            water_mm=round(water, 1),
                            divider_glass_mm=glass if tank.dividers else 0.0, title=""))
    return tuple(made)


def _plan_moved(old: Plan, new: Plan) -> list[Moved]:
    """What became of the plan."""
    arms = ", ".join(arm.label for arm in old.arms)
    measures = ", ".join(measure.title or measure.key.replace("_", " ") for measure in old.measures)
    primary = next(measure for measure in old.measures if measure.role == "primary")
    margin = "none" if primary.margin is None else f"{primary.margin:g} on the scale of judging"
    same: Mapping[str, str] = {"question": old.question or "none written down", "the change": old.change or "not described", "arms": arms,
                               "measures": measures, "smallest difference that matters": margin, "days": str(old.days),
                               "tanks": str(len(old.units))}
    return [*(Moved(TAKEN, what, value, value) for what, value in same.items()),
            Moved(RECKONED, "day 0", old.start.isoformat(), new.start.isoformat()),
            Moved(OPEN, "which tank has which arm: draw the lot (fairtank draw)", f"seed {old.seed}" if old.seed is not None else "", ""),
            *([Moved(OPEN, "whether those who score are kept from knowing the arms (blinded = true in trial.toml)", "they were", "")]
              if old.blinded else []),
            *_of_place(old),
            Moved(OPEN, "the seal, once the plan stands (fairtank seal)", "", ""),
            Moved(OPEN, "who keeps the tanks, where they stand, who gave or sold anything", "", "")]


def _of_place(plan: Plan) -> list[Moved]:
    """What was carried over though it belongs to the first keeper's place: the other one has to say whether it holds at theirs too."""
    blocks: dict[str, list[str]] = {}
    for unit in plan.units:
        if unit.block:
            blocks.setdefault(unit.block, []).append(unit.key)
    told = []
    if plan.shared_water:
        told.append(Moved(OPEN, "whether water runs from tank to tank at yours too: carried over, so confirm it, or change it "
                                "(shared_water in trial.toml)", "it does", ""))
    if blocks:
        there = "; ".join(f"{block}: {', '.join(units)}" for block, units in blocks.items())
        told.append(Moved(OPEN, "which tanks stand together as a block: carried over, so confirm it, or change it before you draw the lot "
                                "(block in trial.toml)", there, ""))
    return told


def _to_confirm(plan: Plan) -> str:
    """The head of trial.toml that says so, where there is something of the kind."""
    carried = [*(["shared_water"] if plan.shared_water else []), *(["block"] if any(unit.block for unit in plan.units) else [])]
    return "" if not carried else (f"# {' and '.join(carried)}: carried over from the trial that this one repeats. Confirm that it is so "
                                   "with your tanks, or change it.\n")


def _write(root: Path, texts: Mapping[str, str]) -> None:
    """The new folder, whole or not at all."""
    partial = root.parent / f".{root.name}.{os.urandom(4).hex()}.partial"
    try:
        partial.mkdir(parents=True)
        for path, text in texts.items():
            (partial / path).write_text(text, encoding="utf-8")
        if root.exists():
            root.rmdir()
        partial.rename(root)
    except OSError as error:
        raise JobError(f"{root} cannot be written: {plain_reason(error)}.") from error
    finally:
        shutil.rmtree(partial, ignore_errors=True)


