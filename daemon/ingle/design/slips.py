"""Slips of the pen: what a number may have been meant to be.

Each slip turns the number as entered into the number as meant: feet into metres, a tenth into the whole. One is likely
where it brings the number back to what is usual; where none does, nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import log
from typing import Final

from ingle.design.usual import Usual

#: Exact by definition (international foot), and 1 BTU/(h·ft²·°F) = 5.678263 W/(m²·K).
FOOT_M: Final = 0.3048
SQUARE_FOOT_M2: Final = FOOT_M**2
CUBIC_FOOT_M3: Final = FOOT_M**3
BTU_U: Final = 5.678263


@dataclass(frozen=True, slots=True)
class Slip:
    """A likely slip: its words, and the number as it was meant."""

    words: str
    meant: float


# Nothing that small was ever meant; it keeps the arithmetic finite.
_LEAST: Final = 1e-6
# Two slips that lead within this part to one number cannot be told apart; feet are 3.28 in a metre, so a number less
# than this factor outside of what is usual was not mistaken by one.
_NEARLY, _BY_A_FACTOR = 0.12, 1.25

Correction = tuple[str, Callable[[float], float]]

_DECIMAL: tuple[Correction, ...] = (
    ("a decimal point in the wrong place", lambda value: value / 10),
    ("a decimal point in the wrong place", lambda value: value * 10),
)
LENGTH: tuple[Correction, ...] = (
    ("feet for metres", lambda value: value * FOOT_M),
    ("millimetres for metres", lambda value: value / 1000),
    ("centimetres for metres", lambda value: value / 100),
    *_DECIMAL,
)
AREA: tuple[Correction, ...] = (
    ("square feet for square metres", lambda value: value * SQUARE_FOOT_M2),
    *_DECIMAL,
    ("one side in centimetres", lambda value: value / 100),
    ("one side in millimetres", lambda value: value / 1000),
)
VOLUME: tuple[Correction, ...] = (
    ("cubic feet for cubic metres", lambda value: value * CUBIC_FOOT_M3),
    *_DECIMAL,
    ("litres for cubic metres", lambda value: value / 1000),
)
U_VALUE: tuple[Correction, ...] = (
    ("a U in BTU/(h·ft²·°F)", lambda value: value * BTU_U),
    *_DECIMAL,
    ("a resistance R for a U", lambda value: 1 / value),
)
TEMPERATURE: tuple[Correction, ...] = (
    ("degrees Fahrenheit for Celsius", lambda value: (value - 32) / 1.8),
    ("a lost minus sign", lambda value: -value),
    *_DECIMAL,
)
THICKNESS: tuple[Correction, ...] = (
    ("metres for millimetres", lambda value: value * 1000),
    ("centimetres for millimetres", lambda value: value * 10),
    ("inches for millimetres", lambda value: value * 25.4),
    ("a decimal point in the wrong place", lambda value: value / 10),
)
PER_AREA: tuple[Correction, ...] = (
    ("watts per square foot", lambda value: value / SQUARE_FOOT_M2),
    *_DECIMAL,
)
DECIMAL: tuple[Correction, ...] = _DECIMAL
PERCENT: tuple[Correction, ...] = (*_DECIMAL, ("a share for a percentage", lambda value: value * 100))


def airflow(volume_m3: float) -> tuple[Correction, ...]:
    """Return the slips of air changes: an air flow instead, or a decimal point.

    >>> [round(meant(54), 2) for _, meant in airflow(45.0)]
    [1.2, 4.32, 5.4, 540]
    """
    volume_m3 = max(volume_m3, _LEAST)
    return (
        ("m³/h for air changes", lambda value: value / volume_m3),
        ("litres per second for air changes", lambda value: value * 3.6 / volume_m3),
        *_DECIMAL,
    )


def all_meant(value: float, corrections: Iterable[Correction]) -> list[Slip]:
    """Return every number that may have been meant."""
    if abs(value) < _LEAST:
        return []
    return [Slip(words, meant(value)) for words, meant in corrections]


def likely(value: float, usual: Usual, corrections: Iterable[Correction]) -> Slip | None:
    """Return the first slip that makes a number usual, or None; two that make nearly the same are both named.

    A number that is hardly outside of what is usual is no slip by a factor.

    >>> likely(7.9, Usual(1.7, 5.0, "rooms"), LENGTH)
    Slip(words='feet for metres', meant=2.40792)
    >>> likely(100, Usual(5, 20, "walls"), AREA).words
    'square feet for square metres or a decimal point in the wrong place'
    >>> likely(5.5, Usual(1.7, 5.0, "rooms"), LENGTH) is None
    True
    """
    if _hardly(value, usual):
        return None
    fitting = _within(value, usual, corrections)
    if not fitting:
        return None
    first, *rest = fitting
    same = next((slip for slip in rest if abs(slip.meant - first.meant) < _NEARLY * abs(first.meant)), None)
    return first if same is None else Slip(f"{first.words} or {same.words}", first.meant)


def middling(value: float, usual: Usual, corrections: Iterable[Correction]) -> Slip | None:
    """Return the slip that brings a number nearest to the middle of what is usual, or None.

    >>> middling(15, Usual(0.25, 3, "rooms"), airflow(50)).words
    'litres per second for air changes'
    """
    if _hardly(value, usual):
        return None
    return min(_within(value, usual, corrections), key=lambda slip: _distance(slip.meant, usual), default=None)


def _within(value: float, usual: Usual, corrections: Iterable[Correction]) -> list[Slip]:
    return [slip for slip in all_meant(value, corrections) if not usual.side(slip.meant)]


def _hardly(value: float, usual: Usual) -> bool:
    return usual.low > 0 and usual.low / _BY_A_FACTOR < value < usual.high * _BY_A_FACTOR


def _distance(value: float, usual: Usual) -> float:
    middle = usual.middle
    return abs(log(value / middle)) if value > 0 and middle > 0 else abs(value - middle)
