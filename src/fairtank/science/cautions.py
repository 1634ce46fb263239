"""The usual cautions where the work can hurt someone; local codes, product sheets and licensed people prevail."""

from dataclasses import dataclass

LAST_WORD = "Local codes, the product's own sheet and licensed people come first."


@dataclass(frozen=True)
class Caution:
    """What may happen, and what is usually done about it. sources: keys of the bibliography."""

    key: str
    title: str
    text: str
    sources: tuple[str, ...]


# Limits of residual-current protection and of permanent loads on glue are recalled, not read.
_CAUTIONS = (
    Caution(
        "mains", "Mains near water",
        "Use residual-current protection (30 mA or less) and test it monthly; give every cable a drip loop; keep sockets beside "
        "or above the tank, not below it; unplug before a hand goes into the water. Wiring is work for a licensed electrician.",
        ("common_practice",),
    ),
    Caution(
        "co2_cylinder", "Carbon dioxide under pressure",
        "Fix the cylinder upright, use a regulator made for it, never heat it, and air the room. Workplace limits are 5,000 ppm "
        "over a day and 30,000 ppm for 15 minutes; 40,000 ppm is dangerous at once. Headache or short breath: leave the room "
        "and let air in.",
        ("niosh_pocket_guide",),
    ),
    Caution(
        "co2_animals", "Carbon dioxide and animals",
        "Watch the animals from 30 mg/L on and stop the gas at 40 mg/L: usual lines for fish, and some animals bear less. An animal that "
        "gasps at the surface: shut the gas off and air the water at once. A figure from pH and KH and the colour of an indicator can be "
        "far off or hours late; the animals come first.",
        ("common_practice",),
    ),
    Caution(
        "cyanoacrylate", "Instant glue",
        "On cotton, wool, tissue or baking soda it sets at once with heat and smoke and may start a fire. No cotton gloves, "
        "wear eye protection, and let air in.",
        ("cyanoacrylate_sheet", "common_practice"),
    ),
    Caution(
        "weight", "Weight",
        "One litre weighs one kilogram. Never lift a filled tank; check that the stand is made for the load, and ask a "
        "structural professional about the floor when tanks stand together. This is a sum of masses, not a structural "
        "calculation.",
        ("common_practice",),
    ),
    Caution(
        "glass", "Glass",
        "A screening, not a structural calculation; have it checked by a glazier or structural professional. Chips, cracks and "
        "old sealant weaken a tank in ways that no formula sees. Wear gloves, put no load on the rim, and fill and empty both "
        "sides of a divider together.",
        ("common_practice",),
    ),
    Caution(
        "acids_bleach", "Acids and bleach",
        "Pour acid into water, never water into acid. Never mix bleach with acid or with ammonia: the gas is poisonous. Gloves "
        "and eye protection.",
        ("common_practice",),
    ),
    Caution(
        "dry_salts", "Dry salts",
        "Nitrates feed a fire: keep them dry, away from fuel, labelled, never in vessels for food or drink, out of children's "
        "reach. How much may be kept, and whether it may be bought, differs by country.",
        ("clp_h272",),
    ),
    Caution(
        "uv_c", "UV-C light",
        "Never look into it or let it touch skin; use it only in a housing that switches off when opened.",
        ("common_practice",),
    ),
    Caution(
        "electrolysis", "Electrolysis",
        "It makes hydrogen, which burns, and chlorine where there is chloride in the water: let air move over the tank, and "
        "keep mains parts dry.",
        ("common_practice",),
    ),
    Caution(
        "plants_animals", "Plants and animals",
        "Release nothing into nature; in many places it is forbidden. Animals in a trial are protected by welfare law: their "
        "distress ends the trial.",
        ("common_practice",),
    ),
)
CAUTIONS = {caution.key: caution for caution in _CAUTIONS}
