"""One table of setup.toml, asked quantity by quantity: a number in the unit that the key names, or a text with its own unit."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from fairtank.build import ALL_UNITS, Scope
from fairtank.errors import InputError
from fairtank.records.folder.cells import key_checked, number_text
from fairtank.records.folder.paths import CONTROL
from fairtank.records.folder.problems import Problems, Refusal, listed
from fairtank.records.folder.toml_section import MISSING, Section, check_unquoted, toml_shown
from fairtank.units import convert, quantity_from_text, units_like

SETUP_FILE = "setup.toml"
MOST_LISTED = 200
LONGEST_AMOUNT = 60


@dataclass(frozen=True)
class Quantity:
    """One kind of quantity: the unit that its keys end in, its range in that unit, and a text with a unit as an example.

    unit: a name of the table of units, empty for pure numbers and shares. example: empty where only a number may stand there. shift:
    how many powers of ten lie between that unit and the one inside (cm in the file, mm inside: 1). over: low itself is too low.
    """

    unit: str
    low: float
    high: float
    example: str = ""
    shift: int = 0
    over: bool = False

    @property
    def accepted(self) -> str:
        """What may stand there, in words."""
        low, high = number_text(self.low), number_text(self.high)
        span = f"above {low} up to {high}" if self.over else f"from {low} to {high}"
        unit = "weeks" if self.unit == "week" else self.unit
        return f"a number {span} {unit}".rstrip() + (f', or a text with its unit such as "{self.example}"' if self.example else "")

    def inside(self, value: float) -> float:
        """The value in the unit that is used inside; moving the decimal point loses nothing."""
        return float(Decimal(repr(value)).scaleb(self.shift))

    def outside(self, value: float) -> float:
        """A value from inside in the unit of the file."""
        return float(Decimal(repr(float(value))).scaleb(-self.shift))


LENGTH = Quantity("cm", 5, 500, "24 in", 1)
HEIGHT = Quantity("cm", 5, 200, "14 in", 1)
WATER_LINE = Quantity("cm", 1, 200, "13 in", 1)
DEPTH = Quantity("cm", 0, 100, "2 in", 1, over=True)
SLOPE_DEPTH = Quantity("cm", 0, 100, "2 in", 1)
GLASS = Quantity("mm", 1, 30, "0.25 in")
MASS = Quantity("kg", 0, 5000, "3 lb", over=True)
DEVICE_MASS = Quantity("kg", 0, 500, "3 lb")
DISPLACED = Quantity("L", 0, 500, "300 mL")
BAG = Quantity("L", 0, 5000, "2 US gal", over=True)
BULK_DENSITY = Quantity("kg/L", 0.05, 5, "50 lb/ft3")
PARTICLE_DENSITY = Quantity("kg/L", 0.5, 8, "2.65 g/cm3")
SHARE = Quantity("", 0, 1, "30 %")
WASTE = Quantity("", 0, 5, "10 %")
PRICE = Quantity("", 0, 1e7)
PARTS = Quantity("", 0, 1e6)
PIECES = Quantity("", 0, 10_000, over=True)
PIECES_OWNED = Quantity("", 0, 10_000)
PLANTS_PER_AREA = Quantity("", 0, 1000, over=True)
AREA = Quantity("cm2", 0, 250_000, "50 in2", over=True)
POWER = Quantity("W", 0, 5000, "0.5 kW")
HOURS = Quantity("h", 0, 24, "480 min")
FLOW = Quantity("L/h", 0, 50_000, "90 US gal/h")
CURRENT = Quantity("mA", 0, 10_000, "0.2 A")
LIGHT = Quantity("umol/m2/s", 0, 3000, over=True)
LUX = Quantity("lux", 0, 200_000, "2 klx", over=True)
GENERAL_HARDNESS = Quantity("dGH", 0, 100, "90 mg/L CaCO3")
CARBONATE_HARDNESS = Quantity("dKH", 0, 100, "70 mg/L CaCO3")
CONDUCTIVITY = Quantity("uS/cm", 0, 20_000, "0.4 mS/cm")
IONS = Quantity("mg/L", 0, 10_000, "0.05 g/L")
LABEL = Quantity("g/L", 0, 2000, "500 mg/L")
TEMPERATURE = Quantity("degC", 1, 40, "78 degF")
ROOM_TEMPERATURE = Quantity("degC", -10, 45, "65 degF")
DOSE_MASS = Quantity("mg", 0, 1e6, "0.25 g", over=True)
DOSE_VOLUME = Quantity("mL", 0, 1e5, "0.1 US fl oz", over=True)
TIMES_A_WEEK = Quantity("", 0, 100, over=True)
CHANGES_A_WEEK = Quantity("", 0, 21)
WEEKS = Quantity("week", 0, 520, "42 d", over=True)


class SetupSection(Section):
    """One table of setup.toml at a place such as `[money]` or `[[tank]] 2`."""

    def __init__(self, place: str, table: dict[str, Any], problems: Problems) -> None:
        super().__init__(place, table, problems, SETUP_FILE)
        self._inside: list[SetupSection] = []

    def inner_leftovers(self) -> list[tuple[str, str, Any]]:
        """Place, key and value of what nobody asked for in the tables inside this one."""
        found: list[tuple[str, str, Any]] = []
        for inner in self._inside:
            found += [(inner.place, key, value) for key, value in inner.leftovers().items()] + inner.inner_leftovers()
        return found

    def quantity(self, key: str, kind: Quantity, default: Any = MISSING) -> Any:
        """A quantity in the unit that is used inside; None after a problem was noted."""
        return self._ask(key, default, lambda value: kind.inside(_measured(value, kind)), kind.accepted)

    def checked(self, key: str, check: Callable[[Any], Any], accepted: str) -> Any:
        """A value after a check of the caller's own; None where the key is left out, and after a problem was noted."""
        return self._ask(key, None, check, accepted)

    def amounts(self, key: str, kind: Quantity) -> tuple[tuple[str, float], ...] | None:
        """A table of numbers by name, such as {Ca = 40, Mg = 8}; empty when left out."""
        accepted = f"a table such as {{Ca = 40, Mg = 8}}, each {kind.accepted}"

        def check(value: Any) -> tuple[tuple[str, float], ...]:
            if not isinstance(value, dict) or len(value) > MOST_LISTED:
                raise Refusal(f"{toml_shown(value)} cannot stand here", accepted)
            return tuple((key_checked(name), kind.inside(_measured(one, kind))) for name, one in value.items())
        return self._ask(key, (), check, accepted)

    def keys(self, key: str) -> tuple[str, ...] | None:
        """A list of keys such as ["T1", "T2"]; empty when left out."""
        accepted = 'a list of texts such as ["T1", "T2"]'

        def check(value: Any) -> tuple[str, ...]:
            if not isinstance(value, list) or len(value) > MOST_LISTED:
                raise Refusal(f"{toml_shown(value)} is not such a list", accepted)
            found = tuple(_key_of(one, accepted) for one in value)
            if len(set(found)) < len(found):
                raise Refusal(f"{toml_shown(value)} names something twice", accepted)
            return found
        return self._ask(key, (), check, accepted)

    def scope(self, units: tuple[str, ...] | None, arms: tuple[str, ...] | None) -> Scope:
        """Which units the line holds for: `units = [...]`, `arms = [...]`, or all. None: what there is cannot be known."""
        named, of_arms = self.keys("units"), self.keys("arms")
        for key, given, known in (("units", named, units), ("arms", of_arms, arms)):
            wrong = tuple(one for one in given or () if known is not None and one not in known)
            if wrong and known:
                noun = "unit" if key == "units" else "arm"
                self.fault(key, f"{listed(wrong, most=3)} {f'is not a {noun}' if len(wrong) == 1 else f'are no {noun}s'} of the trial"
                           .replace("a arm", "an arm"), listed(known))
            elif wrong:
                self.fault(key, "arms are named and there is no trial.toml that says which unit has which", "units = [...] instead")
        return Scope(named or (), of_arms or ()) if named or of_arms else ALL_UNITS

    def part(self, key: str) -> "SetupSection | None":
        """A table inside this one, such as `[water.tap]`; None when it is left out or something else stands there."""
        def check(value: Any) -> SetupSection:
            if not isinstance(value, dict):
                raise Refusal(f"{toml_shown(value)} stands in place of a table", accepted)
            return self._child(self._inner(key), value)
        accepted = f"one table headed [{self.place.strip('[]').split(']')[0]}.{key}]"
        return self._ask(key, None, check, accepted)

    def parts(self, key: str) -> list["SetupSection"]:
        """Tables inside this one, such as `measured = [{...}, {...}]`; empty when they are left out."""
        accepted = f"a list of tables: {key} = [{{...}}, {{...}}]"

        def check(value: Any) -> list[SetupSection]:
            if not isinstance(value, list) or not all(isinstance(one, dict) for one in value) or len(value) > MOST_LISTED:
                raise Refusal(f"{toml_shown(value)} stands in place of a list of tables", accepted)
            return [self._child(f"{self._inner(key)} {number}", one) for number, one in enumerate(value, start=1)]
        return self._ask(key, [], check, accepted) or []

    def _child(self, place: str, table: dict[str, Any]) -> "SetupSection":
        self._inside.append(SetupSection(place, table, self._problems))
        return self._inside[-1]

    def _inner(self, key: str) -> str:
        """The place of a table inside this one: `[water.tap]`, or `[[water]] 2, tap`."""
        return f"{self.place}, {key}" if self.place.startswith("[[") else f"{self.place[:-1]}.{key}]"

    def only(self, keys: tuple[str, ...], accepted: str, *, needed: bool = True) -> str:
        """The one of these keys that stands there; empty after a problem was noted, or where none is needed."""
        there = [key for key in keys if self.has(key)]
        if len(there) > 1:
            self.fault(there[1], f"{there[0]} stands there too", accepted)
        elif not there and needed:
            self.fault(keys[0], "the key is missing", accepted)
        for key in keys:
            self._asked[key] = None
        return there[0] if len(there) == 1 else ""


def _key_of(value: Any, accepted: str) -> str:
    """A key in a list; a whole number counts as text."""
    if type(value) is int and 0 <= value < 10**12:
        return str(value)
    if not isinstance(value, str):
        raise Refusal(f"{toml_shown(value)} is not a text", accepted)
    return key_checked(value)


def _measured(value: Any, kind: Quantity) -> float:
    """A number as it stands, or a text with its unit converted; refused where it lies outside the range."""
    if isinstance(value, str) and kind.example:
        number = _from_text(value, kind)
    elif type(value) in (int, float):
        number = value
    else:
        check_unquoted(value, kind.accepted)
        raise Refusal(f"{toml_shown(value)} is not a number", kind.accepted)
    if not kind.low <= number <= kind.high or (kind.over and number <= kind.low):  # NaN fails too
        raise Refusal(f"{toml_shown(value)} is out of range", kind.accepted)
    return float(number)


def _from_text(text: str, kind: Quantity) -> float:
    """A text such as `24 in` as a number in the unit of the key."""
    if CONTROL.search(text) or len(text) > LONGEST_AMOUNT:
        raise Refusal(f"{toml_shown(text)} is not a number with its unit", kind.accepted)
    try:
        number, unit = quantity_from_text(text)
        if not unit:
            raise Refusal(f"{toml_shown(text)} carries no unit", kind.accepted)
        return round(convert(number, unit, kind.unit), 9)
    except InputError as error:
        hint = error.hint.rstrip(".")
        alike = f"{kind.accepted}; units: {listed(units_like(kind.unit), most=12)}"
        raise Refusal(f"{toml_shown(text)} cannot stand here{f' ({hint})' if hint else ''}", alike) from None
