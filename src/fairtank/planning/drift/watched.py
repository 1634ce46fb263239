"""What the diary can tell of a trial while it runs, and how far like tanks scatter in it anyway."""

import functools
from dataclasses import dataclass

from fairtank.registry import ReadingError, entry_from_its_room

LEVEL, SUM = "level", "sum"


@dataclass(frozen=True)
class Watchable:
    """One factor that the diary can tell.

    key: of the factor, whose title, tolerance and remedy stand where it is declared. unit: of its values. kind: `level` (read now and then;
    what counts is how the differences move) or `sum` (added up over a week; what counts is the difference itself). quantities: its names in
    readings.csv. error: how far a reading is off where no calculator says it; read_as: calculator and input that say it. own_share: the
    part of that error which differs from reading to reading; the rest stays with the instrument and drops out between tanks read with it.
    wander, wander_fraction: how far like tanks wander apart by themselves, as a standard deviation in the unit or as a share of the level.
    """

    key: str
    unit: str
    kind: str = LEVEL
    quantities: tuple[str, ...] = ()
    error: ReadingError | None = None
    read_as: tuple[str, str] | None = None
    own_share: float = 1.0
    wander: float = 0.0
    wander_fraction: float = 0.0

    @property
    def reading_error(self) -> ReadingError | None:
        """How far one reading is off: what the calculators say of the same instrument, else what stands here."""
        return self.error if self.read_as is None else _declared_error(*self.read_as)


@functools.cache
def _declared_error(calculator: str, name: str) -> ReadingError | None:
    """What a calculator says of the reading that it takes under that name."""
    found = entry_from_its_room("calculator", calculator)
    return None if found is None else next((one.error for one in found.inputs if one.name == name), None)


# Errors and wander of like tanks: common practice, no source, except where a calculator's own reading error is taken.
_METER_HALF = 0.5  # half of a probe's or thermometer's error stays with the instrument: common practice, no source
WATCHED = (
    Watchable("temperature", "°C", quantities=("temperature", "temp", "temp_c", "water_temperature", "water_temp"),
              read_as=("water_density_kg_l", "temp_c"), own_share=_METER_HALF, wander=0.1),
    Watchable("conductivity", "µS/cm", quantities=("conductivity", "ec", "ec_us_cm", "conductivity_us_cm"),
              read_as=("conductivity_25_us_cm", "conductivity_us_cm"), own_share=_METER_HALF, wander_fraction=0.02),
    Watchable("kh", "dKH", quantities=("kh", "kh_dkh", "alkalinity"), read_as=("carbonate", "alkalinity_dkh"),
              wander=0.2),
    Watchable("gh", "dGH", quantities=("gh", "gh_dgh", "hardness"), read_as=("carbonate", "hardness_dgh"),
              wander=0.2),
    Watchable("ph", "", quantities=("ph",), read_as=("carbonate", "ph"), own_share=_METER_HALF, wander=0.05),
    Watchable("nitrate", "mg/L", quantities=("nitrate", "no3"), error=ReadingError(0.25, relative=True, least=1.0,
              instrument="drop test"), wander_fraction=0.1),
    Watchable("phosphate", "mg/L", quantities=("phosphate", "po4"), error=ReadingError(0.25, relative=True, least=0.1,
              instrument="drop test"), wander_fraction=0.1),
    Watchable("co2", "mg/L", quantities=("co2", "co2_mg_l"), error=ReadingError(0.25, relative=True, least=2.0,
              instrument="drop checker, or pH with KH"), wander_fraction=0.1),
    Watchable("oxygen", "mg/L", quantities=("oxygen", "o2", "oxygen_mg_l"),
              read_as=("oxygen_saturation_pct", "oxygen_mg_l"), wander_fraction=0.04),
    Watchable("flow", "L/h", quantities=("flow", "flow_l_h"), error=ReadingError(0.05, relative=True, instrument="bucket and watch"),
              wander_fraction=0.03),
    Watchable("light_at_bed", "µmol m⁻² s⁻¹", quantities=("light_at_bed", "ppfd", "par", "lux", "light"),
              error=ReadingError(0.1, relative=True, instrument="light meter"), own_share=_METER_HALF, wander_fraction=0.03),
    Watchable("room_temperature", "°C", quantities=("room_temperature", "room_temp", "room_temp_c"),
              error=ReadingError(0.5, instrument="room thermometer"), own_share=_METER_HALF, wander=0.2),
    Watchable("room_light", "lux", quantities=("room_light", "room_lux"),
              error=ReadingError(0.3, relative=True, instrument="phone lux meter"), own_share=_METER_HALF, wander_fraction=0.2),
    Watchable("doses", "", SUM, error=ReadingError(0.02, "standard", relative=True, instrument="syringe or scale")),
    Watchable("water_change", "", SUM, error=ReadingError(0.05, "standard", relative=True, instrument="bucket")),
    Watchable("evaporation", "", SUM, error=ReadingError(0.1, "standard", relative=True, instrument="jug"),
              wander_fraction=0.1),
    Watchable("care_minutes", "min a week", SUM, error=ReadingError(0.25, "standard", relative=True, least=3.0,
              instrument="clock")),
    Watchable("cleaning", "a week", SUM, error=ReadingError(0.7, "standard", instrument="count")),
    Watchable("photos_per_week", "a week", SUM, error=ReadingError(0.7, "standard", instrument="count")),
)
BY_KEY = {watched.key: watched for watched in WATCHED}
BY_QUANTITY = {quantity: watched for watched in WATCHED for quantity in watched.quantities}


def natural_scatter(watched: Watchable, level: float) -> tuple[float, float]:
    """How far like tanks scatter at that level without any cause: from reading to reading, and slowly over weeks.

    Parameters
    ----------
    watched : Watchable
        The factor.
    level : float
        Its usual value, in its unit; errors that are a share are taken of it.

    Returns
    -------
    (float, float)
        Two standard deviations, in the factor's unit.

    References
    ----------
    gum2008: a reading that may lie anywhere within ± a has the standard uncertainty a divided by the root of 3.

    Examples
    --------
    >>> [round(one, 3) for one in natural_scatter(BY_KEY["kh"], 4.0)]
    [0.289, 0.2]
    """
    error = watched.reading_error
    fast = 0.0
    if error is not None:
        size = max(error.size * abs(level), error.least) if error.relative else error.size
        fast = watched.own_share * size / (3.0**0.5 if error.kind == "within" else 1.0)
    return fast, max(watched.wander, watched.wander_fraction * abs(level))
