"""The claim checks: could the effect that is claimed for a device, a gas, a fertiliser or a lamp be measured in this tank?

Each stands in a file of its own; this one is their map.
"""

from fairtank.planning.claiming.carbon_dioxide import carbon_dioxide_claim
from fairtank.planning.claiming.light import light_claim
from fairtank.planning.claiming.nutrient import nutrient_claim
from fairtank.planning.claiming.oxygen import oxygen_claim

__all__ = ["carbon_dioxide_claim", "light_claim", "nutrient_claim", "oxygen_claim"]
