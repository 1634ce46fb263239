"""Numbers from the spectra of the CIE's illuminants, worked out by another program (colour-science), for the tables that tests read.

    python tests/illuminants.py            lux per µmol m⁻² s⁻¹ of every illuminant: tests/published/cie2018_lux_per_ppfd.csv
    python tests/illuminants.py --curve    V(λ) at 1 nm: src/fairtank/science/photopic_curve.csv

Nothing here uses fairtank. Lux is summed over all of V(λ) that a spectrum covers, PPFD from 400 to 700 nm by its definition.
"""

import sys
import warnings

import numpy as np

PLANCK_J_S, LIGHT_SPEED_M_S, AVOGADRO_PER_MOL, LUMEN_PER_WATT = 6.62607015e-34, 299792458.0, 6.02214076e23, 683.002
NAMES = ("A", "C", "D50", "D55", "D65", "D75", "ID50", "ID65", "E", *(f"FL{n}" for n in range(1, 13)), *(f"FL3.{n}" for n in range(1, 16)),
         *(f"HP{n}" for n in range(1, 6)), *(f"LED-B{n}" for n in range(1, 6)), "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2")
PHOTOPIC = "CIE 1924 Photopic Standard Observer"


def reference():
    """The other program; it warns about optional parts of its own that are missing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


def spectrum(name):
    """Wavelengths [nm] and relative power of an illuminant, as that program holds them."""
    table = reference().SDS_ILLUMINANTS[name]
    return np.array(table.wavelengths), np.array(table.values)


def photopic_curve():
    """Wavelengths [nm] and V(λ) at 1 nm, as that program holds them."""
    table = reference().SDS_LEFS[PHOTOPIC]
    return np.array(table.wavelengths), np.array(table.values)


def lux_per_ppfd(name):
    """Lux per µmol m⁻² s⁻¹ of an illuminant: trapezoids on a 1 nm grid, its table joined by straight lines."""
    wavelengths, power = spectrum(name)
    curve_at, curve = photopic_curve()
    grid = np.arange(max(curve_at[0], np.ceil(wavelengths[0])), min(curve_at[-1], wavelengths[-1]) + 0.5)
    power = np.interp(grid, wavelengths, power)
    lux = LUMEN_PER_WATT * np.trapezoid(power * np.interp(grid, curve_at, curve), grid)
    photons = power * grid * 1e-9 / (PLANCK_J_S * LIGHT_SPEED_M_S * AVOGADRO_PER_MOL) * 1e6
    plants = (grid >= 400) & (grid <= 700)
    return lux / np.trapezoid(photons[plants], grid[plants])


def main():
    version = reference().__version__
    if "--curve" in sys.argv:
        print(f"# cie018: CIE 1924 photopic luminous efficiency V(lambda), 1 nm, as held by colour-science {version}")
        print("wavelength_nm,photopic")
        for wavelength, value in zip(*photopic_curve(), strict=True):
            print(f"{wavelength:.0f},{value:.9g}")
        return
    print(f"# cie2018: lux per umol m-2 s-1 of CIE illuminants, computed by tests/illuminants.py with colour-science {version}")
    print("source,lux_per_ppfd")
    for name in NAMES:
        print(f"{name},{lux_per_ppfd(name):.2f}")


if __name__ == "__main__":
    main()
