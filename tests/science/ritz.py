"""Bending of a rectangular plate by the Ritz method: the independent computation behind the plate coefficients.

The deflection is a sum of Legendre polynomials, each times a factor that keeps it zero (simple edge) or flat and zero (clamped edge) where
the plate is held; the sum with the least energy is the answer. Moments are in q0 b², deflections in q0 b⁴/D, b the height of the plate,
q0 the load at its foot. `python tests/science/ritz.py` prints the rows of `fairtank.science.plates`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial import Polynomial, legendre

# Factors on -1 to 1, lowest power first. Sideways both edges are alike; upwards the first word is the bottom, the second the top.
SIDEWAYS = {"simple": (1, 0, -1), "clamped": (1, 0, -2, 0, 1)}
UPWARDS = {"simple free": (1, 1), "simple simple": (1, 0, -1), "clamped free": (1, 2, 1)}
POINTS_ACROSS, POINTS_UP = 101, 401


def water_to_the_top(up):
    """Load of still water that reaches the top edge; `up` runs from 0 at the foot to 1."""
    return 1 - up


def everywhere_alike(up):
    """The same load everywhere."""
    return np.ones_like(up)


def water_up_to(level):
    """Load of water that ends below the top edge, at this share of the height."""
    return lambda up: np.clip(1 - up / level, 0, None)


@dataclass(frozen=True)
class Bending:
    """Largest moments and deflection of a plate.

    field: largest Mx or My that stretches the dry side. edge: largest that stretches the wet side. principal: largest of all directions,
    twist included. deflection: largest. centre: deflection, Mx (across) and My (up) in the middle of the plate.
    """

    field: float
    edge: float
    principal: float
    deflection: float
    centre: tuple[float, float, float]


@cache
def _polynomials(factor: tuple[int, ...], degrees: tuple[int, ...], places: str, count: int):
    """Values, slopes and curvatures of the factored polynomials at Gauss points or along a line: array (3, degrees, points)."""
    points = legendre.leggauss(count)[0] if places == "gauss" else np.linspace(-1, 0 if places == "half" else 1, count)
    shape = Polynomial(factor)
    f = [shape.deriv(order)(points) if order else shape(points) for order in range(3)]
    rows = []
    for degree in degrees:
        series = np.eye(degree + 1)[degree] * np.sqrt(degree + 0.5)
        p = [legendre.legval(points, legendre.legder(series, order) if order else series) for order in range(3)]
        rows.append((f[0] * p[0], f[1] * p[0] + f[0] * p[1], f[2] * p[0] + 2 * f[1] * p[1] + f[0] * p[2]))
    return np.array(rows).transpose(1, 0, 2)


def bend(ratio: float, poisson: float, sides: str, bottom_top: str, load: Callable = water_to_the_top, terms: int = 12) -> Bending:
    """Bend a plate of this width/height ratio. sides: simple or clamped; bottom_top: a key of `UPWARDS`."""
    gauss = 8 * terms
    _, weights = legendre.leggauss(gauss)
    even = tuple(range(0, 2 * terms, 2))  # the load is the same left and right, so the deflection is too
    every = tuple(range(terms))
    across = _polynomials(SIDEWAYS[sides], even, "gauss", gauss)
    up = _polynomials(UPWARDS[bottom_top], every, "gauss", gauss)
    ax, ay = 2 / ratio, 2.0  # from -1 to 1 to the plate's own lengths

    def energy(i, j, k, m, scale):
        return scale * np.kron((across[i] * weights) @ across[j].T, (up[k] * weights) @ up[m].T)

    stiffness = (energy(2, 2, 0, 0, ax**4) + energy(0, 0, 2, 2, ay**4) + 2 * (1 - poisson) * energy(1, 1, 1, 1, ax**2 * ay**2)
                 + poisson * (energy(2, 0, 0, 2, ax**2 * ay**2) + energy(0, 2, 2, 0, ax**2 * ay**2)))
    height_up = (legendre.leggauss(gauss)[0] + 1) / 2
    work = np.kron((across[0] * weights).sum(1), (up[0] * weights * load(height_up)).sum(1))
    amounts = np.linalg.solve(stiffness, work).reshape(terms, terms)
    grid_x = _polynomials(SIDEWAYS[sides], even, "half", POINTS_ACROSS)
    grid_y = _polynomials(UPWARDS[bottom_top], every, "whole", POINTS_UP)
    return _bending(grid_x, grid_y, amounts, (ax, ay), poisson)


def _bending(grid_x, grid_y, amounts, scales, poisson) -> Bending:
    ax, ay = scales
    deflection = grid_x[0].T @ amounts @ grid_y[0]
    curve_x = ax**2 * (grid_x[2].T @ amounts @ grid_y[0])
    curve_y = ay**2 * (grid_x[0].T @ amounts @ grid_y[2])
    twist = -(1 - poisson) * ax * ay * (grid_x[1].T @ amounts @ grid_y[1])
    mx, my = -(curve_x + poisson * curve_y), -(curve_y + poisson * curve_x)
    middle, radius = (mx + my) / 2, np.hypot((mx - my) / 2, twist)
    at = (-1, POINTS_UP // 2)
    return Bending(float(max(mx.max(), my.max())), float(max(-mx.min(), -my.min())), float((abs(middle) + radius).max()),
                   float(deflection.max()), (float(deflection[at]), float(mx[at]), float(my[at])))


def row(ratio: float, terms: int = 16) -> tuple[float, ...]:
    """One row of the coefficients: ratio, then moment and deflection of a free top, a braced rim and clamped edges."""
    free = bend(ratio, 0.22, "simple", "simple free", terms=terms)
    braced = bend(ratio, 0.22, "simple", "simple simple", terms=terms)
    clamped = bend(ratio, 0.30, "clamped", "clamped free", terms=terms)
    return (ratio, free.principal, free.deflection, braced.principal, braced.deflection, clamped.principal, clamped.deflection)


if __name__ == "__main__":
    grid = [*np.arange(0.5, 1.5, 0.05), *np.arange(1.5, 3, 0.1), *np.arange(3, 4.01, 0.25)]
    grid += [0.525, 0.64, 0.67, 0.86, 0.875, 0.91, 1.04, 1.275, 2.25, 2.275, 2.35]  # beside kinks, where the worst place jumps
    for ratio in sorted({round(float(value), 3) for value in grid}):
        print("    (" + ", ".join([f"{ratio:g}", *(f"{value:.5g}" for value in row(ratio)[1:])]) + "),")
