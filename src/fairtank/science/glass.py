"""Bending of panes and dividers under water, the thrust on a divider and the pull on its seam.

Everything here is a screening, not a structural calculation: have a tank of your own design checked by a glazier or a structural
professional. The formulas see neither chips, cracks, old sealant nor a stand that is not flat. Annealed glass is meant; toughened glass
cannot be cut and shatters wholly.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science.plates import HIGHEST_RATIO, LOWEST_RATIO, SUPPORTS, plate_coefficients
from fairtank.science.ranges import Floats, one_of, plain, within
from fairtank.science.vessel import GRAVITY_M_S2, WATER_KG_L

# Soda-lime float glass, literature values from memory (en572; 0.20 to 0.23 is found for Poisson's ratio).
YOUNG_MPA = 70_000.0
POISSON = 0.22
# Literature value from memory: the breaking strength that the trade's safety factor is counted from; and the least factor it usually keeps.
BREAKING_MPA = 19.2
USUAL_LEAST_SAFETY = 3.8
# Annealed float under a load that stays, en16612 from memory: 0.29 (permanent load) x 1 (float surface) x 45 MPa / 1.8.
PERMANENT_STRESS_MPA = 0.29 * 1.0 * 45 / 1.8
# Design strength of structural silicone, astm_c1401 from memory: a load of seconds (20 psi), and a load that stays, lowest and highest.
SILICONE_SHORT_MPA = 0.138
SILICONE_PERMANENT_MPA = (0.007, 0.014)
# One kg/cm² is a kilogram's weight on a square centimetre. A sealant guide (sealant_guide) takes it for 0.2 MPa: twice too much.
MPA_PER_KG_CM2 = GRAVITY_M_S2 / 100

# young2002, table 11.4, case 1a: ratio of long to short side, stress and deflection of a plate held on four edges; Poisson's ratio 0.3.
_EVEN_RATIO = np.array([1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0, 4.0, 5.0, np.inf])
_EVEN_STRESS = np.array([0.2874, 0.3762, 0.4530, 0.5172, 0.5688, 0.6102, 0.7134, 0.7410, 0.7476, 0.7500])
_EVEN_DEFLECTION = np.array([0.0444, 0.0616, 0.0770, 0.0906, 0.1017, 0.1110, 0.1335, 0.1400, 0.1417, 0.1421])
_EVEN_POISSON = 0.3

# What a tape or a ruler is off by, at most: common practice, no source.
_TAPE = ReadingError(2, instrument="tape measure")
_CALLIPER = ReadingError(0.2, instrument="calliper, or the nominal thickness")
_WIDTH = Input("width_mm", "width of the pane between its seams", "mm", 20, 5000, error=_TAPE)
_HEIGHT = Input("height_mm", "height of the pane from its bottom seam to its top edge", "mm", 20, 2000, error=_TAPE)
_WATER = Input("water_mm", "water line above the bottom seam", "mm", 10, 2000, error=_TAPE)
_THICKNESS = Input("thickness_mm", "glass thickness", "mm", 2, 50, error=_CALLIPER)
_SUPPORT = Input("support", "how the edges are held", choices=SUPPORTS, default="free_top")
_LENGTH = Input("length_mm", "one side of the pane", "mm", 20, 5000, error=_TAPE)
_OTHER = Input("width_mm", "the other side of the pane", "mm", 20, 5000, error=_TAPE)
_PRESSURE = Input("pressure_kn_m2", "load on each square metre", "kN/m²", 0.01, 50)
_SEAM = Input("seam_mm", "width of the glued strip", "mm", 1, 50, error=ReadingError(0.5, instrument="ruler"))
_PANEL_OUTPUTS = (
    Output("moment_coefficient", "moment coefficient"), Output("stress_mpa", "largest stress", "MPa"),
    Output("deflection_mm", "largest bulge", "mm"), Output("safety_factor", "safety factor: breaking strength by stress"),
)


@dataclass(frozen=True)
class Panel:
    """Bending of one pane: moment coefficient [-], largest stress [MPa], largest deflection [mm], safety factor [-]."""

    moment_coefficient: Floats
    stress_mpa: Floats
    deflection_mm: Floats
    safety_factor: Floats


@dataclass(frozen=True)
class Thrust:
    """Push of the water on an upright pane: force [N], and how high above the floor it acts [mm]."""

    force_n: Floats
    height_mm: Floats


@calculator(title="Bending of a pane under water", outputs=_PANEL_OUTPUTS,
            sources=("timoshenko1959", "young2002", "en572", "en16612", "common_practice"),
            inputs=(_WIDTH, _HEIGHT, _WATER, _THICKNESS, _SUPPORT), cautions=("glass",))
def panel(width_mm: ArrayLike, height_mm: ArrayLike, water_mm: ArrayLike, thickness_mm: ArrayLike, support: str = "free_top") -> Panel:
    """Largest stress and bulge of an upright pane with water on one side: a screening, not a structural calculation.

    (1) stress = 6 m q0 b² / t², (2) deflection = k q0 b⁴ / D, D = E t³ / (12 (1 - ν²)), with q0 the water pressure at the bottom seam, b
    the height and t the thickness of the pane; m and k by the ratio of width to height and by the support:

    - free_top: bottom and sides glued with silicone, top edge free (a pane of a tank without a brace; a glued divider with water
      on one side only). From a ratio of 2.3 on, twist near the lower corners governs.
    - braced: the top edge is held too, by a frame or braces that cannot give way.
    - clamped: bottom and sides held so that they cannot turn. Silicone does not do that; it is the other end of the scale, and the
      stress told is that along the held edge.

    Water below the top edge counts as if the pane were loaded up to its edge by the pressure of this depth; that tells too much
    stress, never too little (at 90 % of the height a quarter too much). Linear theory: once the bulge is more than half of the thickness,
    it tells too much stress and bulge. The safety factor is 19.2 MPa by the stress; 3.8 is the usual least of the trade, both from memory.
    For comparison: 7.25 MPa is the design strength of annealed float under a load that stays, from memory. A divider is not made for
    water on one side: fill and empty both sides together.

    Parameters
    ----------
    width_mm : float or array of shape (n,)
        Width of the pane between its seams, 0.5 to 4 times its height. [mm], 20 to 5000.
    height_mm : float or array of shape (n,)
        Height of the pane from its bottom seam to its top edge. [mm], 20 to 2000.
    water_mm : float or array of shape (n,)
        Water line above the bottom seam, not above the top edge. [mm], 10 to 2000.
    thickness_mm : float or array of shape (n,)
        Glass thickness. [mm], 2 to 50.
    support : str
        How the edges are held: free_top, braced or clamped. [-]

    Returns
    -------
    Panel
        moment_coefficient [-], stress_mpa [MPa], deflection_mm [mm], safety_factor [-].

    Raises
    ------
    OutOfRangeError
        If a size lies outside its range, the water stands above the pane, or the pane is too narrow or too long for its height.
    InputError
        If the support is none of the three words.

    References
    ----------
    timoshenko1959 for the theory; young2002, table 11.4, against which its solution is held; en572 for E and ν and en16612 for the
    design strength, from memory; common_practice for the least safety factor (keys from sources.py).

    Examples
    --------
    >>> pane = panel(600, 348, 330, 6)
    >>> round(pane.stress_mpa, 2), round(pane.deflection_mm, 2), round(pane.safety_factor, 1)
    (4.4, 0.79, 4.4)
    """
    width, height, water = within(_WIDTH, width_mm), within(_HEIGHT, height_mm), within(_WATER, water_mm)
    thickness, support = within(_THICKNESS, thickness_mm), one_of(_SUPPORT, support)
    width, height, water, thickness = np.broadcast_arrays(width, height, water, thickness)
    if (water > height).any():
        first = water[water > height].flat[0]
        raise OutOfRangeError("water_mm", f"{float(first)!r} mm", "no more than the height of the pane", "Were the two exchanged?")
    moment, deflection = plate_coefficients(support, _ratio(width, height))
    foot_mpa = WATER_KG_L * GRAVITY_M_S2 * water * 1e-6
    stress = 6 * moment * foot_mpa * (height / thickness) ** 2
    bulge = deflection * foot_mpa * height**4 / _stiffness(thickness)
    return _told(moment, stress, bulge)


def _ratio(width: NDArray[np.float64], height: NDArray[np.float64]) -> NDArray[np.float64]:
    """Width by height; refuses what the coefficients do not cover."""
    ratio = width / height
    outside = (ratio < LOWEST_RATIO) | (ratio > HIGHEST_RATIO)
    if outside.any():
        first, its_height = float(width[outside].flat[0]), float(height[outside].flat[0])
        narrow = first < LOWEST_RATIO * its_height
        accepted = f"{LOWEST_RATIO * its_height:g} to {HIGHEST_RATIO * its_height:g} mm, half to four times the height"
        raise OutOfRangeError("width_mm", f"{first!r} mm", accepted,
                              "A narrower pane bends less: half the height as its width is a safe stand-in." if narrow else
                              "So long a pane needs braces, and a glazier's own calculation.")
    return ratio


def _stiffness(thickness: NDArray[np.float64]) -> NDArray[np.float64]:
    """Bending stiffness of glass of this thickness [N mm]."""
    return YOUNG_MPA * thickness**3 / (12 * (1 - POISSON**2))


def _told(moment: NDArray[np.float64], stress: NDArray[np.float64], bulge: NDArray[np.float64]) -> Panel:
    return Panel(plain(moment), plain(stress), plain(bulge), plain(BREAKING_MPA / stress))


@calculator(title="Bending of a pane under an even load", outputs=_PANEL_OUTPUTS, sources=("young2002", "en572", "common_practice"),
            inputs=(_LENGTH, _OTHER, _PRESSURE, _THICKNESS), cautions=("glass",))
def uniform_panel(length_mm: ArrayLike, width_mm: ArrayLike, pressure_kn_m2: ArrayLike, thickness_mm: ArrayLike) -> Panel:
    """Largest stress and bulge of a pane held on its four edges only, loaded evenly: a bottom pane on a frame, a lid, a shelf.

    (1) stress = β q b² / t², (2) deflection = α q b⁴ / (E t³) with b the shorter side; the moment coefficient is β / 6. A bottom pane
    that lies wholly on a flat board or mat does not bend, and nothing is to be computed. One metre of water is 9.8 kN/m²; add the bed
    and the stones; a heap of stones is not an even load.

    β is the printed one for ν 0.3, up to 7 % above that of glass; between the printed ratios the result is 0.3 % too low to 2 % too
    high. The deflection is turned to ν 0.22. Linear theory: once the bulge is more than half of the thickness, it tells too much.

    Parameters
    ----------
    length_mm : float or array of shape (n,)
        One side of the pane. [mm], 20 to 5000.
    width_mm : float or array of shape (n,)
        The other side of the pane. [mm], 20 to 5000.
    pressure_kn_m2 : float or array of shape (n,)
        Load on each square metre. [kN/m²], 0.01 to 50.
    thickness_mm : float or array of shape (n,)
        Glass thickness. [mm], 2 to 50.

    Returns
    -------
    Panel
        moment_coefficient [-], stress_mpa [MPa], deflection_mm [mm], safety_factor [-].

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    young2002, table 11.4, case 1a; en572 for E and ν, from memory; common_practice for the least safety factor (keys from sources.py).

    Examples
    --------
    >>> lid = uniform_panel(600, 300, 0.1, 4)
    >>> round(lid.stress_mpa, 3), round(lid.deflection_mm, 3)
    (0.343, 0.021)
    """
    one, other = within(_LENGTH, length_mm), within(_OTHER, width_mm)
    pressure_mpa, thickness = within(_PRESSURE, pressure_kn_m2) / 1000, within(_THICKNESS, thickness_mm)
    short = np.minimum(one, other)
    # Between the printed ratios a straight line over the square of short by long side follows the solution best.
    place, printed = (short / np.maximum(one, other)) ** 2, (1 / _EVEN_RATIO[::-1]) ** 2
    stress_share, deflection_share = np.interp(place, printed, _EVEN_STRESS[::-1]), np.interp(place, printed, _EVEN_DEFLECTION[::-1])
    stress = stress_share * pressure_mpa * (short / thickness) ** 2
    # The printed deflection holds for a stiffness D with ν 0.3; in terms of D it does not depend on ν.
    bulge = deflection_share / (12 * (1 - _EVEN_POISSON**2)) * pressure_mpa * short**4 / _stiffness(thickness)
    moment, stress, bulge = np.broadcast_arrays(stress_share / 6, stress, bulge)
    return _told(moment, stress, bulge)


@calculator(title="Push of the water on a divider",
            outputs=(Output("force_n", "push", "N"), Output("height_mm", "acts above the floor", "mm")),
            sources=("arithmetic", "iapws95"), inputs=(_WIDTH, _WATER), cautions=("glass",))
def divider_thrust(width_mm: ArrayLike, water_mm: ArrayLike) -> Thrust:
    """Push of the water on an upright pane with water on one side only, and how high it acts.

    (1) force = ρ g h² s / 2 at a height of h / 3. With water on both sides the two pushes cancel. The seam carries the whole push; if
    the water pushes the divider away from its fillet, the bead peels, which it bears worst. Fill and empty both sides together.

    Parameters
    ----------
    width_mm : float or array of shape (n,)
        Width of the pane between its seams. [mm], 20 to 5000.
    water_mm : float or array of shape (n,)
        Water line above the bottom seam. [mm], 10 to 2000.

    Returns
    -------
    Thrust
        force_n [N] and height_mm [mm].

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic; iapws95 for the density of water at 25 °C (keys from sources.py).

    Examples
    --------
    >>> push = divider_thrust(300, 330)
    >>> round(push.force_n, 1), round(push.height_mm)
    (159.7, 110)
    """
    width, water = np.broadcast_arrays(within(_WIDTH, width_mm), within(_WATER, water_mm))
    return Thrust(plain(WATER_KG_L * GRAVITY_M_S2 * water**2 * width * 1e-6 / 2), plain(water / 3))


@calculator(title="Stress in a bottom seam", unit="MPa", sources=("arithmetic", "iapws95", "astm_c1401"), inputs=(_WATER, _SEAM),
            cautions=("glass",))
def seam_stress_mpa(water_mm: ArrayLike, seam_mm: ArrayLike) -> Floats:
    """Stress in the bottom seam if it carried the whole push of the water alone: an upper bound.

    (1) line load = ρ g h² / 2 per metre of seam; (2) stress = line load by the width of the glued strip. The side seams and the bottom
    share the push in truth. Structural silicone is designed for 0.138 MPa over seconds and for
    0.007 to 0.014 MPa under a load that stays, both from memory; this bound lies above the latter for nearly every tank, so compare
    one build with another by it and leave the verdict to a glazier. A maker's kg/cm² is 0.098 MPa, not 0.2.

    Parameters
    ----------
    water_mm : float or array of shape (n,)
        Water line above the bottom seam. [mm], 10 to 2000.
    seam_mm : float or array of shape (n,)
        Width of the glued strip, usually the thickness of the glass. [mm], 1 to 50.

    Returns
    -------
    float or array of shape (n,)
        Stress in the seam. [MPa]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic; iapws95 for the density of water at 25 °C; astm_c1401 for the design strengths, from memory (keys from sources.py).

    Examples
    --------
    >>> round(seam_stress_mpa(330, 6), 3)
    0.089
    """
    line_n_mm = WATER_KG_L * GRAVITY_M_S2 * within(_WATER, water_mm) ** 2 * 1e-6 / 2
    return plain(line_n_mm / within(_SEAM, seam_mm))
