"""Bending coefficients of a pane under water, by its width/height ratio and by how its edges are held.

moment: largest bending moment in q0 b², deflection: largest deflection in q0 b⁴/D, where q0 is the water pressure at the foot, b the
height of the pane and D = E t³ / (12 (1 - ν²)). Water stands to the top edge. The numbers come from an energy (Ritz) solution with
Legendre polynomials that stands beside the tests and is repeated there; with all edges held and an even load it gives the printed table
of young2002 within 0.6 %.

free_top: bottom and sides turn but do not move, as silicone lets them; top edge free; ν 0.22. The moment is the largest of all directions:
from a ratio of 2.3 on, twist beside the lower corners governs, not the middle of the top edge.
braced: all four edges turn but do not move; ν 0.22.
clamped: bottom and sides neither turn nor move, top free; the moment is that along the clamped edge, which governs. ν 0.30, which
reads up to 1.5 % (moment) and 5 % (deflection) above 0.22: the safe side.

Between rows a cubic in the logarithms; that stays within 0.15 % of the solution (clamped: 0.3 %).
"""

import numpy as np
from numpy.typing import NDArray

SUPPORTS = ("free_top", "braced", "clamped")

# Ratio, then moment and deflection of free_top, braced and clamped.
_ROWS = (
    (0.5, 0.013963, 0.00034915, 0.013688, 0.00034017, 0.012462, 9.1022e-05),
    (0.525, 0.014868, 0.00040914, 0.014482, 0.00039531, 0.013387, 0.00010733),
    (0.55, 0.015771, 0.00047556, 0.015247, 0.000455, 0.014316, 0.00012538),
    (0.6, 0.01758, 0.00062925, 0.01668, 0.00058748, 0.016175, 0.00016693),
    (0.64, 0.019032, 0.00077398, 0.017725, 0.00070524, 0.017655, 0.00020561),
    (0.65, 0.019396, 0.00081342, 0.017971, 0.0007362, 0.018023, 0.00021606),
    (0.67, 0.020125, 0.00089643, 0.018445, 0.00079983, 0.018863, 0.0002379),
    (0.7, 0.021225, 0.0010317, 0.019111, 0.0008993, 0.020261, 0.00027308),
    (0.75, 0.023075, 0.0012883, 0.020097, 0.0010746, 0.022633, 0.00033833),
    (0.8, 0.024953, 0.001588, 0.020932, 0.0012598, 0.025046, 0.00041215),
    (0.85, 0.026865, 0.0019365, 0.021622, 0.0014525, 0.027491, 0.00049498),
    (0.86, 0.027252, 0.0020127, 0.021764, 0.0014918, 0.027983, 0.00051268),
    (0.875, 0.027835, 0.0021312, 0.022173, 0.001551, 0.028722, 0.00053994),
    (0.9, 0.028816, 0.002341, 0.02285, 0.0016506, 0.029959, 0.00058736),
    (0.91, 0.029212, 0.0024295, 0.02312, 0.0016906, 0.030455, 0.00060704),
    (0.95, 0.030814, 0.0028686, 0.0242, 0.0018518, 0.032445, 0.00068999),
    (1, 0.032867, 0.0034954, 0.025636, 0.0020542, 0.034944, 0.00080373),
    (1.04, 0.034601, 0.0040542, 0.027119, 0.0022159, 0.036952, 0.00090346),
    (1.05, 0.035176, 0.004202, 0.027487, 0.0022561, 0.037455, 0.00092969),
    (1.1, 0.038027, 0.0049907, 0.029304, 0.0024562, 0.039975, 0.0010693),
    (1.15, 0.04083, 0.0058635, 0.031079, 0.0026531, 0.042504, 0.0012243),
    (1.2, 0.043576, 0.0068217, 0.032804, 0.0028458, 0.045042, 0.001397),
    (1.25, 0.046254, 0.0078667, 0.034474, 0.0030335, 0.047591, 0.001591),
    (1.275, 0.047566, 0.0084219, 0.035287, 0.0031252, 0.048869, 0.0017),
    (1.3, 0.048858, 0.0089991, 0.036086, 0.0032155, 0.050149, 0.0018418),
    (1.35, 0.051382, 0.01022, 0.037636, 0.0033915, 0.052718, 0.0021456),
    (1.4, 0.053821, 0.011528, 0.039122, 0.0035609, 0.055299, 0.002476),
    (1.45, 0.056173, 0.012925, 0.040544, 0.0037237, 0.05789, 0.0028327),
    (1.5, 0.058437, 0.014411, 0.041902, 0.0038796, 0.060491, 0.003215),
    (1.6, 0.062695, 0.017646, 0.044426, 0.0041709, 0.065718, 0.0040524),
    (1.7, 0.066599, 0.02123, 0.046701, 0.0044352, 0.070965, 0.0049792),
    (1.8, 0.07016, 0.025159, 0.048743, 0.0046736, 0.07621, 0.0059837),
    (1.9, 0.073394, 0.029427, 0.050567, 0.0048876, 0.081425, 0.0070529),
    (2, 0.076322, 0.034029, 0.052191, 0.005079, 0.08658, 0.0081728),
    (2.1, 0.078967, 0.03896, 0.053634, 0.0052497, 0.091643, 0.0093292),
    (2.2, 0.08135, 0.044214, 0.054912, 0.0054015, 0.096583, 0.010508),
    (2.25, 0.08245, 0.046961, 0.055495, 0.0054709, 0.098998, 0.011102),
    (2.275, 0.082978, 0.048364, 0.055773, 0.0055041, 0.10019, 0.011399),
    (2.3, 0.083965, 0.049786, 0.056042, 0.0055363, 0.10137, 0.011697),
    (2.35, 0.086069, 0.05269, 0.056556, 0.0055978, 0.1037, 0.01229),
    (2.4, 0.088171, 0.055671, 0.05704, 0.0056556, 0.10599, 0.012882),
    (2.5, 0.092372, 0.061865, 0.057919, 0.0057611, 0.11041, 0.014055),
    (2.6, 0.096567, 0.068363, 0.058694, 0.0058543, 0.11462, 0.015206),
    (2.7, 0.10076, 0.075162, 0.059375, 0.0059366, 0.11862, 0.016327),
    (2.8, 0.10495, 0.082257, 0.059974, 0.006009, 0.12239, 0.017412),
    (2.9, 0.10913, 0.089647, 0.0605, 0.0060728, 0.12593, 0.018456),
    (3, 0.11331, 0.097328, 0.060961, 0.0061289, 0.12925, 0.019457),
    (3.25, 0.12376, 0.11779, 0.06188, 0.0062411, 0.13659, 0.021752),
    (3.5, 0.13419, 0.14002, 0.062538, 0.0063219, 0.14266, 0.023746),
    (3.75, 0.14462, 0.164, 0.063008, 0.0063798, 0.14761, 0.025449),
    (4, 0.15504, 0.1897, 0.063343, 0.0064213, 0.15161, 0.026886),
)
LOWEST_RATIO, HIGHEST_RATIO = _ROWS[0][0], _ROWS[-1][0]
_LOGS = np.log(np.array(_ROWS))
_PLACES, _CURVES = _LOGS[:, 0], _LOGS[:, 1:]


def _slopes() -> NDArray[np.float64]:
    """Slope of each curve at each row: harmonic mean of the slopes beside it, which never overshoots where a curve has a kink."""
    steep = np.diff(_CURVES, axis=0) / np.diff(_PLACES)[:, None]
    inner = 2 * steep[1:] * steep[:-1] / (steep[1:] + steep[:-1])
    return np.vstack([steep[:1], inner, steep[-1:]])


_SLOPES = _slopes()


def plate_coefficients(support: str, ratio: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Moment and deflection coefficient of a pane.

    Parameters
    ----------
    support : str
        How the edges are held, one of `SUPPORTS`.
    ratio : array of any shape
        Width by height. [-], 0.5 to 4.

    Returns
    -------
    pair of arrays of the same shape
        Moment coefficient and deflection coefficient. [-]

    References
    ----------
    timoshenko1959, chapters 5 and 6 for the theory (keys from sources.py).

    Examples
    --------
    >>> moment, deflection = plate_coefficients("free_top", np.array(1.5))
    >>> round(float(moment), 4), round(float(deflection), 4)
    (0.0584, 0.0144)
    """
    place = np.log(ratio)
    row = np.clip(np.searchsorted(_PLACES, place, side="right") - 1, 0, len(_PLACES) - 2)
    step = _PLACES[row + 1] - _PLACES[row]
    share = (place - _PLACES[row]) / step
    moment, deflection = (
        np.exp((1 + 2 * share) * (1 - share) ** 2 * _CURVES[row, at] + share**2 * (3 - 2 * share) * _CURVES[row + 1, at]
               + step * share * (1 - share) * ((1 - share) * _SLOPES[row, at] - share * _SLOPES[row + 1, at]))
        for at in (2 * SUPPORTS.index(support), 2 * SUPPORTS.index(support) + 1)
    )
    return moment, deflection
