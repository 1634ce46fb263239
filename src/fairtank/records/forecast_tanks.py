"""From a trial folder to the tank of each arm that the model runs, with every guess on the way said in a sentence."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from fairtank.build import Light as LightPlan
from fairtank.build import Planting, Setup, WaterPlan
from fairtank.errors import FairtankError
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.schedule.plan_days import change_day
from fairtank.planning.sheet import BuildSheet, UnitFacts
from fairtank.records.forecast_readings import co2_read_mg_l, read_at_start
from fairtank.simulation.tank import Dose, Event, Light, Plants, TankSetup, Water, WaterChange, soil_start_changes, weekly_changes
from fairtank.trial import Arm, TrialFolder

# What these words in a bed's name stand for; the first row that fits any layer counts. Common practice, no source.
_SOILS = (("rich", r"soil|earth|peat|humus|compost|loam|mud|nutrient|base"), ("lean", r"clay|lava|pumice|laterite|cap"), ("inert", r"."))
_FORMS = {"foreground": "carpet", "midground": "rosette", "background": "stem", "on_wood": "epiphyte", "floating": "floating"}
_PLUG_CM2 = 8.0  # floor under a fresh plug or stem: an assumption, no source
_NOON_H, _SUPPLIED_CO2_MG_L, _ZONE_SHARE = 14.0, 20.0, 1 / 3
_LEAST_SUPPLY_MG_L = 8.0  # rooms and beds give less; common practice, no source
_USUAL = TankSetup()


@dataclass(frozen=True)
class ForecastTanks:
    """The tank of each arm by the arm's key, in the order of the plan, and what was assumed, one sentence each."""

    tanks: dict[str, TankSetup]
    stated: tuple[str, ...]


def forecast_tanks(folder: TrialFolder, *, days: int = 60, soil: str | None = None) -> ForecastTanks:
    """The tank of each arm, from setup.toml where there is one, else from a usual tank of the size that trial.toml says.

    The first unit of an arm stands for all of them. Until the change starts, changed arms have the reference's light.

    Parameters
    ----------
    folder : TrialFolder
        Read and in order.
    days : int
        How far the forecast reaches, for water changes and doses. [d]
    soil : str or None
        `rich`, `lean` or `inert`; None: by the names of the layers.

    Returns
    -------
    ForecastTanks
        One tank per arm.

    References
    ----------
    common_practice: what is assumed where the folder is silent (keys from sources.py).
    """
    plan = folder.plan
    stated = ["Day 0 of the trial was taken as the day on which the tanks are filled and planted."]
    tanks: dict[str, TankSetup] = {}
    sheet = _sheet(folder.setup, stated.append)
    if folder.setup is None or sheet is None:
        usual = _usual_tank(plan.tank_litres, days, soil, stated.append)
        tanks = {arm.key: usual for arm in plan.arms}
    else:
        for arm in plan.arms:
            if unit := next((one.key for one in plan.units if one.arm == arm.key), ""):
                tanks[arm.key] = _tank_of(folder, folder.setup, sheet, unit, days, soil, stated.append)
    tanks = {key: _with_factors(folder, plan.arm(key), tank, stated.append) for key, tank in tanks.items()}
    tanks = {key: _with_co2(folder, key, tank, stated.append) for key, tank in tanks.items()}
    tanks = _with_nitrate(folder, tanks, stated.append)
    tanks = _light_alike_before(folder, tanks, stated.append)
    if len(tanks) > 1 and len({repr(tank) for tank in tanks.values()}) == 1:
        stated.append("Nothing in the folder parts the arms in a way that the model knows (light, bed, plants, water, doses, warmth), so "
                      "that all arms have one forecast. Hours of light of an arm can be written into factors.csv as photoperiod.")
    return ForecastTanks(tanks, tuple(dict.fromkeys(stated)))


def _sheet(setup: Setup | None, state: Callable[[str], None]) -> BuildSheet | None:
    if setup is None or not setup.units:
        return None
    try:
        return build_sheet(setup)
    except FairtankError as error:
        state(f"The build in setup.toml could not be worked out, so that a usual tank stands in. {error}")
        return None


def _usual_tank(litres: float | None, days: int, soil: str | None, state: Callable[[str], None]) -> TankSetup:
    """A usual tank, larger or smaller by the litres of the plan."""
    size = 1.0 if litres is None else (litres / _USUAL.volume_l) ** (1 / 3)
    tank = replace(_USUAL, volume_l=_held(_USUAL.volume_l * size**3, 1, 2000), water_cm=_held(_USUAL.water_cm * size, 5, 150),
                   floor_cm2=_held(_USUAL.floor_cm2 * size**2, 50, 20000), front_cm=_held(_USUAL.front_cm * size, 5, 300),
                   soil=soil or _USUAL.soil)
    state(f"The folder has no setup.toml that says what goes into the tanks. Assumed: {tank.volume_l:.0f} L, {tank.soil} soil, 8 hours of "
          f"medium light, no CO2 supply, {tank.temp_c:g} °C, stem and carpet plants over a third of the floor, no filter material that ran "
          "before.")
    return replace(tank, events=_usual_changes(tank.soil, days, state))


def _usual_changes(soil: str, days: int, state: Callable[[str], None]) -> tuple[Event, ...]:
    if soil == "rich":
        state("Water changes were assumed as is usual over a fresh rich soil: half every second day in week 1, three in week 2, two a week "
              "to week 4, then 40 % a week.")
        return soil_start_changes(days)
    state("A water change of 30 % a week was assumed.")
    return weekly_changes(days, 0.3)


def _tank_of(folder: TrialFolder, setup: Setup, sheet: BuildSheet, unit: str, days: int, soil: str | None,
             state: Callable[[str], None]) -> TankSetup:
    """The tank of one unit, from the build sheet."""
    facts = sheet.facts_of(unit)
    floor_cm2 = facts.inner_length_mm * facts.inner_width_mm / 100
    bed_mm = sum(layer.depth_mm for layer in facts.layers)
    kind = soil or _soil_of(facts, state)
    plan = next((one for one in setup.water if setup.holds(one.scope, unit)), None)
    changes = _changes(plan, kind, days, state)
    has_co2 = any(device.kind == "co2" and setup.holds(device.scope, unit) for device in setup.devices)
    if has_co2:
        state(f"The CO2 supply was taken as holding {_SUPPLIED_CO2_MG_L:.0f} mg/L while the light is on.")
    return replace(
        _USUAL, volume_l=_held(facts.net_l, 1, 2000), water_cm=_held((facts.water_mm - bed_mm) / 10, 5, 150),
        floor_cm2=_held(floor_cm2, 50, 20000), front_cm=_held(facts.inner_length_mm / 10, 5, 300), soil=kind,
        light=(_light(setup, unit, state),), temp_c=_held(plan.temp_c if plan else _USUAL.temp_c, 15, 32),
        plants=_plants(setup, unit, floor_cm2, state), water=_water(plan, facts), co2_target_mg_l=_SUPPLIED_CO2_MG_L if has_co2 else 0.0,
        events=(*changes, *_doses(setup, sheet, unit, days)),
    )  # fmt: skip


def _held(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _soil_of(facts: UnitFacts, state: Callable[[str], None]) -> str:
    titles = [layer.title.casefold() for layer in facts.layers]
    kind = next((kind for kind, pattern in _SOILS if any(re.search(pattern, title) for title in titles)), "inert")
    named = ", ".join(layer.title for layer in facts.layers) or "no bed"
    state(f"The bed ({named}) was taken for {kind}: by its names, not by what it gives off. --soil says otherwise.")
    return kind


def _light(setup: Setup, unit: str, state: Callable[[str], None]) -> Light:
    """Light at the bed, less what covers keep back, around the early afternoon."""
    found: LightPlan | None = next((one for one in setup.light if setup.holds(one.scope, unit)), None)
    usual = _USUAL.light[0]
    devices = [device for device in setup.devices if setup.holds(device.scope, unit)]
    lamps = [device.hours_per_day for device in devices if device.kind == "lamp" and device.hours_per_day < 24]
    hours = max(lamps, default=8.0) if found is None else found.hours_per_day
    if found is None:
        told = "for as long as the lamps are on was" if lamps else "for 8 hours a day was"
        state(f"setup.toml has no light plan; a light of {usual.ppfd_bed_umol:.0f} µmol m⁻² s⁻¹ at the bed {told} assumed.")
    passed = 1.0
    for device in devices:
        passed *= 1 - device.shade_fraction
    light = (usual.ppfd_bed_umol if found is None else found.target_umol) * passed
    return Light(_held(light, 0, 500), _span(hours))


def _span(hours: float) -> tuple[tuple[float, float], ...]:
    """So many hours of light around the early afternoon; none where it stays dark."""
    if hours <= 0:
        return ()
    on = _held(_NOON_H - hours / 2, 0.0, 24.0 - min(hours, 24.0))
    return ((on, min(on + hours, 24.0)),)


def _plants(setup: Setup, unit: str, floor_cm2: float, state: Callable[[str], None]) -> tuple[Plants, ...]:
    """Plants by form group, each zone's floor as far as it is covered when planted."""
    covers: dict[str, float] = {}
    stocks: dict[str, str] = {}
    for planting in setup.plantings:
        if setup.holds(planting.scope, unit):
            form = _FORMS.get(planting.zone, "stem")
            covers[form] = covers.get(form, 0.0) + _cover(planting, floor_cm2)
            stocks.setdefault(form, planting.stock)
    if not covers:
        state("setup.toml names no plants; stem and carpet plants over a third of the floor were assumed.")
        return _USUAL.plants
    state(f"Plants were taken by their zone (foreground: carpet, midground: rosettes, background: stems), a plug or stem as "
          f"{_PLUG_CM2:.0f} cm² of floor.")
    return tuple(Plants(form, _held(cover, 0.005, 0.9), stocks[form]) for form, cover in covers.items())


def _cover(planting: Planting, floor_cm2: float) -> float:
    share = 1.0 if planting.zone == "floating" else _ZONE_SHARE
    area = planting.area_cm2 or floor_cm2 * (planting.area_fraction or share)
    count = planting.count if planting.count is not None else (planting.per_100_cm2 or 1.0) * area / 100
    return count * _PLUG_CM2 / floor_cm2


def _water(plan: WaterPlan | None, facts: UnitFacts) -> Water:
    if plan is None:
        return Water() if facts.kh_dkh is None else Water(kh_dkh=_held(facts.kh_dkh, 0, 20))
    ions = dict(plan.tap.ions_mg_l)
    kh = facts.kh_dkh if facts.kh_dkh is not None else plan.tap.kh_dkh
    return Water(_held(ions.get("NO3", Water.nitrate_mg_l), 0, 200), _held(ions.get("PO4", Water.phosphate_mg_l), 0, 20),
                 _held(ions.get("NH4", 0.0) * 0.7765, 0, 20), _held(kh, 0, 20))


def _changes(plan: WaterPlan | None, soil: str, days: int, state: Callable[[str], None]) -> tuple[Event, ...]:
    if plan is None or plan.change_fraction <= 0:
        return _usual_changes(soil, days, state)
    if soil == "rich":
        state(f"Water changes were taken as planned, {100 * plan.change_fraction:.0f} % at {plan.changes_per_week:g} a week; over a fresh "
              "rich soil more are usual in the first weeks, and would bring the safe day nearer.")
    return weekly_changes(days, min(plan.change_fraction, 1.0), per_week=plan.changes_per_week, first_day=7 / plan.changes_per_week)


def _doses(setup: Setup, sheet: BuildSheet, unit: str, days: int) -> tuple[Event, ...]:
    """Nitrate, phosphate and ammonium of the planned doses, at even steps from the first day on."""
    found: list[Event] = []
    for dose in setup.doses:
        if not setup.holds(dose.scope, unit) or dose.doses_per_week <= 0:
            continue
        title = setup.material(dose.material).label
        gains = {course.ion: course.gain_mg_l for course in sheet.courses
                 if course.unit == unit and course.material in (dose.material, title)}
        nitrate, phosphate, ammonium = gains.get("NO3", 0.0), gains.get("PO4", 0.0), gains.get("NH4", 0.0) * 0.7765
        if nitrate or phosphate or ammonium:
            steps = int(days * dose.doses_per_week / 7) + 1
            found += [Dose(float(int(7 * step / dose.doses_per_week)), nitrate, phosphate, ammonium) for step in range(steps)]
    return tuple(one for one in found if not isinstance(one, WaterChange) and one.day <= days)


def _with_factors(folder: TrialFolder, arm: Arm, tank: TankSetup, state: Callable[[str], None]) -> TankSetup:
    """What the keeper wrote down of this arm's units: hours of light, light at the bed, warmth, and whether a running filter was used."""
    units = {unit.key for unit in folder.plan.units if unit.arm == arm.key}
    told = {one.factor: one.value for one in folder.factors if one.unit in units or not one.unit}
    light = tank.light[0]
    hours, ppfd, warmth = told.get("photoperiod"), told.get("light_at_bed"), told.get("temperature")
    if isinstance(hours, float):
        light = replace(light, spans_h=_span(_held(hours, 0, 24)))
    if isinstance(ppfd, float):
        light = replace(light, ppfd_bed_umol=_held(ppfd, 0, 500))
    is_seeded = str(told.get("inoculum", "none")).casefold().strip() not in ("", "none", "no", "nothing", "-", "0")
    state("A filter that ran before was assumed, as factors.csv tells of an inoculum." if is_seeded else
          "No material of a running filter was assumed: with it ammonia and nitrite may be gone weeks earlier. Write it into factors.csv "
          "as inoculum.")
    return replace(tank, light=(light,), start="seeded" if is_seeded else tank.start,
                   temp_c=_held(warmth, 15, 32) if isinstance(warmth, float) else tank.temp_c)


def _with_co2(folder: TrialFolder, arm: str, tank: TankSetup, state: Callable[[str], None]) -> TankSetup:
    """A supply where the keeper's pH and KH speak for far more CO2 than the room gives."""
    read = co2_read_mg_l(folder, arm, tank.temp_c)
    if read is None or read < _LEAST_SUPPLY_MG_L:
        return tank
    target = _held(float(f"{read:.1g}") if read < 20 else 5 * round(read / 5), 0, 60)
    state(f"pH and KH that were read speak for about {target:.0f} mg/L of CO2; a supply that holds it while the light is on was assumed.")
    return replace(tank, co2_target_mg_l=target)


def _with_nitrate(folder: TrialFolder, tanks: dict[str, TankSetup], state: Callable[[str], None]) -> dict[str, TankSetup]:
    """The water with the nitrate that was read on the first day, where setup.toml does not say it."""
    plans = () if folder.setup is None else folder.setup.water
    read = read_at_start(folder, "nitrate")
    if read is None or any("NO3" in dict(plan.tap.ions_mg_l) for plan in plans):
        return tanks
    state(f"The nitrate of the water, also of the new one, was taken from the tests of the first day: {read:.3g} mg/L.")
    nitrate = _held(read, 0, 200)
    return {key: replace(tank, water=replace(tank.water, nitrate_mg_l=nitrate)) for key, tank in tanks.items()}


def _light_alike_before(folder: TrialFolder, tanks: dict[str, TankSetup], state: Callable[[str], None]) -> dict[str, TankSetup]:
    """Until the change starts every arm has the reference's light."""
    plan = folder.plan
    reference = next((tanks[arm.key] for arm in plan.arms if arm.role == "reference" and arm.key in tanks), None)
    day = change_day(plan)
    if plan.kind == "drawn_start" and day is None and plan.start_window:
        day = sum(plan.start_window) // 2
        state(f"The day on which the change starts is not drawn yet; day {day}, the middle of its window, was assumed.")
    if plan.kind == "swap":
        state("The swap in the middle is not in the forecast: each arm keeps the way it starts with.")
    if reference is None or not day:
        return tanks
    return {key: tank if tank.light == reference.light else replace(tank, light=(*reference.light, replace(tank.light[0], from_day=day)))
            for key, tank in tanks.items()}
