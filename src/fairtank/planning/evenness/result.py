"""What the evenness check found, as frozen dataclasses: one entry for each factor, in the order in which a reader should see them."""

from dataclasses import dataclass

from fairtank.planning.effects.side_effect import SideEffect
from fairtank.planning.evenness.gathering import Contradiction
from fairtank.planning.evenness.told import Value

# How a factor lies to the arms, in the order in which they are told.
VERDICTS = ("confounded", "side_effect", "change", "crossed", "within", "even", "not_recorded")


@dataclass(frozen=True)
class ArmValue:
    """A factor in one arm: key of the arm, of how many of its units it is known and how many there are, keys of those, and
    what it is there.

    mean, low, high: of numbers; None for words. words: what the units have, each with how many of them.
    """

    arm: str
    known: int
    units: int
    keys: tuple[str, ...] = ()
    mean: float | None = None
    low: float | None = None
    high: float | None = None
    words: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class FactorCheck:
    """What was found of one factor.

    key, title, moves, remedy: as declared in the registry. unit: of the numbers; empty for words, `h (clock)` for clock times, `day` for
    days of the trial. verdict: one of VERDICTS. part: of a factor in several parts, the one that decided (an ion, a person). values: unit
    and value of that part, in the order of the plan. deviations: unit and how many tolerances its number lies from the middle of the
    reference arm; 0 or 1 for words that are the reference's usual one or not. arms: what each arm has, the reference first. tolerance: how
    far tanks may differ, in unit; None for words. difference: between the arms that decided, the first being `against` and the second
    `arm`; None for words. where: the files it is known from. contradictions: files that say something else. is_declared: of the change,
    whether trial.toml names it; of a factor that may be the change, not. may_be_the_change: the plan's words or setup.toml speak of it and
    trial.toml does not name what the change is meant to move. cause: of a side effect, what brings it. effects: what was worked out of
    setup.toml. is_worked_out: the values were not recorded, but follow from setup.toml. crossed_by: `blocks`, `swap`, `units`, or empty.
    is_part_seen: days before the change show part of it. may_follow: the change itself may have moved it, as it is read while the trial
    runs. weight: how much it usually moves the primary measure, 1 to 3. size: how many tolerances the arms differ. recorded: of how many
    units it is known. is_lopsided: it is known of the arms in unlike shares. is_leaning: of what is called crossed, whether one arm
    has more of it all the same. is_unchanged: the change is meant to move it (or, with may_be_the_change, the plan's words speak of it and
    nothing else is known to be the change), and the arms have the same of it.
    """

    key: str
    title: str
    unit: str
    verdict: str
    moves: str
    remedy: str
    weight: int
    values: tuple[tuple[str, Value], ...] = ()
    deviations: tuple[tuple[str, float], ...] = ()
    arms: tuple[ArmValue, ...] = ()
    part: str = ""
    tolerance: float | None = None
    difference: float | None = None
    against: str = ""
    arm: str = ""
    where: tuple[str, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    is_declared: bool = False
    may_be_the_change: bool = False
    cause: str = ""
    effects: tuple[SideEffect, ...] = ()
    is_worked_out: bool = False
    crossed_by: str = ""
    is_part_seen: bool = False
    may_follow: bool = False
    size: float = 0.0
    recorded: int = 0
    is_lopsided: bool = False
    is_leaning: bool = False
    is_unchanged: bool = False


@dataclass(frozen=True)
class Evenness:
    """The whole check: factors in the order in which they are told, arms with their units (the reference first), and the primary measure.

    reference: key of the reference arm. primary: key of the primary measure. change: what the plan calls the change. design: its kind.
    change_factors: as trial.toml names them.
    """

    checks: tuple[FactorCheck, ...]
    units: tuple[tuple[str, str], ...]
    reference: str
    primary: str
    change: str
    design: str
    change_factors: tuple[str, ...] = ()

    @property
    def unchanged(self) -> tuple[FactorCheck, ...]:
        """The factors in which the arms should differ and do not."""
        return tuple(check for check in self.checks if check.is_unchanged)

    def with_verdict(self, *verdicts: str) -> tuple[FactorCheck, ...]:
        """The factors of these verdicts, in order."""
        return tuple(check for check in self.checks if check.verdict in verdicts)
