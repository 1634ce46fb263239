"""Rock and wood of one unit: mass, pieces, and the water they push aside."""

from dataclasses import dataclass

from fairtank.build import Piece, Setup
from fairtank.errors import DesignError
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.building.problems import Problems
from fairtank.planning.building.rounding import HARDSCAPE_SHARE
from fairtank.planning.sheet import SheetLine
from fairtank.science.bed import HARDSCAPE
from fairtank.science.vessel import displaced_l


@dataclass(frozen=True)
class Hardscape:
    """Rock and wood of one unit: lines, mass [kg], displaced water [L]."""

    lines: tuple[SheetLine, ...] = ()
    mass_kg: float = 0.0
    displaced_l: float = 0.0


def hardscape_of(setup: Setup, unit: str, problems: Problems) -> Hardscape:
    """Rock and wood of one unit, as heavy in each as the setup says; a piece that cannot be reckoned is noted and left out."""
    built = Hardscape()
    for pieces in (setup.rocks, setup.woods):
        for piece in pieces:
            if setup.holds(piece.scope, unit):
                with problems.noted():
                    built = _with_piece(built, setup, unit, piece)
    return built


def _with_piece(built: Hardscape, setup: Setup, unit: str, piece: Piece) -> Hardscape:
    material = setup.material(piece.material)
    density_kg_l = material.particle_density_kg_l or HARDSCAPE.get(material.key)
    if density_kg_l is None:
        raise DesignError(f"The density of {material.label} is not known: give particle_density_kg_l (weigh a piece in air and under "
                          f"water), or name the material by one of {', '.join(HARDSCAPE)}.")
    note = "in one piece" if piece.count == 1 else f"in {piece.count} pieces"
    if density_kg_l < 1:
        note += "; it floats, so soak or fasten it: it counts as held under water"
    line = sheet_line(unit, "hardscape", material.key, material.label, piece.mass_kg, "kg", note=note, batch=material.batch,
                      share=HARDSCAPE_SHARE)
    if line.planned == 0:
        raise DesignError(f"{material.label} of less than a gram cannot be weighed: leave it out or give more.")
    return Hardscape((*built.lines, line), built.mass_kg + line.planned, built.displaced_l + float(displaced_l(line.planned, density_kg_l)))
