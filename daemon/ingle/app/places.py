"""Where the files lie that come with the program: beside the package when installed, in the checkout otherwise."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parents[1]
_CHECKOUT = Path(__file__).parents[3]


def shipped() -> Path:
    """Return the folder of example houses, firmware profiles and broker settings."""
    installed = _PACKAGE / "shipped"
    return installed if installed.is_dir() else _CHECKOUT / "config"
