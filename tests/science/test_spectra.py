"""Light sources against another program's illuminants and V(λ), and spectra whose photons can be counted by hand."""

import csv
from pathlib import Path

import numpy as np
import pytest

import illuminants
from checking import agrees, every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import light, spectra

TABLE = Path(__file__).resolve().parent.parent / "published" / "cie2018_lux_per_ppfd.csv"
MEASURED = ("sunlight", "blue_sky", "cool_white_fluorescent", "metal_halide", "high_pressure_sodium", "incandescent")


def printed_illuminants():
    with TABLE.open(encoding="utf-8") as file:
        return [(row["source"], row["lux_per_ppfd"]) for row in csv.DictReader(line for line in file if not line.startswith("#"))]


@pytest.mark.published(entry="lux_per_ppfd", source="cie2018", where="tests/illuminants.py: colour-science 0.4.7, SDS_ILLUMINANTS")
@every(("name", "printed"), printed_illuminants())
def test_the_factor_of_an_illuminant_equals_another_program(name, printed):
    assert agrees(light.lux_per_ppfd(name), printed)
    assert agrees(illuminants.lux_per_ppfd(name), printed), "the table is what the program gives today"


@pytest.mark.published(entry="lux_per_ppfd", source="cie2018", where="colour-science 0.4.7, spectra put in as if measured")
@every(("name", "printed"), printed_illuminants())
def test_a_spectrum_put_in_as_measured_gives_the_factor_of_its_illuminant(name, printed):
    found = spectra.light_from_spectrum(*illuminants.spectrum(name))
    assert agrees(found.lux_per_ppfd, printed)
    assert found.lux / found.ppfd_umol == pytest.approx(found.lux_per_ppfd, rel=1e-12)


def test_every_illuminant_of_the_house_is_in_the_table():
    known = {key for key, found in spectra.SOURCES.items() if found.source == "cie2018"}
    assert {name for name, _ in printed_illuminants()} == known - {"white_led"}


@pytest.mark.published(entry="lux_per_ppfd", source="cie018", where="colour-science 0.4.7, SDS_LEFS, CIE 1924 photopic, all 471 values")
def test_the_curve_of_the_eye_equals_another_program():
    wavelengths, curve = illuminants.photopic_curve()
    assert len(wavelengths) == 471
    assert np.abs(spectra.photopic(wavelengths) - curve).max() < 1e-9
    assert spectra.photopic([359.9, 830.1, 100.0, 5000.0]).tolist() == [0.0] * 4


@pytest.mark.published(entry="lux_per_ppfd", source="cie018", where="683.002 V h c N_A / λ, V from colour-science 0.4.7")
@pytest.mark.parametrize(("wavelength", "printed"), [(450, "6.90"), (555, "147.2"), (630, "34.4"), (660, "7.55")])
def test_light_of_one_wavelength_equals_the_printed_factors(wavelength, printed):
    assert agrees(spectra.monochromatic_lux_per_ppfd(wavelength), printed)


def test_the_range_of_white_leds_holds_the_illuminants_made_of_a_blue_chip_and_phosphor():
    white = spectra.SOURCES["white_led"]
    chips = [spectra.SOURCES[name].lux_per_ppfd for name in ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1")]
    assert white.low <= min(chips) < white.lux_per_ppfd < max(chips) <= white.high
    assert white.high - max(chips) < 0.1
    assert min(chips) - white.low < 0.1


def test_a_source_is_a_word_a_name_or_a_wavelength():
    assert {spectra.source_of(word).key for word in MEASURED} == set(MEASURED)
    assert spectra.source_of("LED-BH1").source == "cie2018"
    assert spectra.source_of(450.0) is None
    assert spectra.source_of("450") is None
    assert all(found.low <= (found.lux_per_ppfd or found.low) <= found.high for found in spectra.SOURCES.values())


@pytest.mark.published(entry="lux_per_ppfd", source="arithmetic", where="1 W/m2 alike over 400 to 700 nm: 550 nm / 0.11962657 J m/mol")
def test_a_flat_spectrum_holds_the_photons_counted_by_hand():
    wavelengths = np.arange(400, 701, 10)
    found = spectra.light_from_spectrum(wavelengths, np.full(31, 1 / 300))
    # Photons rise in proportion to the wavelength, so one watt spread evenly counts like one watt at the mean of 550 nm.
    assert agrees(found.ppfd_umol, "4.5976")


def test_a_narrow_line_has_the_factor_of_its_wavelength():
    for peak in (450.0, 555.0, 660.0):
        wavelengths = np.array([380.0, *np.arange(390, peak - 1, 5), peak - 0.01, peak, peak + 0.01, *np.arange(peak + 5, 781, 5)])
        power = np.where(wavelengths == peak, 100.0, 0.0)
        found = spectra.light_from_spectrum(wavelengths, power)
        assert found.lux_per_ppfd == pytest.approx(spectra.monochromatic_lux_per_ppfd(peak), rel=1e-4)


def test_light_adds_up_and_a_finer_grid_changes_nothing():
    wavelengths, blue = illuminants.spectrum("LED-B5")
    _, violet = illuminants.spectrum("LED-V2")
    one, other, both = (spectra.light_from_spectrum(wavelengths, power) for power in (blue, violet, blue + violet))
    assert both.ppfd_umol == pytest.approx(one.ppfd_umol + other.ppfd_umol, rel=1e-12)
    assert both.lux == pytest.approx(one.lux + other.lux, rel=1e-12)
    finer = np.arange(wavelengths[0], wavelengths[-1] + 0.25, 0.5)
    again = spectra.light_from_spectrum(finer, np.interp(finer, wavelengths, blue))
    # Between two nanometres power and curve are straight, their product is not: half the step moves the sum a little.
    assert again.ppfd_umol == pytest.approx(one.ppfd_umol, rel=1e-4)
    assert again.lux == pytest.approx(one.lux, rel=1e-4)


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: spectra.source_of("neon"), r"source is 'neon'; accepted: sunlight, .* a CIE name such as D65, .* own spectrum"),
    (lambda: spectra.monochromatic_lux_per_ppfd(390), r"source is 390\.0 nm; accepted: 400 to 700 nm\. Plants use photons"),
    (lambda: spectra.light_from_spectrum([400, 700], [1, 1]), r"wavelengths_nm is 300 nm apart; accepted: steps of 10 nm or less"),
    (lambda: spectra.light_from_spectrum([405, 700], [1, 1]), r"wavelengths_nm is 405 to 700 nm; accepted: 400 nm or below .* rows with 0"),
    (lambda: spectra.light_from_spectrum([400, 699], [1, 1]), r"wavelengths_nm is 400 to 699 nm"),
    (lambda: spectra.light_from_spectrum([400, 400, 700], [1, 1, 1]), r"wavelengths_nm is not rising"),
    (lambda: spectra.light_from_spectrum([400, 700], [1]), r"irradiance_w_m2_nm is of another length"),
    (lambda: spectra.light_from_spectrum([], []), r"irradiance_w_m2_nm is of another length"),
    (lambda: spectra.light_from_spectrum([400, 700], [1, -1]), r"irradiance_w_m2_nm is -1\.0; accepted: 0 to 1e\+06"),
    (lambda: spectra.light_from_spectrum(np.arange(400, 701, 5), np.zeros(61)), r"irradiance_w_m2_nm is 0 everywhere"),
])
def test_what_is_no_source_or_no_spectrum_is_refused(call, sentence):
    with pytest.raises(InputError, match=sentence):
        call()


def test_a_wavelength_that_plants_do_not_use_is_out_of_range():
    with pytest.raises(OutOfRangeError, match="400 to 700 nm"):
        light.lux_per_ppfd("701")
