"""Tern House and its design, as shipped."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingle.config.house import parse_house
from ingle.design import design_house
from ingle.model.design import Design
from ingle.model.house import House

CONFIG = Path(__file__).parents[2] / "config"


@pytest.fixture(scope="session", name="tern_house")
def _tern_house() -> House:
    path = CONFIG / "tern-house.toml"
    return parse_house(path.read_text(), path.name)


@pytest.fixture(scope="session", name="tern_design")
def _tern_design(tern_house: House) -> Design:
    return design_house(tern_house)
