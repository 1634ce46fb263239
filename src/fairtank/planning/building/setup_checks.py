"""Whether a setup hangs together: every name it uses is there, every line says what it must, once."""

from collections import Counter
from collections.abc import Iterable

from fairtank.build import DEVICE_KINDS, MATERIAL_KINDS, PACK_UNITS, RIMS, STOCKS, ZONES, Scope, Setup
from fairtank.planning.building.problems import Problems

MOST_WEEKS = 520
LEAST_CHANGE = 0.01
MOST_PER_WEEK = 168
LEAST_LIGHT_UMOL = 1.0
LEAST_HOURS = 0.1
DOSED = {"salt": "mass_mg", "liquid": "volume_ml"}


def check_setup(setup: Setup, problems: Problems) -> None:
    """Note everything in a setup that keeps it from being worked out at all."""
    _check_places(setup, problems)
    _check_catalogue(setup, problems)
    _check_scopes(setup, problems)
    _check_bed_and_pieces(setup, problems)
    _check_plants(setup, problems)
    _check_doses(setup, problems)
    _check_devices_and_light(setup, problems)
    _check_one_each(setup, problems)


def _check_places(setup: Setup, problems: Problems) -> None:
    tanks = {tank.key: tank for tank in setup.tanks}
    problems.need(bool(setup.places), "No unit is placed: say for each unit in which tank it stands.")
    _check_twice("tank", (tank.key for tank in setup.tanks), problems)
    _check_twice("unit", setup.units, problems)
    held = Counter(key for _, key in setup.places)
    for unit, key in setup.places:
        problems.need(key in tanks, f"Unit {unit} stands in tank {key}, which is not described: there {_are(tanks)}.")
    for tank in setup.tanks:
        problems.need(tank.rim in RIMS, f"Tank {tank.key}: its rim is {tank.rim}; it may be {_or(RIMS)}.")
        problems.need(held[tank.key] > 0, f"Tank {tank.key} holds no unit: place one in it, or leave it out.")
        problems.need(held[tank.key] <= tank.compartments,
                      f"Tank {tank.key} has {_count(tank.compartments, 'compartment')} and {held[tank.key]} units: give it more dividers, "
                      "or describe a tank for each unit.")
        problems.need(tank.water_mm <= tank.inner_height_mm,
                      f"Tank {tank.key}: its water line of {tank.water_mm:g} mm lies above its top edge, {tank.inner_height_mm:g} mm over "
                      "the inner bottom. Count the line from the inner bottom.")
        problems.need(tank.glass_mm > 0 and tank.bottom_mm > 0, f"Tank {tank.key}: its glass needs a thickness in mm.")
        problems.need(2 * tank.glass_mm < min(tank.length_mm, tank.width_mm), f"Tank {tank.key}: its panes leave no space between them.")
        problems.need(tank.dividers == 0 or tank.divider_glass_mm > 0, f"Tank {tank.key} has dividers: say how thick, as divider_glass_mm.")
        problems.need(tank.dividers >= 0, f"Tank {tank.key} has {tank.dividers} dividers; 0 or more make sense.")
    for unit, _ in setup.arms:
        problems.need(unit in setup.units, f"Unit {unit} has an arm but no tank: place it, or leave it out.")


def _check_catalogue(setup: Setup, problems: Problems) -> None:
    _check_twice("material", (material.key for material in setup.materials), problems)
    for material in setup.materials:
        problems.need(material.kind in MATERIAL_KINDS, f"{material.label} is of kind {material.kind}; it may be {_or(MATERIAL_KINDS)}.")
        problems.need(material.pack_unit in ("", *PACK_UNITS),
                      f"{material.label} is sold by {material.pack_unit}; it may be {_or(PACK_UNITS)}.")
        problems.need(material.pack_size is None or material.pack_unit != "",
                      f"{material.label} has a pack size but no pack unit: say {_or(PACK_UNITS)}.")
        above = (material.bulk_density_kg_l, material.particle_density_kg_l, material.pack_size, material.pieces_per_pack)
        not_below = (material.price, material.owned, material.waste_fraction, *(mg_ml for _, mg_ml in material.label_mg_ml))
        fits = all(value > 0 for value in above if value is not None) and all(value >= 0 for value in not_below if value is not None)
        problems.need(fits,
                      f"{material.label}: densities and packs must be above 0; price, stock, waste and label cannot be below 0.")
    for used, kind, where in _used(setup):
        found = [material for material in setup.materials if material.key == used]
        kinds = kind.split(" or ")
        if not found:
            problems.add(f"{where} names {used}, which is not among the materials: describe it there, of kind {kind}.")
        elif found[0].kind not in kinds:
            problems.add(f"{where} names {found[0].label}, which is of kind {found[0].kind} and should be {kind}.")


def _used(setup: Setup) -> Iterable[tuple[str, str, str]]:
    """Material, kind it should be of, and where it is used."""
    for number, layer in enumerate(setup.layers, start=1):
        yield layer.material, "layer", f"Layer {number}"
    for pieces, kind in ((setup.rocks, "rock"), (setup.woods, "wood")):
        for piece in pieces:
            yield piece.material, kind, f"The {kind}"
    for planting in setup.plantings:
        yield planting.material, "plant", "A planting"
    for dose in setup.doses:
        yield dose.material, "salt or liquid", "A dose"


def _check_scopes(setup: Setup, problems: Problems) -> None:
    arms = {arm for _, arm in setup.arms}
    for where, scope in _scopes(setup):
        for unit in scope.units:
            problems.need(unit in setup.units, f"{where} is for unit {unit}, which is not placed in a tank.")
        for arm in scope.arms:
            problems.need(arm in arms,
                          f"{where} is for arm {arm}, and no unit is known to have that arm: draw the arms first, or name units.")


def _scopes(setup: Setup) -> Iterable[tuple[str, Scope]]:
    for where, lines in (("A layer", setup.layers), ("A rock", setup.rocks), ("A piece of wood", setup.woods),
                         ("A planting", setup.plantings), ("A light plan", setup.light), ("A water plan", setup.water),
                         ("A dose", setup.doses)):
        for line in lines:
            yield where, line.scope
    for device in setup.devices:
        yield device.label, device.scope


def _check_bed_and_pieces(setup: Setup, problems: Problems) -> None:
    for number, layer in enumerate(setup.layers, start=1):
        is_slope = layer.front_mm is not None or layer.back_mm is not None
        ways = (layer.mass_kg is not None) + (layer.depth_mm is not None) + is_slope
        problems.need(ways == 1, f"Layer {number} ({layer.material}): give exactly one of mass_kg, depth_mm, or front_mm with back_mm.")
        problems.need(not is_slope or (layer.front_mm is not None and layer.back_mm is not None),
                      f"Layer {number} ({layer.material}): a slope needs front_mm and back_mm.")
        given = (layer.mass_kg, layer.depth_mm, layer.front_mm, layer.back_mm)
        problems.need(all(value >= 0 for value in given if value is not None),
                      f"Layer {number} ({layer.material}): amounts below 0 make no bed.")
    for piece in (*setup.rocks, *setup.woods):
        problems.need(piece.mass_kg > 0 and piece.count >= 1, f"{piece.material}: give a mass above 0 kg and at least one piece.")


def _check_plants(setup: Setup, problems: Problems) -> None:
    for planting in setup.plantings:
        name = f"The planting of {planting.material}"
        problems.need(planting.zone in ZONES, f"{name}: its zone is {planting.zone}; it may be {_or(ZONES)}.")
        problems.need(planting.stock in STOCKS, f"{name}: its stock is {planting.stock}; it may be {_or(STOCKS)}.")
        problems.need((planting.count is None) != (planting.per_100_cm2 is None), f"{name}: give either count or per_100_cm2.")
        problems.need(planting.area_cm2 is None or planting.area_fraction is None, f"{name}: give area_cm2 or area_fraction, not both.")
        problems.need(planting.zone != "on_wood" or planting.count is not None, f"{name}: on wood there is no floor area; give a count.")
        problems.need(planting.area_fraction is None or 0 < planting.area_fraction <= 1,
                      f"{name}: its share of the floor must be above 0 and at most 1.")
        given = (planting.count, planting.per_100_cm2, planting.area_cm2)
        problems.need(all(value > 0 for value in given if value is not None), f"{name}: numbers and areas must be above 0.")


def _check_doses(setup: Setup, problems: Problems) -> None:
    for dose in setup.doses:
        name = f"The dose of {dose.material}"
        problems.need((dose.mass_mg is None) != (dose.volume_ml is None), f"{name}: give either mass_mg or volume_ml.")
        problems.need(all(value > 0 for value in (dose.mass_mg, dose.volume_ml, dose.doses_per_week) if value is not None),
                      f"{name}: amounts and doses per week must be above 0.")
        problems.need(not dose.doses_per_week > MOST_PER_WEEK, f"{name}: {dose.doses_per_week:g} doses a week are more than one an hour.")
        material = next((material for material in setup.materials if material.key == dose.material), None)
        if material is not None and material.kind in DOSED:
            field = DOSED[material.kind]
            problems.need(getattr(dose, field) is not None, f"{name}: a {material.kind} is dosed by {field}.")
            problems.need(material.kind != "salt" or material.formula != "",
                          f"{name}: its formula is not given; write it with its water, such as MgSO4.7H2O.")


def _check_devices_and_light(setup: Setup, problems: Problems) -> None:
    _check_twice("device", (device.key for device in setup.devices), problems)
    for device in setup.devices:
        problems.need(device.kind in DEVICE_KINDS, f"{device.label} is of kind {device.kind}; it may be {_or(DEVICE_KINDS)}.")
        problems.need(0 <= device.hours_per_day <= 24, f"{device.label} runs {device.hours_per_day:g} h a day; a day has 24.")
        for share in (device.in_water_fraction, device.shade_fraction):
            problems.need(0 <= share <= 1, f"{device.label}: a share of {share:g} is not between 0 and 1.")
        given = (device.power_w, device.mass_kg, device.displaced_l, device.owned, device.flow_l_h or 0.0, device.current_ma or 0.0,
                 device.price or 0.0)
        problems.need(all(value >= 0 for value in given),
                      f"{device.label}: power, mass, volume, flow, current, price and stock cannot be below 0.")
        problems.need(device.shared_by >= 1, f"{device.label}: it is shared by {device.shared_by} units; 1 or more make sense.")
        sharing = sum(setup.holds(device.scope, unit) for unit in setup.units)
        problems.need(device.shared_by < 1 or sharing % device.shared_by == 0,
                      f"{device.label} is shared by {device.shared_by} units, and {sharing} have it: whole groups are needed.")
    for light in setup.light:
        problems.need(light.target_umol >= LEAST_LIGHT_UMOL and LEAST_HOURS <= light.hours_per_day <= 24,
                      f"A light plan needs {LEAST_LIGHT_UMOL:g} µmol m⁻² s⁻¹ or more, the least that meters show, and {LEAST_HOURS:g} to "
                      "24 hours a day.")
        problems.need(light.unit_of_measure in ("umol", "lux"), f"Light was measured in {light.unit_of_measure}; it may be umol or lux.")
        problems.need(light.unit_of_measure != "lux" or light.source != "" or not light.measured,
                      "Light was measured in lux: name the kind of lamp as source, because a lux is more or less plant light by the lamp.")


def _check_one_each(setup: Setup, problems: Problems) -> None:
    for unit in setup.units:
        for what, lines in (("light plan", setup.light), ("water plan", setup.water)):
            held = sum(setup.holds(line.scope, unit) for line in lines)
            problems.need(held <= 1, f"Unit {unit} has {held} {what}s: one is needed; narrow their units or arms.")
    for plan in setup.water:
        problems.need(plan.change_fraction == 0 or LEAST_CHANGE <= plan.change_fraction <= 1,
                      f"A water change of {plan.change_fraction:g} of the water: give a share from {LEAST_CHANGE:g} to 1, or 0 for none.")
        problems.need(0 <= plan.changes_per_week <= MOST_PER_WEEK,
                      f"{plan.changes_per_week:g} water changes a week: 0 to {MOST_PER_WEEK} make sense.")
        problems.need(all(part > 0 for _, part in plan.gh_salts), "Each of the gh_salts needs a part above 0.")
        for water in (plan.tap, *(() if plan.pure is None else (plan.pure,))):
            told = (water.gh_dgh, water.kh_dkh, water.conductivity_us_cm or 0.0, *(mg_l for _, mg_l in water.ions_mg_l))
            problems.need(all(value >= 0 for value in told), f"{water.key}: hardness, conductivity and ions cannot be below 0.")
    problems.need(0 < setup.weeks <= MOST_WEEKS,
                  f"The trial runs for {setup.weeks:g} weeks; more than 0 and at most {MOST_WEEKS} make sense.")
    price = setup.money.electricity_per_kwh
    problems.need(price is None or price >= 0, "The price of electricity cannot be below 0.")
    problems.need(0 <= setup.waste_fraction < 10, f"A waste of {setup.waste_fraction:g} times what is needed: give a share such as 0.1.")


def _check_twice(what: str, keys: Iterable[str], problems: Problems) -> None:
    for key, count in Counter(keys).items():
        problems.need(count == 1, f"The {what} {key} is described {count} times: each needs a key of its own.")


def _or(words: Iterable[str]) -> str:
    return ", ".join(words)


def _are(keys: Iterable[str]) -> str:
    listed = ", ".join(keys)
    return f"are {listed}" if listed else "is none"


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"

