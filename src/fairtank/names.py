"""The house glossary: every quantity that appears in names, with its suffix, unit, symbol and plain label."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Name:
    """One quantity: the suffix that names carry, its unit, its symbol and what people call it."""

    suffix: str
    unit: str
    symbol: str
    label: str


NAMES = (
    Name("volume_l", "L", "V", "volume"),
    Name("mass_kg", "kg", "m", "mass"),
    Name("mass_g", "g", "m", "mass"),
    Name("length_mm", "mm", "L", "outer length"),
    Name("width_mm", "mm", "W", "outer depth from front to back"),
    Name("height_mm", "mm", "H", "outer height"),
    Name("water_mm", "mm", "h", "water line above the inner bottom"),
    Name("glass_mm", "mm", "g", "glass thickness"),
    Name("height_cm", "cm", "h", "height"),
    Name("width_cm", "cm", "w", "width"),
    Name("area_cm2", "cm²", "A", "area"),
    Name("density_kg_l", "kg/L", "ρ", "density"),
    Name("temp_c", "°C", "t", "temperature"),
    Name("ph", "", "pH", "pH"),
    Name("alkalinity_dkh", "dKH", "KH", "carbonate hardness"),
    Name("hardness_dgh", "dGH", "GH", "general hardness"),
    Name("conductivity_us_cm", "µS/cm", "κ", "conductivity at 25 °C"),
    Name("light_umol", "µmol m⁻² s⁻¹", "PPFD", "light"),
    Name("cover_fraction", "", "p", "cover as a share from 0 to 1"),
    Name("cover_pct", "%", "p", "cover"),
    Name("day", "d", "d", "whole days since the start of the trial"),
    Name("lightness", "", "L*", "CIELAB lightness"),
    Name("redness", "", "a*", "CIELAB redness (negative: green)"),
    Name("yellowness", "", "b*", "CIELAB yellowness (negative: blue)"),
    Name("px", "px", "", "picture elements of the upright photo"),
)
