"""A figure with its pedigree, and how it becomes a line of the calculation sheet."""

from __future__ import annotations

from msgspec import Struct

from ingle.model.design import Working
from ingle.model.provenance import Provenance

# Up to here a number has six places to spare.
_FAR = 1e9


class Figure(Struct, frozen=True):
    """A value with unit, inputs, formula and source, and sentences about what is odd in it."""

    value: float
    unit: str
    inputs: dict[str, float | str]
    formula: str
    source: str
    notes: tuple[str, ...] = ()

    def line(self, item: str) -> Working:
        """Return the figure as a line of the working."""
        inputs = {key: tidy(each) if isinstance(each, float) else each for key, each in self.inputs.items()}
        return Working(
            item=item,
            inputs=inputs,
            formula=self.formula,
            value=tidy(self.value),
            unit=self.unit,
            source=self.source,
        )


def origin(provenance: Provenance | None) -> str:
    """Return where an input is from, as the sheet says it.

    >>> origin(Provenance(kind="assumed", note="solid brick, age guessed")), origin(None)
    ('assumed (solid brick, age guessed)', 'assumed (nothing said)')
    """
    if provenance is None:
        return "assumed (nothing said)"
    return f"{provenance.kind} ({provenance.note})" if provenance.note else provenance.kind


def tidy(value: float) -> float:
    """Return a value without the dust of binary arithmetic, and never minus zero.

    >>> tidy(46.731199999999994), tidy(-0.0)
    (46.7312, 0.0)
    """
    if -_FAR < value < _FAR:  # through a whole number, which is far faster than rounding to a number of places
        return round(value * 1e6) / 1e6 + 0.0
    return round(value, 6) + 0.0
