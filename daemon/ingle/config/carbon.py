"""A file of carbon factors, and every fault of it. ingle ships no factor and has none built in.

::

    name = "Factors for electricity used, national inventory"
    region = "GB"
    source = "where they were published, and when"

    [[factor]]
    year = 2026
    kg_per_kwh = 0.15
"""

from __future__ import annotations

from pathlib import Path

from ingle.config import walk
from ingle.config.house import parse_toml, read_text
from ingle.errors import BadInput, Fault
from ingle.model.carbon import Factors


def parse_factors(text: str, source: str) -> Factors:
    """Read factors from TOML.

    Raises
    ------
    BadInput
        With all faults.
    """
    factors, faults = walk.read(parse_toml(text, source), Factors, source)
    wrong = {fault.path[0] for fault in faults}
    years = [] if "factor" in wrong else [factor.year for factor in factors.factors]
    faults += [
        Fault(("factor", place, "year"), year, "each year once", source)
        for place, year in enumerate(years)
        if year in years[:place]
    ]
    if faults:
        raise BadInput(faults)
    return factors


def read_factors(path: Path) -> Factors:
    """Read a file of factors.

    Raises
    ------
    BadInput
        With all faults, or where there is no such file.
    Unreachable
        Where it cannot be read.
    """
    return parse_factors(read_text(path), path.name)
