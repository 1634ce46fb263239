"""The tank behind a claim about a gas: how fast its surface evens the gas out with the air, and how far its plants swing it in a day."""

from dataclasses import dataclass
from functools import cached_property

from fairtank.planning.claiming.claim import ASSUMED, GIVEN, RECALLED, Fact, Span, Step
from fairtank.planning.claiming.plants_day import DARK_SHARE, LIGHT_HOURS, OXYGEN_RATE_MG_G_H, PLANTS, day_swing_mg_l, plants_dry_g
from fairtank.planning.claiming.single import mark_of, single, word_or_number
from fairtank.registry import Input
from fairtank.science.gases import SURFACES, exchange_mg_h, time_constant_h

VOLUME = Input("volume_l", "water in the tank", "L", 1, 5000)
SURFACE_AREA = Input("surface_m2", "area of the water surface", "m²", 0.005, 10)
SURFACE = Input("surface", "how the surface moves, or a measured gas exchange", "cm/h", 0.05, 100, choices=tuple(SURFACES))
TEMP = Input("temp_c", "water temperature", "°C", 10, 35, default=24.0)

Pair = tuple[float, float]


@dataclass(frozen=True)
class GasTank:
    """A tank as a gas sees it.

    surface: the word that was given, or empty where the exchange was measured. transfer_cm_h: slowest and fastest gas exchange.
    plants: the word that was given, or empty. gas_by_oxygen: mass of this gas that plants turn over for each mass of oxygen.
    """

    volume_l: float
    surface_m2: float
    surface: str
    transfer_cm_h: Pair
    plants: str
    plants_g: float
    light_hours: float
    temp_c: float
    gas_by_oxygen: float = 1.0

    @cached_property
    def exchange_l_h(self) -> Pair:
        """Water brought to balance with the air in an hour, at the slowest and the fastest exchange: what 1 mg/L too much loses."""
        slow, fast = (float(exchange_mg_h(1.0, transfer, self.surface_m2)) for transfer in self.transfer_cm_h)
        return slow, fast

    @cached_property
    def light_mg_h(self) -> Pair:
        """What the plants turn over in light, least and most."""
        low, high = (rate * self.plants_g * self.gas_by_oxygen for rate in OXYGEN_RATE_MG_G_H)
        return low, high

    @cached_property
    def dark_mg_h(self) -> Pair:
        """What they use or give off in the dark, least and most."""
        low, high = (share * light for share, light in zip(DARK_SHARE, self.light_mg_h, strict=True))
        return low, high

    @cached_property
    def least_swing_mg_l(self) -> float:
        """Daily swing with the least lively plants at the fastest exchange."""
        return self._swing(self.light_mg_h[0], self.dark_mg_h[0], self.exchange_l_h[1])

    @cached_property
    def largest_swings_mg_l(self) -> tuple[Pair, Pair]:
        """Daily swing with the most lively plants, at the slowest and the fastest exchange: (part of the light, part of the dark)."""
        light, dark = self.light_mg_h[1], self.dark_mg_h[1]
        slow, fast = ((self._swing(light, 0.0, exchange), self._swing(0.0, dark, exchange)) for exchange in self.exchange_l_h)
        return slow, fast

    @property
    def time(self) -> Span:
        """How long until a new source has done 63 % of what it will do."""
        slow, fast = (float(time_constant_h(self.volume_l, transfer, self.surface_m2)) for transfer in self.transfer_cm_h)
        return Span("time to get 63 % of the way", fast, slow, "h")

    def steps(self, by_day: str, at_night: str) -> tuple[Step, ...]:
        """The working of exchange, time and plants, which every claim about a gas shares."""
        time = self.time
        return (
            Step("exchange at the surface", "gas exchange × area", *self.exchange_l_h, "L/h"),
            Step("time to get 63 % of the way", "water / exchange at the surface", time.low, time.high, "h"),
            Step(f"{by_day} by the plants in light", "dry mass × rate", *self.light_mg_h, "mg/h"),
            Step(f"{at_night} by them in the dark", "share of what it is in light", *self.dark_mg_h, "mg/h"),
        )

    def facts(self) -> tuple[Fact, ...]:
        """What the tank rests on."""
        known = (Fact.of("plants", "dry mass of the plants", self.plants_g, "g", ASSUMED if self.plants else GIVEN, self.plants),)
        rates = (
            Fact("plant_rate", "oxygen from a gram of dry plants in light", *OXYGEN_RATE_MG_G_H, "mg/h", ASSUMED),
            Fact("dark_share", "what plants use in the dark, as a share of that", *DARK_SHARE, "", ASSUMED),
        )
        return (
            Fact.of("volume_l", "water in the tank", self.volume_l, "L", GIVEN),
            Fact.of("surface_m2", "area of the surface", self.surface_m2, "m²", GIVEN),
            Fact("surface", "gas exchange of the surface", *self.transfer_cm_h, "cm/h", RECALLED if self.surface else GIVEN, self.surface),
            Fact.of("temp_c", "water temperature", self.temp_c, "°C", mark_of(TEMP, self.temp_c, ASSUMED)),
            Fact.of("light_hours", "hours of light a day", self.light_hours, "h", mark_of(LIGHT_HOURS, self.light_hours, ASSUMED)),
            *known, *(rates if self.plants_g else ()),
        )

    def _swing(self, light_mg_h: float, dark_mg_h: float, exchange_l_h: float) -> float:
        return day_swing_mg_l(light_mg_h, dark_mg_h, self.light_hours, exchange_l_h, self.volume_l)


def gas_tank(
    volume_l: float, surface_m2: float, surface: str | float, plants: str | float, light_hours: float, temp_c: float,
    gas_by_oxygen: float = 1.0,
) -> GasTank:
    """A tank from what was given, each value in its range; words become ranges."""
    volume, moved, grown = single(VOLUME, volume_l), word_or_number(SURFACE, surface), word_or_number(PLANTS, plants)
    transfer = SURFACES[moved] if isinstance(moved, str) else (moved, moved)
    return GasTank(volume, single(SURFACE_AREA, surface_m2), moved if isinstance(moved, str) else "", transfer,
                   grown if isinstance(grown, str) else "", plants_dry_g(grown, volume), single(LIGHT_HOURS, light_hours),
                   single(TEMP, temp_c), gas_by_oxygen)
