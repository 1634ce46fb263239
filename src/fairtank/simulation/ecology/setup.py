"""What a simulated tank is told: its glass, water, light, soil and plants, and what hands do to it, as frozen dataclasses.

Days count from the filling; day 0 is the day on which it is filled and planted, and clock times are hours of the day from 0 to 24.
"""

from dataclasses import dataclass, fields

from fairtank.build import STOCKS
from fairtank.errors import InputError
from fairtank.registry import Input
from fairtank.science.cycling import STARTS
from fairtank.science.ranges import one_number, one_of

FORMS = ("floating", "stem", "bulb", "rosette", "epiphyte", "moss", "carpet")  # from the surface down, as they shade each other
SOILS = ("rich", "lean", "inert")
SURFACES = ("still", "gentle", "ripple", "air_stone")

_RANGES = {one.name: one for one in (
    Input("volume_l", "net water", "L", 1, 2000), Input("water_cm", "water over the bed", "cm", 5, 150),
    Input("floor_cm2", "bed, and open surface", "cm²", 50, 20000), Input("front_cm", "length of the front glass", "cm", 5, 300),
    Input("temp_c", "water temperature", "°C", 15, 32), Input("kh_dkh", "carbonate hardness", "dKH", 0, 20),
    Input("ppfd_bed_umol", "light at the bed", "µmol m⁻² s⁻¹", 0, 500), Input("co2_target_mg_l", "CO2 aimed at", "mg/L", 0, 60),
    Input("room_co2_ppm", "CO2 in the room", "ppm", 300, 5000), Input("reading_hour", "clock time of tests and photos", "h", 0, 23.99),
    Input("nitrate_mg_l", "nitrate, as NO3", "mg/L", 0, 200), Input("phosphate_mg_l", "phosphate, as PO4", "mg/L", 0, 20),
    Input("ammonium_mg_l", "ammonia, as N", "mg/L N", 0, 20), Input("release_mg_l_d", "ammonia given off on day 0", "mg/L N", 0, 20),
    Input("fading_per_d", "fading of it", "1/d", 0, 2), Input("held_oxygen_mg_l", "oxygen held at", "mg/L", 0.5, 20),
    Input("share", "share", "", 0, 1), Input("cover", "share of the floor at planting", "", 0, 1), Input("day", "day", "d", 0, 365),
    Input("hour", "clock time", "h", 0, 23.99), Input("co2_lead_h", "hours that CO2 runs ahead of the light", "h", 0, 6),
)}
_WORDS = {"form": Input("form", "form group", choices=FORMS), "stock": Input("stock", "how the plants were grown", choices=STOCKS),
          "soil": Input("soil", "bed", choices=SOILS), "surface": Input("surface", "water surface", choices=SURFACES),
          "start": Input("start", "start of the bacteria", choices=tuple(STARTS))}


class _Checked:
    """Refuses numbers outside the ranges above, and words that are not among the choices, when it is made."""

    def __post_init__(self) -> None:
        for field in fields(self):  # type: ignore[arg-type]
            value = getattr(self, field.name)
            if field.name in _WORDS and value != "":
                one_of(_WORDS[field.name], value)
            elif field.name in _RANGES and value is not None:
                one_number(_RANGES[field.name], value)


@dataclass(frozen=True)
class Plants(_Checked):
    """Plants of one form group. form: one of FORMS. cover: share of the floor (floating: of the surface) that they cover when planted.

    stock: one of `fairtank.build.STOCKS`; it says how much of them melts in the first weeks.
    """

    form: str
    cover: float
    stock: str = "potted"


@dataclass(frozen=True)
class Light(_Checked):
    """Light from a day on. ppfd_bed_umol: at the bed, as measured in the fresh tank before plants stood in it [µmol m⁻² s⁻¹].

    spans_h: (on, off) clock times in rising order; a dark break at midday is two of them. from_day: the day on which it begins to hold.
    """

    ppfd_bed_umol: float = 45.0
    spans_h: tuple[tuple[float, float], ...] = ((10.0, 18.0),)
    from_day: int = 0

    def __post_init__(self) -> None:
        super().__post_init__()
        edges = [edge for span in self.spans_h for edge in span]
        if sorted(set(edges)) != edges or any(not 0 <= edge <= 24 for edge in edges):
            raise InputError("spans_h", "not in order", "clock times from 0 to 24 h, each light going off after it went on",
                             "Split a light that burns past midnight into two.")


@dataclass(frozen=True)
class Water(_Checked):
    """What the water of the start and of every change carries. nitrate, phosphate [mg/L, as NO3 and PO4], ammonium [mg/L N], KH [dKH]."""

    nitrate_mg_l: float = 5.0
    phosphate_mg_l: float = 0.1
    ammonium_mg_l: float = 0.0
    kh_dkh: float = 4.0


@dataclass(frozen=True)
class WaterChange(_Checked):
    """Share of the water replaced by new water, on a day at a clock time."""

    day: float
    share: float
    hour: float = 9.0


@dataclass(frozen=True)
class Dose(_Checked):
    """What a dose raises in the tank: nitrate, phosphate [mg/L, as NO3 and PO4], ammonium [mg/L N]."""

    day: float
    nitrate_mg_l: float = 0.0
    phosphate_mg_l: float = 0.0
    ammonium_mg_l: float = 0.0
    hour: float = 9.0


@dataclass(frozen=True)
class Trim(_Checked):
    """Share of the plants cut and taken out; form "" means all forms."""

    day: float
    share: float
    form: str = ""
    hour: float = 9.0


@dataclass(frozen=True)
class Wipe(_Checked):
    """Share of the film on the glass wiped off and taken out."""

    day: float
    share: float
    hour: float = 9.0


Event = WaterChange | Dose | Trim | Wipe


@dataclass(frozen=True)
class TankSetup(_Checked):
    """One tank, or all tanks of one arm.

    volume_l: net water. water_cm: depth of water over the bed. floor_cm2: bed, which is also the open surface. front_cm: length of the
    front glass. light: in the order of their days, the first from day 0. soil: one of SOILS; release_mg_l_d (ammonia given off on day 0
    [mg/L N a day]) and fading_per_d, where given, take the place of what that word stands for. start: `bare`, or `seeded` with material
    of a running filter. surface: one of SURFACES, how the water moves. co2_target_mg_l: 0 without a supply, else CO2 is held near that,
    from co2_lead_h before the light goes on until as long before it goes off, on every day from co2_from_day on. reading_hour: clock time
    of tests and photos. held_oxygen_mg_l: oxygen fixed at that, None as a rule. has_algae: False leaves the film out.
    """

    volume_l: float = 45.0
    water_cm: float = 28.0
    floor_cm2: float = 1600.0
    front_cm: float = 45.0
    temp_c: float = 24.0
    light: tuple[Light, ...] = (Light(),)
    soil: str = "rich"
    start: str = "bare"
    plants: tuple[Plants, ...] = (Plants("stem", 0.15), Plants("carpet", 0.15))
    water: Water = Water()
    surface: str = "gentle"
    co2_target_mg_l: float = 0.0
    co2_lead_h: float = 1.0
    co2_from_day: int = 0
    room_co2_ppm: float = 700.0
    events: tuple[Event, ...] = ()
    reading_hour: float = 12.0
    release_mg_l_d: float | None = None
    fading_per_d: float | None = None
    held_oxygen_mg_l: float | None = None
    has_algae: bool = True

    def __post_init__(self) -> None:
        super().__post_init__()
        days = [light.from_day for light in self.light]
        if not days or days[0] != 0 or sorted(set(days)) != days:
            raise InputError("light", "not in order", "at least one light, the first from day 0, the others on later days")
        forms = [plants.form for plants in self.plants]
        if len(set(forms)) != len(forms):
            raise InputError("plants", "a form twice", "each form once, with the cover of all its plants together")


def weekly_changes(days: int, share: float, *, per_week: float = 1.0, first_day: float = 7.0) -> tuple[WaterChange, ...]:
    """Water changes at equal distances, up to and including the last day.

    Parameters
    ----------
    days : int
        The last day that is looked at. [d]
    share : float
        Share of the water that each replaces. [-], 0 to 1.
    per_week : float
        How many in a week. [1/week], above 0.
    first_day : float
        Day of the first one. [d]

    Returns
    -------
    tuple of WaterChange
        On whole days.

    Raises
    ------
    OutOfRangeError
        If the share lies outside its range.
    InputError
        If there is not more than none a week.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> [change.day for change in weekly_changes(22, 0.3, per_week=2)]
    [7.0, 10.0, 14.0, 17.0, 21.0]
    """
    if not per_week > 0:
        raise InputError("per_week", per_week, "more than 0 water changes a week")
    gap, found = 7.0 / per_week, []
    day = first_day
    while day <= days:
        found.append(WaterChange(float(int(day)), share))
        day += gap
    return tuple(found)


def soil_start_changes(days: int) -> tuple[WaterChange, ...]:
    """The usual changes over a fresh rich soil: half every second day in week 1, three in week 2, two a week to week 4, then weekly 40 %.

    Parameters
    ----------
    days : int
        The last day that is looked at. [d]

    Returns
    -------
    tuple of WaterChange
        In rising order.

    References
    ----------
    common_practice, no source (keys from sources.py).

    Examples
    --------
    >>> len(soil_start_changes(60))
    15
    """
    first = [1, 3, 5, 7, 9, 11, 14, 17, 21, 24, 28]
    return tuple(WaterChange(day, 0.5) for day in first if day <= days) + weekly_changes(days, 0.4, first_day=35)
