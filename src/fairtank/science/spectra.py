"""Light sources: lux per µmol, from published measurements, standard illuminants, one wavelength, or a measured spectrum.

A lux meter weighs light as the eye does, V(λ), which peaks in the green; plants use photons from 400 to 700 nm. The ratio of the two
belongs to the spectrum: the same lux are more photons under a lamp with much red and blue.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input
from fairtank.science.ranges import Floats, plain, within

PLANCK_J_S, LIGHT_SPEED_M_S, AVOGADRO_PER_MOL = 6.62607015e-34, 299792458.0, 6.02214076e23
LUMEN_PER_WATT = 683.002
# Photons that plants use: 400 to 700 nm by the definition of PPFD.
PLANT_LIGHT_NM = (400.0, 700.0)
# Widest step of a spectrum that is still joined by straight lines.
_WIDEST_STEP_NM = 10.0

WAVELENGTH = Input("source", "wavelength", "nm", *PLANT_LIGHT_NM)
_WAVELENGTHS = Input("wavelengths_nm", "wavelengths, rising", "nm", 100, 3000)
_IRRADIANCE = Input("irradiance_w_m2_nm", "irradiance at each wavelength", "", 0, 1e6)


@dataclass(frozen=True)
class LightSource:
    """One kind of light: lux per µmol m⁻² s⁻¹, None where a range is all that can be said, and the range itself.

    source: key of the bibliography.
    """

    key: str
    title: str
    lux_per_ppfd: float | None
    low: float
    high: float
    source: str


@dataclass(frozen=True)
class SpectrumLight:
    """What a spectrum is worth: photons for plants [µmol m⁻² s⁻¹], light for the eye [lux], and lux by photons."""

    ppfd_umol: float
    lux: float
    lux_per_ppfd: float


# thimijan1983, as printed.
_MEASURED = (("sunlight", "sunlight", 54.0), ("blue_sky", "blue sky, no sun", 52.0),
             ("cool_white_fluorescent", "cool white fluorescent tube", 74.0), ("metal_halide", "metal halide lamp", 71.0),
             ("high_pressure_sodium", "high pressure sodium lamp", 82.0), ("incandescent", "incandescent lamp", 50.0))
# cie2018: computed from the spectra of the standard illuminants by tests/illuminants.py.
_ILLUMINANTS = {
    "A": 50.26, "C": 53.79, "D50": 56.20, "D55": 56.15, "D65": 55.50, "D75": 54.59, "ID50": 57.16, "ID65": 56.31, "E": 52.91,
    "FL1": 69.19, "FL2": 76.48, "FL3": 79.73, "FL4": 80.53, "FL5": 71.20, "FL6": 79.85, "FL7": 60.58, "FL8": 59.43, "FL9": 61.78,
    "FL10": 74.37, "FL11": 76.04, "FL12": 78.12, "FL3.1": 80.32, "FL3.2": 70.89, "FL3.3": 70.72, "FL3.4": 58.35, "FL3.5": 58.78,
    "FL3.6": 59.71, "FL3.7": 78.38, "FL3.8": 77.12, "FL3.9": 74.60, "FL3.10": 71.53, "FL3.11": 72.76, "FL3.12": 63.95, "FL3.13": 63.50,
    "FL3.14": 61.71, "FL3.15": 57.79, "HP1": 85.84, "HP2": 52.56, "HP3": 69.92, "HP4": 67.10, "HP5": 61.82, "LED-B1": 67.07,
    "LED-B2": 67.91, "LED-B3": 69.75, "LED-B4": 71.66, "LED-B5": 69.40, "LED-BH1": 73.27, "LED-RGB1": 60.54, "LED-V1": 53.08,
    "LED-V2": 56.57,
}
# White LEDs of a blue chip and phosphor span LED-B1 to LED-BH1. The range of white-and-coloured or RGB lamps is common practice, no
# source; a lamp of red and blue chips alone lies far below it (450 nm alone 6.9, 660 nm alone 7.6).
_RANGES = (LightSource("white_led", "white LED lamp", 70.0, 67.0, 73.3, "cie2018"),
           LightSource("mixed_led", "plant lamp of white and coloured, or red, green and blue LEDs", None, 30.0, 60.0, "common_practice"))

SOURCES: dict[str, LightSource] = {found.key: found for found in (
    *(LightSource(key, title, factor, factor, factor, "thimijan1983") for key, title, factor in _MEASURED),
    *_RANGES,
    *(LightSource(key, f"CIE illuminant {key}", factor, factor, factor, "cie2018") for key, factor in _ILLUMINANTS.items()),
)}


def source_of(name: ArrayLike) -> LightSource | None:
    """The light source of that word or CIE name, or None where a wavelength was given instead.

    Parameters
    ----------
    name : str or float
        A word such as `sunlight`, a CIE name such as `LED-B3`, or a wavelength as number or text. [nm], 400 to 700.

    Returns
    -------
    LightSource or None
        The row of SOURCES.

    Raises
    ------
    InputError
        If the word is no known source and no number.

    References
    ----------
    thimijan1983, cie2018 (keys from sources.py).

    Examples
    --------
    >>> source_of("LED-B3").lux_per_ppfd
    69.75
    >>> source_of("450") is None
    True
    """
    if not isinstance(name, str):
        return None
    if name in SOURCES:
        return SOURCES[name]
    try:
        float(name)
    except ValueError as error:
        words = ", ".join(key for key in SOURCES if key not in _ILLUMINANTS)
        raise InputError("source", repr(name), f"{words}, a CIE name such as D65, FL2 or LED-B3, or a wavelength from 400 to 700 nm",
                         "For another lamp use its own spectrum, or measure with a quantum sensor.") from error
    return None


@cache
def _photopic_table() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    path = Path(__file__).with_name("photopic_curve.csv")
    lines = path.read_text(encoding="utf-8").splitlines()[2:]
    table = np.array([line.split(",") for line in lines], dtype=np.float64)
    return table[:, 0], table[:, 1]


def photopic(wavelength_nm: ArrayLike) -> Floats:
    """How strongly the eye sees a wavelength, V(λ) of 1924, from 0 to 1; 0 outside 360 to 830 nm.

    Parameters
    ----------
    wavelength_nm : float or array of shape (n,)
        Wavelength. [nm], any size.

    Returns
    -------
    float or array of shape (n,)
        V(λ), between the whole nanometres by straight lines. [-]

    References
    ----------
    cie018 (keys from sources.py).

    Examples
    --------
    >>> photopic(555.0)
    1.0
    """
    wavelengths, curve = _photopic_table()
    return plain(np.interp(np.asarray(wavelength_nm, dtype=np.float64), wavelengths, curve, left=0.0, right=0.0))


def monochromatic_lux_per_ppfd(wavelength_nm: ArrayLike) -> Floats:
    """Lux per µmol m⁻² s⁻¹ of light of one wavelength.

    Parameters
    ----------
    wavelength_nm : float or array of shape (n,)
        Wavelength. [nm], 400 to 700.

    Returns
    -------
    float or array of shape (n,)
        Lux per µmol m⁻² s⁻¹.

    Raises
    ------
    OutOfRangeError
        If a wavelength lies outside 400 to 700 nm.

    References
    ----------
    cie018: 683.002 V(λ) h c N_A / λ (keys from sources.py).

    Examples
    --------
    >>> round(monochromatic_lux_per_ppfd(660), 2)
    7.55
    """
    wavelength = within(WAVELENGTH, wavelength_nm, "Plants use photons from 400 to 700 nm.")
    return plain(LUMEN_PER_WATT * photopic(wavelength) / _umol_per_joule(wavelength))


def _umol_per_joule(wavelength_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Photons in one joule: λ / (h c N_A)."""
    return wavelength_nm * 1e-9 / (PLANCK_J_S * LIGHT_SPEED_M_S * AVOGADRO_PER_MOL) * 1e6


def light_from_spectrum(wavelengths_nm: ArrayLike, irradiance_w_m2_nm: ArrayLike) -> SpectrumLight:
    """PPFD, lux and their ratio from a measured spectrum.

    The points are joined by straight lines. PPFD counts photons from 400 to 700 nm; lux are summed over all that was measured. A
    spectrum in relative units gives a true ratio, but no true PPFD.

    Parameters
    ----------
    wavelengths_nm : array of shape (n,)
        Wavelengths, rising, from 400 or below to 700 or above, steps of 10 nm at most between. [nm], 100 to 3000.
    irradiance_w_m2_nm : array of shape (n,)
        Irradiance at each of them. [W m⁻² nm⁻¹], 0 to 1e+06.

    Returns
    -------
    SpectrumLight
        ppfd_umol [µmol m⁻² s⁻¹], lux [lux] and lux_per_ppfd.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range, the wavelengths do not reach from 400 to 700 nm, or a step is too wide.
    InputError
        If the lists differ in length, the wavelengths do not rise, or there is no light from 400 to 700 nm.

    References
    ----------
    cie018 for V(λ); PPFD = Σ E λ / (h c N_A), lux = 683.002 Σ E V (keys from sources.py).

    Examples
    --------
    >>> flat = light_from_spectrum(range(380, 781, 5), [0.01] * 81)
    >>> round(flat.lux_per_ppfd, 1)
    52.9
    """
    wavelengths, irradiance = _checked_spectrum(wavelengths_nm, irradiance_w_m2_nm)
    curve_at, _ = _photopic_table()
    # Both are straight between the points of this grid, so that a coarse spectrum loses nothing against the 1 nm curve.
    inside = curve_at[(curve_at >= wavelengths[0]) & (curve_at <= wavelengths[-1])]
    grid = np.union1d(wavelengths, inside)
    power = np.interp(grid, wavelengths, irradiance)
    plants = (grid >= PLANT_LIGHT_NM[0]) & (grid <= PLANT_LIGHT_NM[1])
    ppfd = float(np.trapezoid((power * _umol_per_joule(grid))[plants], grid[plants]))
    if ppfd <= 0:
        raise InputError("irradiance_w_m2_nm", "0 everywhere from 400 to 700 nm", "some light there")
    lux = float(LUMEN_PER_WATT * np.trapezoid(power * photopic(grid), grid))
    return SpectrumLight(ppfd, lux, lux / ppfd)


def _checked_spectrum(wavelengths_nm: ArrayLike, irradiance_w_m2_nm: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    wavelengths, irradiance = within(_WAVELENGTHS, wavelengths_nm), within(_IRRADIANCE, irradiance_w_m2_nm)
    if wavelengths.ndim != 1 or wavelengths.shape != irradiance.shape or wavelengths.size < 2:
        raise InputError("irradiance_w_m2_nm", "of another length than wavelengths_nm", "one number per wavelength")
    steps = np.diff(wavelengths)
    if (steps <= 0).any():
        raise InputError("wavelengths_nm", "not rising", "wavelengths in rising order, each once")
    if wavelengths[0] > PLANT_LIGHT_NM[0] or wavelengths[-1] < PLANT_LIGHT_NM[1]:
        raise OutOfRangeError("wavelengths_nm", f"{wavelengths[0]:g} to {wavelengths[-1]:g} nm", "400 nm or below to 700 nm or above",
                              "Where the lamp gives no light, add rows with 0.")
    wide = steps[(wavelengths[1:] > PLANT_LIGHT_NM[0]) & (wavelengths[:-1] < PLANT_LIGHT_NM[1])].max()
    if wide > _WIDEST_STEP_NM:
        raise OutOfRangeError("wavelengths_nm", f"{wide:g} nm apart", f"steps of {_WIDEST_STEP_NM:g} nm or less from 400 to 700 nm")
    return wavelengths, irradiance
