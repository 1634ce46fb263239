"""PHREEQC through phreeqpython, as a second opinion on water chemistry: waters by their GH, KH and pH, and lines of its data files."""

import re
from functools import cache
from pathlib import Path

MMOL_PER_DKH = 0.356650  # of charges; 10 mg/L CaO


@cache
def phreeqc(database="phreeqc.dat"):
    from phreeqpython import PhreeqPython

    return PhreeqPython(database=database)


def water(temp_c, alkalinity_dkh, ph, *, calcium_share=0.0):
    """Bicarbonate water; calcium_share of its alkalinity comes with calcium, above 1 with chloride for the rest, and else with sodium."""
    charges = alkalinity_dkh * MMOL_PER_DKH
    calcium = charges * calcium_share
    return phreeqc().add_solution({
        "units": "mmol/kgw", "temp": temp_c, "pH": ph, "Alkalinity": charges, "Ca": calcium / 2, "Na": max(charges - calcium, 0),
        "Cl": max(calcium - charges, 0),
    })


def aired(temp_c, alkalinity_dkh, co2_ppm=420):
    """Sodium bicarbonate water at rest with air of one atmosphere."""
    from math import log10

    charges = alkalinity_dkh * MMOL_PER_DKH
    solution = phreeqc().add_solution({"units": "mmol/kgw", "temp": temp_c, "pH": 7, "Na": charges, "Alkalinity": charges} if charges
                                      else {"temp": temp_c})
    solution.equalize(["CO2(g)"], [log10(co2_ppm * 1e-6)])
    return solution


def co2_mg_l(solution):
    return solution.species["CO2"] * 44009.5


def analytic_line(database, reaction):
    """The coefficients of the temperature function under a reaction in a data file."""
    import phreeqpython

    text = (Path(phreeqpython.__file__).parent / "database" / database).read_text(encoding="latin-1")
    pattern = r"\s+".join(map(re.escape, reaction.split()))
    after = text[re.search(rf"(?m)^\s*{pattern}\s*$", text).end():]
    numbers = re.search(r"-analytic(?:al)?\s+(.*)", after)[1].split("#")[0].split()
    return [float(number) for number in numbers]
