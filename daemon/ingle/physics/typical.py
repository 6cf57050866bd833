"""A figure out of a table of typical ones, and the years that such tables go by.

The bands of years are those of RdSAP 2012, table S1, for England and Wales: most begin a year after the building
rules changed, since houses approved under the old ones were still being finished.
"""

from __future__ import annotations

from typing import Final, NamedTuple

# Band and its first year (RdSAP 2012 v9.94, table S1, England and Wales).
AGE_BANDS: Final[tuple[tuple[str, int], ...]] = (
    ("A", 0),
    ("B", 1900),
    ("C", 1930),
    ("D", 1950),
    ("E", 1967),
    ("F", 1976),
    ("G", 1983),
    ("H", 1991),
    ("I", 1996),
    ("J", 2003),
    ("K", 2007),
    ("L", 2012),
)
LETTERS: Final = "".join(letter for letter, _ in AGE_BANDS)


class Typical(NamedTuple):
    """A typical figure, the range in which 19 of 20 such pieces are thought to lie, and its source."""

    value: float
    low: float
    high: float
    source: str


def age_band(built: int) -> str:
    """Return the band of a year of construction, A to L (RdSAP 2012, table S1, England and Wales).

    Examples
    --------
    >>> age_band(1899), age_band(1900), age_band(1935), age_band(2020)
    ('A', 'B', 'C', 'L')
    """
    return [letter for letter, first in AGE_BANDS if built >= first][-1]


def band_years(letter: str) -> str:
    """Return the years of a band in words.

    Examples
    --------
    >>> band_years("A"), band_years("C"), band_years("L")
    ('before 1900', '1930 to 1949', '2012 on')
    """
    place = LETTERS.index(letter)
    first = AGE_BANDS[place][1]
    if place == 0:
        return f"before {AGE_BANDS[1][1]}"
    return f"{first} on" if place == len(AGE_BANDS) - 1 else f"{first} to {AGE_BANDS[place + 1][1] - 1}"


def spread(value: float, factors: tuple[float, float], source: str) -> Typical:
    """Return a typical figure with a range that is a pair of factors of it.

    Examples
    --------
    >>> spread(2.0, (0.5, 1.5), "a table")
    Typical(value=2.0, low=1.0, high=3.0, source='a table')
    """
    return Typical(value, value * factors[0], value * factors[1], source)
