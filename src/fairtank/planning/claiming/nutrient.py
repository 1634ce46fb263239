"""Could a test kit tell what a fertiliser adds to this tank?"""

import math
from dataclasses import dataclass
from functools import cached_property

from fairtank.errors import InputError
from fairtank.planning.claiming.claim import (
    ASSUMED,
    CLAIM_OUTPUTS,
    GIVEN,
    LIVELIER,
    PRACTICE,
    RECALLED,
    SMALL_SHARE,
    Case,
    Claim,
    Fact,
    Meanwhile,
    Meter,
    Span,
    Step,
    judged,
)
from fairtank.planning.claiming.plants_day import PLANTS, plants_dry_g
from fairtank.planning.claiming.single import mark_of, single, word_or_number
from fairtank.registry import Input, calculator
from fairtank.science.ranges import one_of


@dataclass(frozen=True)
class Nutrient:
    """One ion: how a usual test errs (a fixed part [mg/L] and a share of what it reads) and what a gram of new dry plants holds [mg]."""

    own_error_mg_l: float
    relative_error: float
    content_mg_g: tuple[float, float]


# Errors of usual kits: colour cards and turbidity (nitrate, phosphate, iron, potassium), counted drops (calcium, magnesium, as the
# difference of two counts): common practice, no source. Contents: usual ranges of the elements in water plants, as the ion that the
# test shows (nitrate 4.43 x N, phosphate 3.07 x P): literature values, from memory.
NUTRIENTS = {
    "nitrate": Nutrient(1.5, 0.2, (65.0, 180.0)),
    "phosphate": Nutrient(0.1, 0.2, (6.0, 15.0)),
    "potassium": Nutrient(1.0, 0.15, (20.0, 40.0)),
    "iron": Nutrient(0.05, 0.25, (0.1, 1.0)),
    "calcium": Nutrient(3.0, 0.03, (5.0, 20.0)),
    "magnesium": Nutrient(2.5, 0.05, (2.0, 5.0)),
}
# New growth in a week as a share of the dry mass that is there. An assumption, no source.
WEEKLY_GROWTH = (0.05, 0.25)
DAYS_A_WEEK = 7.0
USUAL = "usual"

_ION = Input("ion", "what the test shows", choices=tuple(NUTRIENTS))
_VOLUME = Input("volume_l", "water in the tank", "L", 1, 5000)
_LEVEL = Input("level_mg_l", "what the test shows without it", "mg/L", 0, 500)
_GAIN = Input("gain_mg_l", "what it is said to add in a week; 0 where another way is given", "mg/L", 0, 500, default=0.0)
_MASS = Input("mass_mg", "what it holds of the ion for a week; 0 where another way is given", "mg", 0, 1e6, default=0.0)
_TIMES = Input("times", "how many times the level it is said to make; 1 where another way is given", "", 1, 100, default=1.0)
_CHANGE = Input("change_fraction", "share of the water that is changed each week", "", 0, 0.95, default=0.3)
_WEEKS = Input("weeks", "whole weeks until the test is read", "", 1, 104, default=8.0)
_ERROR = Input("test_error_mg_l", "standard deviation of a reading, or usual for a usual kit", "mg/L", 0.001, 100, choices=(USUAL,),
               default=USUAL)


@calculator(title="Claim check: fertiliser", sources=("arithmetic", "common_practice"), outputs=CLAIM_OUTPUTS,
            inputs=(_ION, _VOLUME, _LEVEL, _GAIN, _MASS, _TIMES, _CHANGE, _WEEKS, _ERROR, PLANTS))
def nutrient_claim(
    ion: str, volume_l: float, level_mg_l: float, gain_mg_l: float = 0.0, mass_mg: float = 0.0, times: float = 1.0,
    change_fraction: float = 0.3, weeks: float = 8.0, test_error_mg_l: str | float = "usual", plants: str | float = "many",
) -> Claim:
    """Whether what a fertiliser adds of a nutrient could be told by a test kit in this tank.

    Said either as what is added in a week (mg/L, or mg for the whole tank) or as how many times the level it makes. What is added week by
    week builds up and is thinned by water changes; livelier plants may take up more of it. New water is taken to bring the same to all
    tanks.

    Parameters
    ----------
    ion : str
        What the test shows. [-]
    volume_l : float
        Water in the tank. [L], 1 to 5000.
    level_mg_l : float
        What the test shows without it. [mg/L], 0 to 500.
    gain_mg_l : float
        What it is said to add in a week; 0 where another way is given. [mg/L], 0 to 500.
    mass_mg : float
        What it holds of the ion for a week; 0 where another way is given. [mg], 0 to 1e+06.
    times : float
        How many times the level it is said to make; 1 where another way is given. [-], 1 to 100.
    change_fraction : float
        Share of the water that is changed each week, after the test is read. [-], 0 to 0.95.
    weeks : float
        Whole weeks until the test is read. [-], 1 to 104.
    test_error_mg_l : str or float
        Standard deviation of one reading, or `usual` for that of a usual kit. [mg/L], 0.001 to 100.
    plants : str or float
        Plants in the tank, as a word; or their dry mass. [g], 0 to 2000.

    Returns
    -------
    Claim
        Rise, what the plants take up in a week, smallest change that can be seen, and the verdict.

    Raises
    ------
    InputError
        If not exactly one way of saying it is given, a word is not known, several numbers are given for one, or weeks are not whole.
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: doses and water changes, week by week. common_practice: errors of kits, growth and content of plants (keys from
    sources.py).

    Examples
    --------
    >>> nutrient_claim("nitrate", 60, 10, times=2).verdict
    'measurable'
    """
    tank = _Tank(one_of(_ION, ion), single(_VOLUME, volume_l), single(_LEVEL, level_mg_l), single(_CHANGE, change_fraction),
                 _whole(single(_WEEKS, weeks)), plants, test_error_mg_l)
    claimed = _claimed(single(_GAIN, gain_mg_l), single(_MASS, mass_mg), single(_TIMES, times), tank.level_mg_l)
    low, high = tank.effect_mg_l(claimed)
    uptake, meter = tank.uptake_mg_l, tank.meter
    changed = tank.change_fraction * tank.level_mg_l
    meanwhile = (
        Meanwhile("weekly uptake by the plants", *uptake, "mg/L", decides=True),
        *((Meanwhile("weekly water change takes away", changed, changed, "mg/L"),) if changed else ()),
    )
    cases = (Case(low, high, uptake[1]),)
    facts = (
        claimed,
        *tank.facts(),
        Fact.of("meter_own", "standard deviation of a reading, fixed part", meter.own, "mg/L", tank.meter_mark),
        Fact.of("meter_relative", "and the part that grows with the reading", meter.relative, "", tank.meter_mark),
    )
    return judged("nutrient", tank.ion, "mg/L", cases=cases, meter=meter, meanwhile=meanwhile, times=tank.times(), needs=tank.needs(),
                  assumptions=facts, steps=tank.steps(claimed, (low, high)), remarks=("kit", "new_water"))


@dataclass(frozen=True)
class _Tank:
    """The tank as a dissolved nutrient sees it."""

    ion: str
    volume_l: float
    level_mg_l: float
    change_fraction: float
    weeks: int
    plants: str | float
    test_error: str | float

    @cached_property
    def plants_g(self) -> float:
        """Dry mass of the plants."""
        return plants_dry_g(self.plants, self.volume_l)

    @cached_property
    def meter(self) -> Meter:
        """How a reading errs: as given, else as a usual kit of this ion."""
        known, usual = word_or_number(_ERROR, self.test_error), NUTRIENTS[self.ion]
        if isinstance(known, str):
            return Meter(self.level_mg_l, usual.own_error_mg_l, usual.relative_error)
        return Meter(self.level_mg_l, known, 0.0)

    @property
    def meter_mark(self) -> str:
        """Where the error of a reading comes from."""
        return PRACTICE if self.test_error == USUAL else GIVEN

    @cached_property
    def uptake_mg_l(self) -> tuple[float, float]:
        """What the plants take up in a week, slow and lively."""
        slow, lively = (self.plants_g / self.volume_l * growth * content
                        for growth, content in zip(WEEKLY_GROWTH, NUTRIENTS[self.ion].content_mg_g, strict=True))
        return slow, lively

    @property
    def livelier_mg_l(self) -> float:
        """How much more lively plants take up in a week than slow ones."""
        return self.uptake_mg_l[1] - self.uptake_mg_l[0]

    @property
    def held_weeks(self) -> float:
        """How many weekly gains are in the water when the test is read, before that week's change: 1 + (1 − x) + (1 − x)² and so on."""
        kept = 1 - self.change_fraction
        return sum(kept**week for week in range(self.weeks))

    def effect_mg_l(self, claimed: Fact) -> tuple[float, float]:
        """The rise: as said, or what the weekly gains come to, with the plants taking up as much more as they may and with none more."""
        if claimed.key == "times":
            rise = (claimed.high - 1) * self.level_mg_l
            return rise, rise
        gain = claimed.high / self.volume_l if claimed.key == "mass_mg" else claimed.high
        return max(gain - self.livelier_mg_l, 0.0) * self.held_weeks, gain * self.held_weeks

    def times(self) -> tuple[Span, ...]:
        """How long the build-up takes; nothing where no water is changed, because it then goes on and on."""
        if not self.change_fraction:
            return ()
        constant = -DAYS_A_WEEK / math.log1p(-self.change_fraction)
        return (Span.of("time to get 63 % of the way", constant, "d"),)

    def needs(self) -> tuple[Span, ...]:
        """The rise that is large enough with these plants and with none, and the weekly gain behind each; nothing where none could be."""
        seen = self.meter.smallest_seen
        if seen is None:
            return ()
        rise = max(seen, SMALL_SHARE * self.uptake_mg_l[1])
        weekly = rise / self.held_weeks + self.livelier_mg_l
        return (
            Span.of("rise in this tank", rise, "mg/L"),
            Span.of("weekly gain in this tank", weekly, "mg/L"),
            Span.of("rise with no plants", seen, "mg/L"),
            Span.of("weekly gain with no plants", seen / self.held_weeks, "mg/L"),
        )

    def facts(self) -> tuple[Fact, ...]:
        """What the tank rests on."""
        word = self.plants if self.plants in PLANTS.choices else ""
        rates = (
            Fact("growth", "new growth in a week, as a share of the dry mass", *WEEKLY_GROWTH, "", ASSUMED),
            Fact("content", f"{self.ion} taken up for a gram of new dry growth", *NUTRIENTS[self.ion].content_mg_g, "mg", RECALLED),
        )
        return (
            Fact.of("level_mg_l", f"{self.ion} without it", self.level_mg_l, "mg/L", GIVEN),
            Fact.of("volume_l", "water in the tank", self.volume_l, "L", GIVEN),
            Fact.of("change_fraction", "share of the water changed each week", self.change_fraction, "",
                    mark_of(_CHANGE, self.change_fraction, ASSUMED)),
            Fact.of("weeks", "weeks until the test is read", self.weeks, "", mark_of(_WEEKS, self.weeks, ASSUMED)),
            Fact.of("plants", "dry mass of the plants", self.plants_g, "g", ASSUMED if word else GIVEN, str(word)),
            *(rates if self.plants_g else ()),
        )

    def steps(self, claimed: Fact, effect: tuple[float, float]) -> tuple[Step, ...]:
        """The working."""
        taken = (Step("weekly uptake by the plants", "dry mass / water × new growth × content", *self.uptake_mg_l, "mg/L"),
                 *((Step.of(LIVELIER, "largest less smallest uptake", self.livelier_mg_l, "mg/L"),) if self.plants_g else ()))
        if claimed.key == "times":
            keep = effect[1] * self.change_fraction
            return (
                Step("rise", "(times − 1) × level", *effect, "mg/L"), *taken,
                Step.of("to keep the rise, to be added each week",
                        "rise × share of the water changed" + (", where plants take up no more than before" if self.plants_g else ""),
                        keep, "mg/L"),
            )
        gain = claimed.high / self.volume_l if claimed.key == "mass_mg" else claimed.high
        added = (Step.of("gain in a week", "mass / water", gain, "mg/L"),) if claimed.key == "mass_mg" else ()
        bound = gain / self.change_fraction if self.change_fraction else gain * self.weeks
        return (
            *added, *taken,
            Step.of("weekly gains in the water when the test is read", "1 + kept + kept² + … over the weeks", self.held_weeks, ""),
            Step("rise", f"weekly gain{', less what livelier plants may take up of it,' if self.plants_g else ''} × weekly gains in the "
                 "water", *effect, "mg/L"),
            Step.of("what the rise never exceeds", "weekly gain / share of the water changed", bound, "mg/L"),
        )


def _whole(weeks: float) -> int:
    if weeks != int(weeks):
        raise InputError("weeks", f"{weeks:g}", "a whole number of weeks")
    return int(weeks)


def _claimed(gain_mg_l: float, mass_mg: float, times: float, level_mg_l: float) -> Fact:
    """The one way in which the claim was said."""
    ways = [
        Fact.of("gain_mg_l", "said to add in a week", gain_mg_l, "mg/L", GIVEN),
        Fact.of("mass_mg", "held for a week's dose", mass_mg, "mg", GIVEN),
        Fact.of("times", "times the level it is said to make", times, "", GIVEN),
    ]
    said = [way for way in ways if way.high > (1 if way.key == "times" else 0)]
    if len(said) != 1:
        raise InputError("gain_mg_l", f"{gain_mg_l:g}, mass_mg {mass_mg:g} and times {times:g}", "exactly one of the three said",
                         "Leave gain_mg_l and mass_mg at 0 and times at 1 where they are not the way it is claimed.")
    if said[0].key == "times" and not level_mg_l:
        raise InputError("level_mg_l", "0", "above 0 where times is given", "A multiple of nothing is nothing; say what is added instead.")
    return said[0]
