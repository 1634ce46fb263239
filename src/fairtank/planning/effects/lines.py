"""What a layer, a stone, a piece of wood or a light of one arm brings besides itself: less water, a higher bed, more light in a day."""

from collections.abc import Iterator

from fairtank.build import Light, Piece, Setup
from fairtank.planning.building.beds import densities
from fairtank.planning.building.equipment import light_of
from fairtank.planning.effects.side_effect import SideEffect, is_apart
from fairtank.planning.sheet import BuildSheet
from fairtank.science.bed import HARDSCAPE
from fairtank.science.vessel import displaced_l

# Days of light that differ by less than this are alike: a timer and a meter are no finer. Common practice, no source.
LIKE_LIGHT_SHARE = 0.01


def layer_effects(setup: Setup, sheet: BuildSheet, unit: str) -> Iterator[SideEffect]:
    """Of each layer that not all units have: the water that its grains take the place of, and how much nearer the bed is to the lamp."""
    facts = sheet.facts_of(unit)
    held = [layer for layer in setup.layers if setup.holds(layer.scope, unit)]
    for layer, built in zip(held, facts.layers, strict=True):
        if is_apart(setup, layer.scope):
            material = setup.material(layer.material)
            taken = float(displaced_l(built.mass_kg, densities(material)[1]))
            yield _taken(unit, taken, facts.net_l, material.label, "mass / density of the grains")
            low, high = sorted((built.front_mm, built.back_mm))
            yield SideEffect(unit, "bed height", built.depth_mm, low, high, "mm", material.label,
                             "depth of the layer, by which the bed comes nearer to the lamp", "same_top")


def piece_effects(setup: Setup, sheet: BuildSheet, unit: str) -> Iterator[SideEffect]:
    """Of each rock or wood that not all units have: the water that it takes the place of."""
    for piece in (*setup.rocks, *setup.woods):
        if is_apart(setup, piece.scope) and setup.holds(piece.scope, unit):
            taken = float(displaced_l(piece.mass_kg, _density_kg_l(setup, piece)))
            yield _taken(unit, taken, sheet.facts_of(unit).net_l, setup.material(piece.material).label, "mass / density")


def light_effects(setup: Setup, sheet: BuildSheet, unit: str) -> Iterator[SideEffect]:
    """Of a light that not all units have: how much more or less light a day brings than in the units under other light.

    To even it out, the same light in a day is had from the light at the bed that is told with it.
    """
    light = light_of(setup, unit)
    own = sheet.facts_of(unit).daily_light_mol_m2
    if light is None or own is None or not is_apart(setup, light.scope):
        return
    others = [daily for other in setup.units if light_of(setup, other) != light
              if (daily := sheet.facts_of(other).daily_light_mol_m2) is not None]
    if not others:
        return
    usual = sum(others) / len(others)
    if abs(own - usual) > LIKE_LIGHT_SHARE * usual:
        yield SideEffect(unit, "light", own - usual, own - max(others), own - min(others), "mol m⁻² d⁻¹", _light_label(light),
                         "light in a day here less that in the units under other light", "same_light",
                         remedy_amount=light.target_umol * usual / own, remedy_unit="µmol m⁻² s⁻¹", share=(own - usual) / usual)


def _taken(unit: str, litres: float, net_l: float, cause: str, working: str) -> SideEffect:
    return SideEffect(unit, "volume", -litres, -litres, -litres, "L", cause, working, "blank", remedy_amount=litres, remedy_unit="L",
                      share=-litres / (net_l + litres))


def _density_kg_l(setup: Setup, piece: Piece) -> float:
    """The keeper's own density, else that of the table; the sheet was refused where neither is known."""
    return setup.material(piece.material).particle_density_kg_l or HARDSCAPE[piece.material]


def _light_label(light: Light) -> str:
    return f"light of {light.target_umol:g} µmol m⁻² s⁻¹ for {light.hours_per_day:g} h a day"
