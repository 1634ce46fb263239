"""What plants do to the gases of a tank between lights on and lights off: how much of them there is, and how far they swing the water.

All rates here are assumptions, wide on purpose: nobody weighs the plants of a running tank.
"""

import math

from fairtank.planning.claiming.single import word_or_number
from fairtank.registry import Input

# Dry mass of plants for each litre, by the word: `many` is 20 g in 60 L, `few` less than a third of it. Assumptions, no source.
PLANTS_G_L = {"none": 0.0, "few": 0.1, "many": 1.0 / 3.0}
# Oxygen that a gram of dry plants gives off in aquarium light [mg/(g h)]. An assumption, no source; an alga with all the light it could
# use gave 25 to 50 (lester1988).
OXYGEN_RATE_MG_G_H = (2.0, 10.0)
# What they use in the dark, as a share of what they give off in the light. An assumption, no source.
DARK_SHARE = (0.1, 0.3)
# Carbon dioxide taken up for the oxygen given off, one molecule for one: 44.0095 by 31.9988 g/mol.
CARBON_DIOXIDE_BY_OXYGEN = 44.0095 / 31.9988

PLANTS = Input("plants", "plants in the tank: a word, or their dry mass", "g", 0, 2000, choices=tuple(PLANTS_G_L), default="many")
LIGHT_HOURS = Input("light_hours", "hours of light a day", "h", 1, 23, default=8.0)


def plants_dry_g(plants: str | float, volume_l: float) -> float:
    """Dry mass of the plants [g]: as given, or by the word for each litre of water."""
    known = word_or_number(PLANTS, plants)
    return PLANTS_G_L[known] * volume_l if isinstance(known, str) else known


def day_swing_mg_l(light_mg_h: float, dark_mg_h: float, light_hours: float, exchange_l_h: float, volume_l: float) -> float:
    """From the lowest to the highest value of a day, once every day is like the last [mg/L].

    Plants give light_mg_h while the light is on and take dark_mg_h while it is off (or the other way round). exchange_l_h is the water
    that the surface brings to balance with the air in an hour; the water follows with the time constant volume / exchange. Two
    exponentials meet at lights on and at lights off.
    """
    rate = exchange_l_h / volume_l
    # In a tank that evens out slowly the exponentials cancel; expm1 keeps the digits.
    on, off, day = (-math.expm1(-rate * hours) for hours in (light_hours, 24.0 - light_hours, 24.0))
    return (light_mg_h + dark_mg_h) / exchange_l_h * on * off / day
