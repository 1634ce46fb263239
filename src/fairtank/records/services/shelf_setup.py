"""What goes into the glass of a trial, on the shelf: changed line by line, or as a text; nothing is stored that cannot be read.

A line that is changed by a form is checked with the whole setup, and the whole is then written in the order in which people read it; keys
that fairtank does not know stay. Remarks stay only where the text itself is changed.
"""

import copy
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import tomli_w

from fairtank.build import Setup
from fairtank.errors import FolderError, InputError, Problem
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.paths import TOML_LIMIT_BYTES
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.setup_toml import SETUP_HEADS, setup_from_text
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.setup_toml_writer import text_from_setup
from fairtank.records.folder.unknown_keys import unknown_cells_from_keys
from fairtank.records.models import Tank, Trial, Unit
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.setup_lines import LineRefused, Table, sentences_at
from fairtank.records.services.tanks import table_of_tank
from fairtank.records.services.trail import By
from fairtank.records.services.working import changing
from fairtank.records.writing import text_write
from fairtank.trial import Plan

ONCE = ("setup", "money")
HEAD_WORDS = {"setup": "general", "money": "money", "tank": "tanks", "material": "materials", "layer": "bed", "rock": "stone",
              "wood": "wood", "plant": "plants", "device": "devices", "light": "light", "water": "water", "dose": "doses"}
REASON = "The plan is sealed: say why what goes into the glass is changed. It is told with the finding."


@dataclass(frozen=True)
class SetUp:
    """The setup of a trial as it stands.

    text: of setup.toml, empty where there is none. document: its tables by head, a list under every head that can stand more than once;
    None where the text is no TOML. setup: None where it cannot be used; problems: why. has_remarks: lines with # stand in it.
    """

    trial: Trial
    plan: Plan | None
    text: str
    document: dict[str, Any] | None
    setup: Setup | None
    problems: tuple[Problem, ...]
    unknown: dict[str, str]

    @property
    def mark(self) -> str:
        """Tells this setup from any other, so that a form knows that it was changed meanwhile."""
        return digest_of_bytes(self.text.encode())[:16]

    @property
    def has_remarks(self) -> bool:
        """Whether there are remarks, which a form cannot keep."""
        return any(line.lstrip().startswith("#") for line in self.text.splitlines())

    def lines(self, head: str) -> list[Table]:
        """The tables under a head."""
        found = (self.document or {}).get(head, {} if head in ONCE else [])
        if isinstance(found, dict):
            return [found]
        is_list = isinstance(found, list) and all(isinstance(table, dict) for table in found)
        return list(found) if is_list else []  # what else may stand there is told as a problem

    @property
    def tank_keys(self) -> tuple[str, ...]:
        """The tanks in which the plan's units stand."""
        return () if self.plan is None else tuple(dict.fromkeys(unit.in_tank for unit in self.plan.units))


def set_up(trial: Trial) -> SetUp:
    """The setup of a trial, in one query."""
    papers = papers_of(trial)
    return _read(trial, papers.plan, papers.texts.get(SETUP_FILE, ""))


def _read(trial: Trial, plan: Plan | None, text: str) -> SetUp:
    problems = Problems()
    if not text.strip():
        return SetUp(trial, plan, text, {}, None, (), {})
    draft = setup_from_text(text, plan, problems, is_alone=plan is None)
    unknown = unknown_cells_from_keys(draft.unknown, SETUP_FILE).get(SETUP_FILE, ({},))[0]
    try:
        document: dict[str, Any] | None = _listed(tomllib.loads(text))
    except (ValueError, RecursionError):
        document = None
    return SetUp(trial, plan, text, document, draft.setup, problems.as_error().problems if problems else (), unknown)


def _listed(document: dict[str, Any]) -> dict[str, Any]:
    """Light and water as lists, so that every line has a number."""
    return {head: [value] if head in ("light", "water") and isinstance(value, dict) else value for head, value in document.items()}


def setup_text_store(*, trial: Trial, by: By, text: str, reason: str = "") -> None:
    """Take the setup as a text, to the letter.

    Parameters
    ----------
    trial : Trial
    by : By
    text : str
        The whole text of setup.toml.
    reason : str
        Why; needed once the plan is sealed.

    Raises
    ------
    FolderError
        With every problem of the text, or of what was recorded beside it.
    InputError
        If the text is too long, or the reason is missing.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if len(text.encode()) > TOML_LIMIT_BYTES:
        raise InputError("The setup", f"{len(text.encode())} bytes long", f"a text of at most {TOML_LIMIT_BYTES} bytes")
    plain, now = text.replace("\r\n", "\n").rstrip("\n") + "\n", set_up(trial)
    if plain == now.text:
        return
    read = _read(trial, now.plan, plain)
    if read.setup is None:
        raise FolderError(read.problems or (Problem(SETUP_FILE, None, None, "the text is empty", "at least one [[tank]]"),))
    _store(trial, by, plain, "Changed the text of what goes into the glass", reason)


def line_store(*, trial: Trial, by: By, head: str, number: int, table: Table, mark: str, reason: str = "",
               materials: Mapping[str, Table] | None = None) -> None:
    """Put one line into the setup, or another one in place of a line that is there.

    Parameters
    ----------
    trial : Trial
    by : By
    head : str
        One of SETUP_HEADS.
    number : int
        Of the line, from 1; 0 adds one.
    table : mapping
        The line as setup.toml has it; keys that fairtank does not know stay beside it.
    mark : str
        `SetUp.mark` of the setup that the form showed.
    reason : str
        Why; needed once the plan is sealed.
    materials : mapping, optional
        Tables of the keeper's catalogue by key: one that the line names and the setup does not have yet goes into it.

    Raises
    ------
    LineRefused
        With every problem, by the keys of the table.
    InputError
        If the setup was changed meanwhile, or the reason is missing.

    References
    ----------
    common_practice (keys from sources.py).
    """
    def put(document: dict[str, Any]) -> None:
        if head in ONCE:
            document[head] = table
            return
        lines = document.setdefault(head, [])
        if number:
            lines[number - 1] = table
        else:
            lines.append(table)
        own = (materials or {}).get(str(table.get("material", "")))
        if own is not None and head != "material" and all(one.get("key") != own["key"] for one in document.get("material", [])):
            document.setdefault("material", []).append(own)
    now = _checked(trial, head, number, mark)
    place = f"[{head}]" if head in ONCE else f"[[{head}]] {number or len(now.lines(head)) + 1}"
    verb = "Changed" if number or head in ONCE else "Added"
    _changed(now, by, put, place, f"{verb} a line of the setup: {HEAD_WORDS[head]}", reason)


def line_remove(*, trial: Trial, by: By, head: str, number: int, mark: str, reason: str = "") -> None:
    """Take a line out of the setup.

    Raises
    ------
    LineRefused
        If what is left cannot be built, such as a layer of a material that would be gone.
    InputError
        As `line_store`.
    """
    def take(document: dict[str, Any]) -> None:
        del document[head][number - 1]
    _changed(_checked(trial, head, number, mark), by, take, "", f"Took a line out of the setup: {HEAD_WORDS[head]}", reason)


def tanks_choose(*, trial: Trial, by: By, chosen: Mapping[str, Tank], mark: str, reason: str = "") -> None:
    """Say which tank of the keeper's own each tank of the plan is; the sizes go into the setup.

    Parameters
    ----------
    trial : Trial
    by : By
    chosen : mapping
        Tank of the shelf by the key that the plan gives it; a key that is left out keeps its sizes.
    mark : str
        `SetUp.mark` of the setup that the form showed.
    reason : str
        Why; needed once the plan is sealed.

    Raises
    ------
    LineRefused
        With every problem; under a key of the plan where it is about that tank.
    InputError
        As `line_store`.

    References
    ----------
    common_practice (keys from sources.py).
    """
    now = _checked(trial, "tank", 0, mark)

    def put(document: dict[str, Any]) -> None:
        there = {key: {**{name: value for name, value in table.items() if name != "keys"}, "key": key}
                 for table in document.get("tank", []) for key in keys_of(table)}
        there |= {key: {**table_of_tank(tank), "key": key} for key, tank in chosen.items()}
        document["tank"] = [there[key] for key in now.tank_keys or tuple(there) if key in there]
    missing = {key: "Choose a tank." for key in now.tank_keys if key not in chosen and not _has_tank(now, key)}
    if missing:
        raise LineRefused(missing)
    _changed(now, by, put, "", "Chose the tanks of the units", reason)
    for key, tank in chosen.items():
        units = [unit.key for unit in now.plan.units if unit.in_tank == key] if now.plan else []
        Unit.objects.filter(trial=trial, key__in=units).update(tank=tank)


def _has_tank(now: SetUp, key: str) -> bool:
    return any(key in keys_of(table) for table in now.lines("tank"))


def keys_of(table: Table) -> list[str]:
    """The keys of the tanks that a table describes."""
    keys = table.get("keys", [table.get("key")])
    return [str(key) for key in keys] if isinstance(keys, list) else []


def _checked(trial: Trial, head: str, number: int, mark: str) -> SetUp:
    """The setup as it stands; refused where it is not the one that the form showed."""
    now = set_up(trial)
    if head not in SETUP_HEADS or now.document is None or not 0 <= number <= len(now.lines(head)) or mark != now.mark:
        raise InputError("The setup", "changed since this page was opened", "the line as it stands now",
                         "Look at it again, then change it.")
    return now


def _changed(now: SetUp, by: By, change: Callable[[dict[str, Any]], None], place: str, said: str, reason: str) -> None:
    document = copy.deepcopy(now.document or {})
    change(document)
    read = _read(now.trial, now.plan, tomli_w.dumps(document))
    if read.setup is None:
        raise LineRefused(_once(read.problems, place) if place in ("[setup]", "[money]") else sentences_at(read.problems, place))
    weeks = now.plan.days / 7 if now.plan is not None and now.plan.days else None
    text = text_from_setup(read.setup, read.unknown, usual_weeks=weeks)
    if text != now.text:
        _store(now.trial, by, text, said, reason)


def _once(problems: tuple[Problem, ...], place: str) -> dict[str, str]:
    """As `sentences_at`, for a table that stands once: `[money] currency`."""
    moved = [replace(one, column=(one.column or "").replace(f"{place} ", f"{place}, ", 1)) for one in problems]
    return sentences_at(moved, place)


def _store(trial: Trial, by: By, text: str, said: str, reason: str) -> None:
    why = " ".join(reason.split())
    if trial.sealed_at is not None and not why:
        raise InputError("The reason", "empty", "a few words", REASON)
    with changing(trial=trial, by=by, verb="setup", said=f"{said}: {why}." if why else f"{said}.") as root:
        text_write(root / SETUP_FILE, text)
