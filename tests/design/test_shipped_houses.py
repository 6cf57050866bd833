"""The houses that come with ingle have nothing odd in them, and their design is calm to read."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingle.config.house import read_house_file
from ingle.design import design_house

CONFIG = Path(__file__).parents[2] / "config"
#: What nobody surveyed and what nobody vouched for, a line each.
MOST_LINES = 2


@pytest.mark.parametrize("name", ["net-loft", "tern-house", "quay-chapel"])
def test_a_shipped_house_is_not_odd(name: str) -> None:
    """No finding, no warning in any room, and two lines for the house at most."""
    design = design_house(read_house_file(CONFIG / f"{name}.toml"))
    assert [each.sentence for each in design.findings] == []
    assert [warning for zone in design.zones for warning in zone.warnings] == []
    assert len(design.notes) <= MOST_LINES
