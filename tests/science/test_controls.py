"""Health of controls: rates and scatter worked by hand, limits as recalled, and cultures just inside and outside of them."""

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.science import controls

DAYS = [0, 1, 2, 3]


def cultures(*rates):
    """Controls that grow evenly, one per rate."""
    return np.exp(np.outer(rates, DAYS))


@pytest.mark.published(entry="control_health", source="arithmetic", where="ln 16 / 3 and ln 2 / 2.5 by hand")
def test_the_least_rates_equal_the_worked_ones():
    assert agrees(controls.CONTROL_LIMITS["oecd201_usual"].least_rate_per_day, ".92420")
    assert agrees(np.exp(controls.CONTROL_LIMITS["oecd221"].least_rate_per_day * 7), "6.96")


@pytest.mark.published(entry="control_health", source="arithmetic", where="1, 2, 8 and 1, 4, 16 by hand: sections of ln 2 and ln 4")
def test_rates_and_scatter_equal_the_hand_worked_cultures():
    found = controls.control_health([0, 1, 2], [[1, 2, 8], [1, 4, 16]], "oecd201_usual")
    # Sections ln 2, 2 ln 2: mean 1.5 ln 2, standard deviation ln 2 / sqrt 2; the second culture grows evenly.
    assert agrees(found.section_cv_pct, "23.570")
    assert agrees(found.rate_per_day, "1.2130")
    # Whole rates 1.5 ln 2 and 2 ln 2: standard deviation 0.5 ln 2 / sqrt 2 over mean 1.75 ln 2.
    assert agrees(found.rate_cv_pct, "20.203")


@pytest.mark.as_it_was("the limits of both guidelines are recalled, not read, 2026-11-25")
def test_control_health_holds_controls_against_the_recalled_limits():
    limits = controls.CONTROL_LIMITS
    assert (limits["oecd201_usual"].most_section_cv_pct, limits["oecd201_usual"].most_rate_cv_pct) == (35.0, 7.0)
    assert (limits["oecd201_other"].most_section_cv_pct, limits["oecd201_other"].most_rate_cv_pct) == (35.0, 10.0)
    assert (limits["oecd221"].most_section_cv_pct, limits["oecd221"].most_rate_cv_pct) == (None, None)


@pytest.mark.parametrize(("rates", "limits", "is_healthy"), [
    ((1.0, 1.0), "oecd201_usual", True),
    ((np.log(16) / 3, np.log(16) / 3), "oecd201_usual", True),
    ((0.92, 0.92), "oecd201_usual", False),
    ((1.0, 1.12), "oecd201_usual", False),
    ((1.0, 1.12), "oecd201_other", True),
    ((1.0, 1.2), "oecd201_other", False),
    ((0.28, 0.6), "oecd221", True),
    ((0.27, 0.27), "oecd221", False),
])
def test_a_culture_is_healthy_from_its_limits_on(rates, limits, is_healthy):
    found = controls.control_health(DAYS, cultures(*rates), limits)
    assert found.is_healthy is is_healthy
    assert found.section_cv_pct == pytest.approx(0, abs=1e-9)


def test_growth_in_fits_and_starts_is_not_healthy():
    found = controls.control_health(DAYS, [[1, 2, 20, 30], [1, 2, 20, 30]], "oecd201_usual")
    assert found.rate_per_day > np.log(16) / 3
    assert found.rate_cv_pct == pytest.approx(0)
    assert found.section_cv_pct > 35
    assert found.is_healthy is False


def test_the_unit_of_size_and_the_order_of_controls_do_not_matter():
    sizes = np.array([[1, 3, 8, 24], [1, 2.5, 8, 22], [1, 3, 9, 25]])
    found = controls.control_health(DAYS, sizes, "oecd201_usual")
    again = controls.control_health(DAYS, 7.5 * sizes[::-1], "oecd201_usual")
    assert (found.rate_per_day, found.section_cv_pct, found.rate_cv_pct) == pytest.approx(
        (again.rate_per_day, again.section_cv_pct, again.rate_cv_pct))


@pytest.mark.parametrize(("call", "error", "sentence"), [
    (lambda: controls.control_health(DAYS, cultures(1, 1)[:, :3], "oecd221"), InputError, r"biomass is not as wide as there are days"),
    (lambda: controls.control_health(DAYS, [1, 2, 4, 8], "oecd221"), InputError, r"biomass is not as wide as there are days"),
    (lambda: controls.control_health(DAYS, cultures(1), "oecd221"), NotEnoughDataError, r"two controls or more and three days or more"),
    (lambda: controls.control_health([0, 1], [[1, 2], [1, 2]], "oecd221"), NotEnoughDataError, r"two controls or more and three days"),
    (lambda: controls.control_health([0, 2, 1, 3], cultures(1, 1), "oecd221"), InputError, r"days is not rising"),
    (lambda: controls.control_health(DAYS, cultures(1, -1), "oecd221"), NotEnoughDataError, r"A control did not grow"),
    (lambda: controls.control_health(DAYS, 0 * cultures(1, 1), "oecd221"), OutOfRangeError, r"biomass is 0\.0; accepted: 1e-12"),
    (lambda: controls.control_health(DAYS, cultures(1, 1), "mine"), InputError, r"limits is 'mine'; accepted: oecd201_usual"),
])
def test_controls_that_cannot_be_judged_are_refused(call, error, sentence):
    with pytest.raises(error, match=sentence):
        call()
