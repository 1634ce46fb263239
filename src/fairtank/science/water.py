"""Carbonate water, hardness and blending: what pH, KH and GH say about the water.

The carbonate system is solved with activities, as a probe reads pH, and with the pairs that calcium makes with carbonate where GH is
given. Held against PHREEQC from 5 to 35 °C and 0.5 to 12 dKH, with sodium or calcium as the base: CO2 agrees within 1 % from pH 5 to 8,
within 3.5 % to pH 9 and within 5.5 % to pH 9.5. Where calcium water is given without its GH, CO2 reads up to 4.5 % high below pH 7.5 and
up to half too high at pH 9.5.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science import equilibria
from fairtank.science.equilibria import CO2_G_MOL, EQ_PER_DKH, Numbers
from fairtank.science.ranges import Floats, one_of, plain, within
from fairtank.units import convert

# How far usual readings are off, and from which KH on a drop test carries a figure: common practice, no source.
_THERMOMETER = ReadingError(0.5, "within", instrument="aquarium thermometer")
_DROP_TEST = ReadingError(0.5, "within", instrument="drop test, one degree a drop")
_PROBE = ReadingError(0.1, "within", instrument="pH probe, calibrated")
TEMPERATURE = Input("temp_c", "water temperature", "°C", 5, 35, error=_THERMOMETER)
ALKALINITY = Input("alkalinity_dkh", "carbonate hardness (KH)", "dKH", 0, 20, error=_DROP_TEST, figure_from=1.0)
PH = Input("ph", "pH", "", 5, 9.5, error=_PROBE)
HARDNESS = Input("hardness_dgh", "general hardness (GH)", "dGH", 0, 40, default=0.0, error=_DROP_TEST)
UNKNOWN = "unknown"
CONDUCTIVITY = Input("conductivity_us_cm", "conductivity at 25 °C", "µS/cm", 0, 5000, choices=(UNKNOWN,), default=UNKNOWN)
_CO2_PPM = Input("co2_ppm", "carbon dioxide in the air of the room; outdoors about 420", "ppm", 100, 10000)
_PRESSURE = Input("pressure_atm", "pressure of the air at the place, not reduced to sea level", "atm", 0.5, 1.1, default=1.0)
_VAPOUR = Input("water_vapour", "whether the air at the surface counts as moist", choices=("ignored", "counted"), default="ignored")
_TAP = Input("tap", "in the tap water; not pH", "", 0, 1e6)
_PURE = Input("pure", "in the pure water (reverse osmosis, rain); not pH", "", 0, 1e6)
_TARGET = Input("target", "wanted in the blend; not pH", "", 0, 1e6)
_SHARE = Input("share", "share of tap water in the blend", "", 0, 1)
_CALCIUM = Input("calcium_mg_l", "calcium", "mg/L", 0, 2000, error=ReadingError(10, "within", instrument="drop test"))
_MAGNESIUM = Input("magnesium_mg_l", "magnesium", "mg/L", 0, 2000, error=ReadingError(5, "within", instrument="drop test"))
_TAP_PH = Input("tap_ph", "pH of the tap water", "", 5, 9.5, error=_PROBE)
_PURE_PH = Input("pure_ph", "pH of the pure water", "", 5, 9.5, error=_PROBE)
_TAP_ALKALINITY = Input("tap_alkalinity_dkh", "carbonate hardness (KH) of the tap water", "dKH", 0, 20, error=_DROP_TEST, figure_from=1.0)
_PURE_ALKALINITY = Input("pure_alkalinity_dkh", "carbonate hardness (KH) of the pure water", "dKH", 0, 20, default=0.0)
_TAP_HARDNESS = Input("tap_hardness_dgh", "general hardness (GH) of the tap water", "dGH", 0, 40, default=0.0, error=_DROP_TEST)
_CALCIUM_G_MOL, _MAGNESIUM_G_MOL = 40.078, 24.305
MOL_PER_DGH = convert(1.0, "dGH", "mmol/L") / 1000


@dataclass(frozen=True)
class Carbonate:
    """Dissolved carbon of a water: free CO2 [mg/L], all inorganic carbon [mmol/L] and bicarbonate [mmol/L]."""

    co2_mg_l: Floats
    dic_mmol_l: Floats
    bicarbonate_mmol_l: Floats


@dataclass(frozen=True)
class AirEquilibrium:
    """Water that has come to rest with the air: its pH and its free CO2 [mg/L]."""

    ph: Floats
    co2_mg_l: Floats


def water_of(temp_c: Numbers, alkalinity_eq_l: Numbers, hardness_dgh: ArrayLike = 0.0,
             conductivity_us_cm: ArrayLike = UNKNOWN) -> equilibria.Mixed:
    """The constants of a water of that temperature [°C], alkalinity [eq/L], GH [dGH] and conductivity ([µS/cm], or `unknown`)."""
    known = None if isinstance(conductivity_us_cm, str) and conductivity_us_cm == UNKNOWN else within(CONDUCTIVITY, conductivity_us_cm)
    ions = equilibria.ions_of(alkalinity_eq_l, within(HARDNESS, hardness_dgh) * MOL_PER_DGH, known)
    return equilibria.mixed_constants(equilibria.constants(temp_c), ions)


@calculator(title="Dissolved CO2 from pH and KH", sources=("plummer1982", "davies1962", "malmberg1956", "aqion_conductivity"),
            outputs=(Output("co2_mg_l", "free carbon dioxide", "mg/L"), Output("dic_mmol_l", "all dissolved inorganic carbon", "mmol/L"),
                     Output("bicarbonate_mmol_l", "bicarbonate", "mmol/L")),
            inputs=(TEMPERATURE, ALKALINITY, PH, HARDNESS, CONDUCTIVITY), cautions=("co2_cylinder", "co2_animals"))
def carbonate(temp_c: ArrayLike, alkalinity_dkh: ArrayLike, ph: ArrayLike, hardness_dgh: ArrayLike = 0.0,
              conductivity_us_cm: ArrayLike = UNKNOWN) -> Carbonate:
    """Free carbon dioxide, bicarbonate and all inorganic carbon in water of that temperature, KH and pH.

    It takes the whole KH as carbonate. Acids from wood and soil and phosphate are titrated along with it and make CO2 read high
    (`alkalinity_parts`). Without its GH a water counts as soft, and CO2 reads a few percent high. A KH below hydroxide alone (below
    0.2 dKH at pH 9.5) counts as no carbonate.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 35.
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness; below 1 dKH a drop test tells an interval only. [dKH], 0 to 20.
    ph : float or array of shape (n,)
        pH. [-], 5 to 9.5.
    hardness_dgh : float or array of shape (n,)
        General hardness; magnesium in it counts as calcium. [dGH], 0 to 40.
    conductivity_us_cm : float or array of shape (n,), or str
        Conductivity at 25 °C, from which the ionic strength follows; `unknown` takes it from KH and GH. [µS/cm], 0 to 5000.

    Returns
    -------
    Carbonate
        co2_mg_l [mg/L], dic_mmol_l and bicarbonate_mmol_l [mmol/L].

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for the constants; davies1962 with the dielectric constant of malmberg1956 for activities; aqion_conductivity for ionic
    strength from conductivity (keys from sources.py).

    Examples
    --------
    >>> water = carbonate(25, 4, 6.6)
    >>> round(water.co2_mg_l, 1), round(water.dic_mmol_l, 2)
    (34.0, 2.2)
    """
    alkalinity = within(ALKALINITY, alkalinity_dkh) * EQ_PER_DKH
    water = water_of(within(TEMPERATURE, temp_c), alkalinity, hardness_dgh, conductivity_us_cm)
    split = equilibria.split_at_ph(water, alkalinity, within(PH, ph))
    return Carbonate(plain(split.co2_mol_l * CO2_G_MOL * 1e3), plain(split.dic_mol_l * 1e3), plain(split.bicarbonate_mol_l * 1e3))


@calculator(title="pH and CO2 of water at rest with the air", sources=("plummer1982", "davies1962", "malmberg1956", "benson1984"),
            outputs=(Output("ph", "pH after long airing"), Output("co2_mg_l", "free carbon dioxide", "mg/L")),
            inputs=(TEMPERATURE, ALKALINITY, _CO2_PPM, _PRESSURE, _VAPOUR, HARDNESS))
def air_equilibrium(temp_c: ArrayLike, alkalinity_dkh: ArrayLike, co2_ppm: ArrayLike, pressure_atm: ArrayLike = 1.0,
                    water_vapour: str = "ignored", hardness_dgh: ArrayLike = 0.0) -> AirEquilibrium:
    """pH and free carbon dioxide that water comes to when it is aired for long and neither plants nor fish change it.

    At 25 °C and 420 ppm that is 0.63 mg/L, not the 2 to 3 mg/L often named. Lived-in rooms have 600 to 1500 ppm, and CO2 follows in
    proportion. Moist air holds less CO2: with water vapour counted the result is 2 to 4 % lower.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 5 to 35.
    alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness. [dKH], 0 to 20.
    co2_ppm : float or array of shape (n,)
        Carbon dioxide in the dry air of the room. [ppm], 100 to 10000.
    pressure_atm : float or array of shape (n,)
        Pressure of the air at the place, not reduced to sea level. [atm], 0.5 to 1.1.
    water_vapour : str
        `ignored`, or `counted` for air that is moist at the surface. [-]
    hardness_dgh : float or array of shape (n,)
        General hardness; magnesium in it counts as calcium. [dGH], 0 to 40.

    Returns
    -------
    AirEquilibrium
        ph [-] and co2_mg_l [mg/L].

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.
    InputError
        If water_vapour is neither of its words.

    References
    ----------
    plummer1982 for the constants; davies1962 with malmberg1956 for activities; benson1984 for water vapour (keys from sources.py).

    Examples
    --------
    >>> rest = air_equilibrium(25, 4, 420)
    >>> round(rest.ph, 2), round(rest.co2_mg_l, 2)
    (8.32, 0.63)
    """
    temperature, alkalinity = within(TEMPERATURE, temp_c), within(ALKALINITY, alkalinity_dkh) * EQ_PER_DKH
    ppm, pressure = within(_CO2_PPM, co2_ppm), within(_PRESSURE, pressure_atm)
    vapour = equilibria.vapour_pressure_atm(temperature) if one_of(_VAPOUR, water_vapour) == "counted" else 0.0
    co2 = equilibria.constants(temperature).kh * ppm * 1e-6 * (pressure - vapour)

    def at_rest(temp: Numbers, eq_l: Numbers, dgh: Numbers, mol_l: Numbers) -> Numbers:
        return equilibria.ph_from_co2(water_of(temp, eq_l, dgh), eq_l, mol_l)

    ph = equilibria.in_blocks(at_rest, temperature, alkalinity, within(HARDNESS, hardness_dgh), co2)
    return AirEquilibrium(plain(ph), plain(np.broadcast_to(co2 * CO2_G_MOL * 1e3, np.shape(ph))))


@calculator(title="General hardness from calcium and magnesium", unit="dGH", sources=("arithmetic",), inputs=(_CALCIUM, _MAGNESIUM))
def hardness_dgh(calcium_mg_l: ArrayLike, magnesium_mg_l: ArrayLike) -> Floats:
    """General hardness of water with that much calcium and magnesium.

    One degree is 10 mg/L of CaO, or 0.178 mmol/L of calcium and magnesium together. It is not mg/L of CaCO3 divided by ten; that is
    the French degree.

    Parameters
    ----------
    calcium_mg_l : float or array of shape (n,)
        Calcium. [mg/L], 0 to 2000.
    magnesium_mg_l : float or array of shape (n,)
        Magnesium. [mg/L], 0 to 2000.

    Returns
    -------
    float or array of shape (n,)
        General hardness. [dGH]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic from the definition of the degree and the molar masses (keys from sources.py).

    Examples
    --------
    >>> round(hardness_dgh(40, 10), 2)
    7.9
    """
    mmol_l = within(_CALCIUM, calcium_mg_l) / _CALCIUM_G_MOL + within(_MAGNESIUM, magnesium_mg_l) / _MAGNESIUM_G_MOL
    return plain(mmol_l / (1000 * MOL_PER_DGH))


@calculator(title="Share of tap water for a target", unit="", sources=("arithmetic",), inputs=(_TAP, _PURE, _TARGET))
def tap_share(tap: ArrayLike, pure: ArrayLike, target: ArrayLike) -> Floats:
    """Share of tap water in a blend with pure water that brings GH, KH, conductivity or one ion to its target.

    One share fits one target only: what GH and KH then are follows from `blend`. Conductivity blends nearly straight. pH does not
    blend at all, and no share can be worked out from it; see `blend_ph`.

    Parameters
    ----------
    tap : float or array of shape (n,)
        The quantity in the tap water. [any unit, the same for all three], 0 to 1e+06.
    pure : float or array of shape (n,)
        The quantity in the pure water. [any unit, the same for all three], 0 to 1e+06.
    target : float or array of shape (n,)
        The quantity wanted, between the two. [any unit, the same for all three], 0 to 1e+06.

    Returns
    -------
    float or array of shape (n,)
        Share of tap water. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, the two waters are alike, or the target does not lie between them.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(tap_share(14, 0.2, 5), 4)
    0.3478
    """
    high, low, wanted = np.broadcast_arrays(within(_TAP, tap), within(_PURE, pure), within(_TARGET, target))
    if (high == low).any():
        raise OutOfRangeError("tap", f"{float(high[high == low].flat[0])!r}, as in the pure water", "another value than in the pure water",
                              "Waters that are alike cannot be blended to a target.")
    off = (wanted < np.minimum(high, low)) | (wanted > np.maximum(high, low))
    if off.any():
        ends = sorted((float(high[off].flat[0]), float(low[off].flat[0])))
        raise OutOfRangeError("target", repr(float(wanted[off].flat[0])), f"{ends[0]:g} to {ends[1]:g}, the values of the two waters",
                              "What lies outside needs a salt, or a third water.")
    return plain((wanted - low) / (high - low))


@calculator(title="What a blend of two waters holds", unit="", sources=("arithmetic",), inputs=(_SHARE, _TAP, _PURE))
def blend(share: ArrayLike, tap: ArrayLike, pure: ArrayLike) -> Floats:
    """GH, KH or one ion in a blend of tap water and pure water.

    It is made for what is kept when waters are poured together: GH, KH, calcium, nitrate and other ions, all dissolved carbon in a
    closed vessel; conductivity nearly. pH is not kept and has no place here: `blend_ph` solves it.

    Parameters
    ----------
    share : float or array of shape (n,)
        Share of tap water. [-], 0 to 1.
    tap : float or array of shape (n,)
        The quantity in the tap water; not pH. [any unit], 0 to 1e+06.
    pure : float or array of shape (n,)
        The quantity in the pure water; not pH. [any unit], 0 to 1e+06.

    Returns
    -------
    float or array of shape (n,)
        The quantity in the blend. [the same unit]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(blend(0.25, 8, 0), 2)
    2.0
    """
    part = within(_SHARE, share)
    return plain(part * within(_TAP, tap) + (1 - part) * within(_PURE, pure))


@calculator(title="pH of a blend of two waters", unit="", sources=("plummer1982", "davies1962", "malmberg1956"),
            inputs=(TEMPERATURE, _SHARE, _TAP_ALKALINITY, _TAP_PH, _PURE_PH, _PURE_ALKALINITY, _TAP_HARDNESS))
def blend_ph(temp_c: ArrayLike, share: ArrayLike, tap_alkalinity_dkh: ArrayLike, tap_ph: ArrayLike, pure_ph: ArrayLike,
             pure_alkalinity_dkh: ArrayLike = 0.0, tap_hardness_dgh: ArrayLike = 0.0) -> Floats:
    """pH right after tap water and pure water of the same temperature were blended, before air changes it.

    KH and all dissolved carbon are blended, and the pH that belongs to them is solved: half tap water of pH 7.6 with pure water of pH
    5.6 has a pH of nearly 7.6, not 6.6. After some hours of airing it goes to that of `air_equilibrium`. The pure water counts as free of
    hardness.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Temperature of both waters. [°C], 5 to 35.
    share : float or array of shape (n,)
        Share of tap water. [-], 0 to 1.
    tap_alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness of the tap water. [dKH], 0 to 20.
    tap_ph : float or array of shape (n,)
        pH of the tap water. [-], 5 to 9.5.
    pure_ph : float or array of shape (n,)
        pH of the pure water; probes read it badly, at rest with the air it is 5.6. [-], 5 to 9.5.
    pure_alkalinity_dkh : float or array of shape (n,)
        Carbonate hardness of the pure water. [dKH], 0 to 20.
    tap_hardness_dgh : float or array of shape (n,)
        General hardness of the tap water; magnesium in it counts as calcium. [dGH], 0 to 40.

    Returns
    -------
    float or array of shape (n,)
        pH of the blend. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    plummer1982 for the constants; davies1962 with malmberg1956 for activities (keys from sources.py).

    Examples
    --------
    >>> round(blend_ph(25, 0.5, 8.4, 7.6, 5.6, tap_hardness_dgh=10.7), 2)
    7.58
    """
    return plain(equilibria.in_blocks(
        _blend_ph, within(TEMPERATURE, temp_c), within(_SHARE, share), within(_TAP_ALKALINITY, tap_alkalinity_dkh), within(_TAP_PH, tap_ph),
        within(_PURE_PH, pure_ph), within(_PURE_ALKALINITY, pure_alkalinity_dkh), within(_TAP_HARDNESS, tap_hardness_dgh)))


def _blend_ph(temp: Numbers, share: Numbers, tap_dkh: Numbers, tap_ph: Numbers, rest_ph: Numbers, rest_dkh: Numbers,
              tap_dgh: Numbers) -> Numbers:
    """pH of a blend from checked numbers."""
    tap_eq, rest_eq = tap_dkh * EQ_PER_DKH, rest_dkh * EQ_PER_DKH
    pure = equilibria.constants(temp)
    tap_ions, rest_ions = (equilibria.ions_of(eq, dgh * MOL_PER_DGH) for eq, dgh in ((tap_eq, tap_dgh), (rest_eq, np.zeros(()))))
    tap, rest = (equilibria.mixed_constants(pure, ions) for ions in (tap_ions, rest_ions))
    tap_dic, rest_dic = equilibria.split_at_ph(tap, tap_eq, tap_ph).dic_mol_l, equilibria.split_at_ph(rest, rest_eq, rest_ph).dic_mol_l
    kept = ((tap_eq, rest_eq), (tap_dic, rest_dic), (tap_ions.strength, rest_ions.strength), (tap_ions.hardness_mol_l, 0.0))
    alkalinity, dic, strength, hardness = (share * ours + (1 - share) * theirs for ours, theirs in kept)
    water = equilibria.mixed_constants(pure, equilibria.Ions(strength, hardness))
    return equilibria.ph_from_dic(water, alkalinity, dic)
