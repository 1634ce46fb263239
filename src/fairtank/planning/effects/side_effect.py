"""What a line of the setup brings into a unit besides what it is there for, as a frozen dataclass."""

from dataclasses import dataclass

from fairtank.build import ALL_UNITS, Scope, Setup

# What two arms should be alike in, apart from the change; dissolved ions by their names stand beside these.
FACTORS = ("temperature", "volume", "flow", "light", "bed height", "evaporation", "oxygen", "hydrogen", "general hardness",
           "carbonate hardness", "conductivity")
IONS = {
    "NO3": "nitrate", "NH4": "ammonium", "PO4": "phosphate", "K": "potassium", "Ca": "calcium", "Mg": "magnesium", "Fe": "iron",
    "SO4": "sulphate", "Cl": "chloride", "Na": "sodium", "HCO3": "hydrogen carbonate", "CO3": "carbonate", "N": "nitrogen",
    "P": "phosphorus",
}
REMEDIES = ("thermostat", "blank", "same_flow", "same_shade", "same_cover", "same_light", "same_top", "same_ion", "same_hardness",
            "compare_rise", "say", "check_claim", "air")


@dataclass(frozen=True)
class SideEffect:
    """One thing that comes along with a line of the setup.

    unit: where it happens. factor: one of FACTORS, or an ion by its name. amount, low, high: how much, at best guess and in range; negative
    for less. unit_of_measure: of the three. cause: what readers call the line. working: the formula in words. remedy: one of REMEDIES,
    what to give the other arm; remedy_material, remedy_amount and remedy_unit: of what and how much, where that can be said. share: the
    amount as a share of what the unit has anyway; None where that says nothing.
    """

    unit: str
    factor: str
    amount: float
    low: float
    high: float
    unit_of_measure: str
    cause: str
    working: str
    remedy: str
    remedy_material: str = ""
    remedy_amount: float | None = None
    remedy_unit: str = ""
    share: float | None = None


def is_apart(setup: Setup, scope: Scope) -> bool:
    """Whether a line holds for some units but not for all."""
    return scope != ALL_UNITS and not all(setup.holds(scope, unit) for unit in setup.units)
