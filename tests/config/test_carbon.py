"""A file of carbon factors and its faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingle.config.carbon import parse_factors, read_factors
from ingle.errors import BadInput

GOOD = """
name = "Invented factors of Haverlock harbour"
region = "Haverlock"
[[factor]]
year = 2025
kg_per_kwh = 0.2
[[factor]]
year = 2026
kg_per_kwh = 0.15
"""


def test_factors_by_year_with_their_name() -> None:
    """Name and region are kept with the years."""
    found = parse_factors(GOOD, "carbon.toml")
    assert (found.name, found.region, found.source) == ("Invented factors of Haverlock harbour", "Haverlock", "")
    assert {factor.year: factor.kg_per_kwh for factor in found.factors} == {2025: 0.2, 2026: 0.15}


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("", ["name", "region", "factor"]),
        (GOOD.replace("0.15", "-1"), ["factor[1].kg_per_kwh"]),
        (GOOD.replace("0.15", "nan"), ["factor[1].kg_per_kwh"]),
        (GOOD.replace("0.15", "150"), ["factor[1].kg_per_kwh"]),
        (GOOD.replace("2026", "2025"), ["factor[1].year"]),
        (GOOD.replace("2026", '"last"'), ["factor[1].year"]),
        (GOOD.replace("region", "place"), ["place", "region"]),
    ],
)
def test_every_fault_is_named(text: str, places: list[str]) -> None:
    """Place, value and what is allowed, all of them at once."""
    with pytest.raises(BadInput) as refused:
        parse_factors(text, "carbon.toml")
    assert sorted(fault.place for fault in refused.value.faults) == sorted(places)
    assert all(fault.allowed and fault.source == "carbon.toml" for fault in refused.value.faults)


def test_a_file_that_is_gone_is_named(tmp_path: Path) -> None:
    """Its place is in the error."""
    with pytest.raises(BadInput, match="there is none at"):
        read_factors(tmp_path / "none.toml")
