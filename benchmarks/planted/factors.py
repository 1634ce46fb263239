"""The factors that can be planted: what is usual, what is plainly something else, how like tanks scatter, and in which forms it is told.

Values are a keeper's, chosen from what such tanks have (common practice, no source); how much the checker tolerates played no part.
"""

from dataclasses import dataclass

STATED, READ, WEIGHED, CHORES, EVENTS, PLACE, SETUP, BATCH = "stated", "read", "weighed", "chores", "events", "place", "setup", "batch"


@dataclass(frozen=True)
class Planted:
    """One factor: key, usual value, something plainly else, scatter of like tanks as a standard deviation, unit, forms in which it is
    told. quantity, error, step: of its readings."""

    key: str
    usual: float | str
    other: float | str
    scatter: float = 0.0
    unit: str = ""
    forms: tuple[str, ...] = (STATED,)
    quantity: str = ""
    error: float = 0.0
    step: float = 0.1


FACTORS = (
    Planted("tank_length", 45.0, 60.0, 0.0, "cm", (STATED, SETUP)),
    Planted("tank_width", 28.0, 33.0, 0.0, "cm", (STATED, SETUP)),
    Planted("water_level", 31.5, 28.5, 0.05, "cm", (STATED, SETUP)),
    Planted("water_volume", 34.0, 29.0, 0.1, "L", (STATED, WEIGHED)),
    Planted("glass_kind", "float glass box, 6 mm", "low-iron glass box, 6 mm"),
    Planted("shelf", "shelf 1", "shelf 2", forms=(PLACE,)),
    Planted("window_side", "away from the window", "beside the window"),
    Planted("room_light", 60.0, 190.0, 3.0, "lux", (STATED, READ), "room_light", 5.0, 1.0),
    Planted("room_temperature", 19.5, 22.5, 0.1, "°C", (STATED, READ), "room_temperature", 0.3, 0.1),
    Planted("lamp_model", "lamp 18 W, 6500 K", "lamp 24 W, 4000 K", forms=(STATED, SETUP)),
    Planted("lamp_age", 4.0, 22.0, 0.0, "months"),
    Planted("lamp_height", 12.0, 19.0, 0.2, "cm"),
    Planted("photoperiod", 8.0, 9.5, 0.0, "h"),
    Planted("light_on", 10.0, 14.0, 0.0, "h"),
    Planted("light_at_bed", 48.0, 66.0, 0.8, "µmol m⁻² s⁻¹", (STATED, READ), "ppfd", 1.5, 1.0),
    Planted("substrate_kind", "baked clay cap", "river sand", forms=(STATED, BATCH)),
    Planted("substrate_batch", "lot 11", "lot 14", forms=(STATED, BATCH)),
    Planted("substrate_mass", 6.0, 7.2, 0.02, "kg", (STATED, WEIGHED)),
    Planted("substrate_depth", 4.5, 6.5, 0.08, "cm"),
    Planted("substrate_wetting", "rinsed five times", "put in dry and flooded"),
    Planted("hardscape_kind", "broken slate", "lava", forms=(STATED, BATCH)),
    Planted("hardscape_mass", 2.1, 2.9, 0.03, "kg", (STATED, WEIGHED)),
    Planted("filter_model", "small inside filter", "outer filter", forms=(STATED, SETUP)),
    Planted("filter_age", 6.0, 30.0, 0.0, "weeks"),
    Planted("flow", 260.0, 170.0, 3.0, "L/h", (STATED, READ), "flow", 8.0, 1.0),
    Planted("heater_model", "heater 50 W", "heater 100 W", forms=(STATED, SETUP)),
    Planted("temperature", 24.0, 25.6, 0.08, "°C", (STATED, READ), "temperature", 0.2, 0.1),
    Planted("co2", 18.0, 27.0, 0.4, "mg/L", (STATED, READ), "co2", 1.0, 1.0),
    Planted("oxygen", 8.2, 6.6, 0.05, "mg/L", (READ,), "oxygen", 0.15, 0.1),
    Planted("source_water", "tap water", "half tap, half rain", forms=(STATED, BATCH)),
    Planted("kh", 4.0, 6.0, 0.05, "dKH", (READ, STATED), "kh", 0.2, 0.5),
    Planted("gh", 7.0, 10.0, 0.05, "dGH", (READ, STATED), "gh", 0.2, 0.5),
    Planted("conductivity", 320.0, 410.0, 3.0, "µS/cm", (READ, STATED), "ec", 5.0, 1.0),
    Planted("ph", 6.8, 7.4, 0.02, "", (READ, STATED), "ph", 0.06, 0.05),
    Planted("nitrate", 10.0, 20.0, 0.2, "mg/L", (READ, STATED), "no3", 0.8, 1.0),
    Planted("phosphate", 0.6, 1.4, 0.01, "mg/L", (READ, STATED), "po4", 0.04, 0.05),
    Planted("doses", 2.0, 2.8, 0.01, "mg/L", (CHORES,), "nitrate"),
    Planted("water_change", 10.0, 17.0, 0.1, "L", (CHORES,)),
    Planted("water_change_day", "Sunday", "Wednesday", forms=(CHORES, STATED)),
    Planted("plant_kinds", "green stem plant", "red stem plant", forms=(STATED, BATCH)),
    Planted("plant_stock", "potted, lot 3", "own trimmings", forms=(STATED, BATCH)),
    Planted("plant_portions", 20.0, 27.0, 0.0, "pieces", (STATED, WEIGHED)),
    Planted("plant_mass", 12.0, 16.5, 0.1, "g", (STATED,)),
    Planted("planted_on", 0.0, 5.0, 0.0, "day", (STATED, EVENTS)),
    Planted("planted_by", "Ona", "Pim"),
    Planted("fauna", "none", "six shrimps", forms=(STATED, EVENTS)),
    Planted("inoculum", "none", "filter mud of an old tank"),
    Planted("tools", "own tools", "tools of the show tank"),
    Planted("hands", "Ona", "Pim", forms=(CHORES, STATED)),
    Planted("cleaning", 1.0, 3.0, 0.0, "per week", (CHORES, STATED)),
    Planted("care_minutes", 16.0, 34.0, 0.5, "min a week", (CHORES, STATED)),
    Planted("camera", "phone on a stand", "camera on a tripod"),
    Planted("photo_time", 11.0, 16.5, 0.1, "h"),
    Planted("photos_per_week", 7.0, 3.0, 0.0, "per week"),
    Planted("scorer", "Ona", "Pim"),
    Planted("started_on", 0.0, 6.0, 0.0, "day", (STATED, EVENTS)),
    Planted("shared_water", "own filter", "one filter for several tanks"),
    Planted("cover", "none", "cover glass", forms=(STATED, SETUP)),
    Planted("evaporation", 1.2, 2.4, 0.03, "L a week", (STATED,)),
    Planted("power_in_water", 4.0, 16.0, 0.0, "W"),
    Planted("carbon", "none", "carbon bag in the filter"),
)
BY_KEY = {one.key: one for one in FACTORS}
NUMBERS = tuple(one.key for one in FACTORS if not isinstance(one.usual, str))
WORDS = tuple(one.key for one in FACTORS if isinstance(one.usual, str))
