"""The survey's answer: what each room loses at design conditions, line by line, with its band and its oddities."""

from __future__ import annotations

from ingle.design.house import design_house
from ingle.design.version import design_version

__all__ = ["design_house", "design_version"]
