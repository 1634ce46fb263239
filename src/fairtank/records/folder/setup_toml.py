"""setup.toml as a setup: what is to be built, every key checked, and the keys checked against each other and against the plan."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from fairtank.build import Material, Money, Scope, Setup, Tank
from fairtank.records.folder import setup_toml_checks as checks
from fairtank.records.folder import setup_toml_parts as parts
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.setup_toml_section import PRICE, SETUP_FILE, WASTE, WEEKS, SetupSection
from fairtank.records.folder.toml_section import MISSING, toml_shown
from fairtank.records.folder.toml_text import document_from_text
from fairtank.records.folder.unknown_keys import heads_corrected
from fairtank.trial import Plan

# In the order in which people read and write them.
SETUP_HEADS = ("setup", "money", "tank", "material", "layer", "rock", "wood", "plant", "device", "light", "water", "dose")
MOST_TABLES = 500
_EXAMPLE = "the example setup (docs/guide/trial-folder.md shows one)"
Noun = TypeVar("Noun")


@dataclass
class SetupDraft:
    """What could be read of setup.toml: the setup, None where something is at fault, and the keys that nobody asked for.

    unknown holds place, key and value of each; the place of a tank names its first key, because like tanks are written as one.
    """

    setup: Setup | None = None
    unknown: list[tuple[str, str, Any]] = field(default_factory=list)


@dataclass(frozen=True)
class Against:
    """What the setup is checked against: the plan, or that there is none, or that it cannot be known."""

    plan: Plan | None
    is_alone: bool

    @property
    def arms(self) -> tuple[str, ...] | None:
        """The arms that may be named."""
        return tuple(arm.key for arm in self.plan.arms) if self.plan else () if self.is_alone else None


def setup_from_text(text: str, plan: Plan | None, problems: Problems, *, is_alone: bool = False) -> SetupDraft:
    """The setup that a text of setup.toml describes.

    Parameters
    ----------
    text : str
        The content of the file.
    plan : Plan or None
        The plan of trial.toml, which says which unit stands in which tank; None where it cannot be read.
    problems : Problems
        Collects everything that is wrong.
    is_alone : bool
        There is no trial.toml: every tank, or every compartment of one, is a unit.
    """
    document = document_from_text(SETUP_FILE, text, _EXAMPLE, problems)
    if document is None:
        return SetupDraft()
    found = Problems()
    draft = _Reading(document, Against(plan, is_alone), found).draft()
    problems.take(found)
    if found:
        draft.setup = None
    return draft


class _Reading:
    """One reading of a document, table by table."""

    def __init__(self, document: dict[str, Any], against: Against, problems: Problems) -> None:
        self.document = heads_corrected(document, SETUP_HEADS, SETUP_FILE, problems)
        self.against, self.problems = against, problems
        self.sections: list[tuple[str, SetupSection]] = []

    def draft(self) -> SetupDraft:
        """Everything, in the order of the heads."""
        plan, problems = self.against.plan, self.problems
        general, money = self.one("setup"), self.one("money")
        tank_sections = self.many("tank", is_needed=True)
        tank_groups = [parts.tanks_from(section) for section in tank_sections]
        checks.check_tank_keys(tank_sections, tank_groups)
        tanks = tuple(tank for group in tank_groups for tank in group)
        if (count := sum(tank.compartments for tank in tanks if tank.dividers is not None)) > MOST_TABLES:
            problems.add(SETUP_FILE, None, "[[tank]]", f"there are {count} tanks and compartments", f"at most {MOST_TABLES}")
        is_sound = bool(tanks) and not problems
        places = () if not is_sound else checks.places_alone(tanks) if self.against.is_alone else \
            checks.places_from_plan(plan, tanks, problems) if plan else ()
        arms = {unit.key: unit.first_arm or unit.arm for unit in plan.units} if plan else {}
        units = {unit: arms.get(unit, "") for unit, _ in places} if places else None
        materials = self.materials()
        known = tuple(units) if units else None, self.against.arms
        given: dict[str, Any] = {
            "layers": self.lines("layer", parts.layer_from, ("layer",), materials, known),
            "rocks": self.lines("rock", parts.piece_from, ("rock",), materials, known),
            "woods": self.lines("wood", parts.piece_from, ("wood",), materials, known),
            "plantings": self.lines("plant", parts.planting_from, ("plant",), materials, known),
            "devices": self.devices(known),
            "light": self.held_once("light", parts.light_from, known, units),
            "water": self.held_once("water", parts.water_from, known, units),
            "doses": self.lines("dose", parts.dose_from, None, materials, known),
            "money": Money(money.text("currency"), money.quantity("electricity_per_kwh", PRICE, None)),
            "waste_fraction": general.quantity("waste_fraction", WASTE, Setup.waste_fraction),
            "weeks": general.quantity("weeks", WEEKS, self.usual_weeks()),
        }
        self.check_labels(tanks, materials)
        draft = SetupDraft(unknown=self.unknown(tank_groups))
        if not problems and places:
            draft.setup = Setup(tanks=tanks, places=places, materials=tuple((materials or {}).values()), **given,
                                arms=tuple(arms.items()))
        return draft

    def usual_weeks(self) -> Any:
        """How long the trial runs where setup.toml does not say: the days of the plan; needed where there is no plan, or one of a day."""
        plan = self.against.plan
        if plan is None:
            return MISSING if self.against.is_alone else None
        return plan.days / 7 if plan.days else MISSING

    def one(self, name: str) -> SetupSection:
        """A table that stands once; an empty one when it is left out."""
        table = self.document.get(name, {})
        if not isinstance(table, dict):
            self.problems.add(SETUP_FILE, None, f"[{name}]", f"{toml_shown(table)} stands in place of a table",
                              f"one table headed [{name}]")
            table = {}
        return self.kept(name, SetupSection(f"[{name}]", table, self.problems))

    def many(self, name: str, *, is_needed: bool = False, or_once: bool = False) -> list[SetupSection]:
        """Tables that stand once for each thing; or_once: one table headed [name] will do."""
        tables = self.document.get(name, [])
        if or_once and isinstance(tables, dict):
            return [self.one(name)]
        accepted = f"one table headed [[{name}]] for each {name}"
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            self.problems.add(SETUP_FILE, None, f"[[{name}]]", f"{toml_shown(tables)} stands in place of a list of tables", accepted)
            return []
        if is_needed and not tables:
            self.problems.add(SETUP_FILE, None, f"[[{name}]]", f"no {name} is described", f"{accepted}, with its sizes")
        if len(tables) > MOST_TABLES:
            self.problems.add(SETUP_FILE, None, f"[[{name}]]", f"there are {len(tables)} such tables", f"at most {MOST_TABLES}")
            return []
        return [self.kept(name, SetupSection(f"[[{name}]] {number}", table, self.problems)) for number, table in enumerate(tables, start=1)]

    def kept(self, name: str, section: SetupSection) -> SetupSection:
        """The section, noted so that what nobody asks of it is found at the end."""
        self.sections.append((name, section))
        return section

    def materials(self) -> dict[str, Material] | None:
        """The catalogue by key; None where a key of it cannot be known."""
        sections = self.many("material")
        found = [parts.material_from(section) for section in sections]
        checks.check_once(sections, [material.key for material in found], "material")
        checks.check_once(sections, [material.title for material in found], "material", "title")
        by_key = {material.key: material for material in found}
        is_sure = None not in by_key and len(by_key) == len(found) == len(self.listed("material"))
        return by_key if is_sure else None

    def listed(self, name: str) -> Sequence[Any]:
        """How many tables of a name there are, in order or not."""
        tables = self.document.get(name, ())
        return tables if isinstance(tables, list) else (tables,)

    def lines(self, name: str, read: Callable[[SetupSection, parts.Known], Noun], kinds: tuple[str, ...] | None,
              materials: dict[str, Material] | None, known: parts.Known) -> tuple[Noun, ...]:
        """Lines that name a material of one of these kinds; None: a dose, of the kind that its amount asks for."""
        found = []
        for section in self.many(name):
            noun: Any = read(section, known)
            checks.check_material(section, noun, checks.dose_kinds(noun) if kinds is None else kinds, materials)
            found.append(noun)
        return tuple(found)

    def devices(self, known: parts.Known) -> tuple[Any, ...]:
        """All devices, each with a key of its own."""
        sections = self.many("device")
        found = tuple(parts.device_from(section, known) for section in sections)
        checks.check_once(sections, [device.key for device in found], "device")
        return found

    def held_once(self, name: str, read: Callable[[SetupSection, parts.Known], Noun], known: parts.Known,
                  units: dict[str, str] | None) -> tuple[Noun, ...]:
        """What a unit can have one of: its light, its water."""
        sections = self.many(name, or_once=True)
        found = tuple(read(section, known) for section in sections)
        scopes: list[Scope] = [noun.scope for noun in found]  # type: ignore[attr-defined]
        checks.check_scopes(sections, scopes, units, name)
        return found

    def check_labels(self, tanks: Sequence[Tank], materials: dict[str, Material] | None) -> None:
        """A title that is the key of another material would make two lines of one name."""
        for number, material in enumerate((materials or {}).values(), start=1):
            if material.title and material.title != material.key and material.title in (materials or {}):
                self.problems.add(SETUP_FILE, None, f"[[material]] {number}, title", f"{material.title} is the key of another material",
                                  "a title of its own for each material")

    def unknown(self, tank_groups: Sequence[tuple[Tank, ...]]) -> list[tuple[str, str, Any]]:
        """Keys that nobody asked for, in the order of the tables."""
        found: list[tuple[str, str, Any]] = []
        groups = iter(tank_groups)
        for name, section in self.sections:
            place = f"[[tank]] {next(groups)[0].key}" if name == "tank" else section.place
            found += [(place, key, value) for key, value in section.leftovers().items()]
        found += [inner for _, section in self.sections for inner in section.inner_leftovers()]
        return found + [("", key, value) for key, value in self.document.items() if key not in SETUP_HEADS]

