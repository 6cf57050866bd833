"""The numbers of a survey by their names, as a house file writes them.

``u_w_per_m2k`` is a field of its own; ``ground.soil_lambda``, ``layers.2.lambda`` and ``air.1.from.temperature_c`` lie
in a table or a list inside, the first of a list being 1. So whatever is uncertain has one name: in provenance, in what
looks like a slip, on the sheet.
"""

from __future__ import annotations

from functools import cache
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

T = TypeVar("T", bound=Struct)


def number(holder: Struct, name: str) -> float | None:
    """Return a number by its name, or None where nothing of that name is there or it is no number.

    >>> from ingle.model.envelope import Element, Ground, Layer
    >>> wall = Element(name="wall", kind="wall", layers=(Layer(mm=100.0, conductivity=0.5),))
    >>> number(wall, "layers.1.lambda"), number(wall, "layers.2.lambda"), number(wall, "kind")
    (0.5, None, None)
    """
    attribute = _attribute(holder, name)
    found = within(holder, name) if attribute is None else getattr(holder, attribute)
    return found if isinstance(found, float | int) and not isinstance(found, bool) else None


def within(holder: object, name: str) -> object:
    """Return what lies at a name; None where nothing does."""
    for part in name.split("."):
        holder = _at(holder, part)
    return holder


def changed(holder: T, name: str, value: float) -> T:
    """Return a value with one of its numbers changed; a whole number stays one.

    Raises
    ------
    KeyError
        Where no number has that name.

    >>> from ingle.model.envelope import Element, Ground
    >>> slab = Element(name="slab", kind="ground-floor", ground=Ground(perimeter_m=8.0))
    >>> changed(slab, "ground.soil_lambda", 2.0).ground.soil_lambda
    2.0
    """
    part, _, rest = name.partition(".")
    attribute = _attribute(holder, part)
    if attribute is None:
        raise KeyError(name)
    return replace(holder, **{attribute: _with(getattr(holder, attribute), rest, value)})


def _with(holder: object, name: str, value: float) -> object:
    """Return what stands at an attribute with the number at a name below it changed, or itself where none is left."""
    if not name:
        return int(value) if isinstance(holder, int) else value
    if isinstance(holder, Struct):
        return changed(holder, name, value)
    part, _, rest = name.partition(".")
    place = _place(part)
    if not isinstance(holder, tuple) or place is None or place >= len(holder):
        raise KeyError(name)
    return (*holder[:place], _with(holder[place], rest, value), *holder[place + 1 :])


def _at(holder: object, part: str) -> object:
    if isinstance(holder, Struct):
        attribute = _attribute(holder, part)
        found: object = None if attribute is None else getattr(holder, attribute)
        return found
    place = _place(part)
    if isinstance(holder, tuple) and place is not None and place < len(holder):
        return holder[place]
    return None


def _attribute(holder: Struct, part: str) -> str | None:
    return _attributes(type(holder)).get(part)


@cache
def _attributes(kind: type[Struct]) -> dict[str, str]:
    """Return the attribute that each key of a struct is read into."""
    return dict(zip(kind.__struct_encode_fields__, kind.__struct_fields__, strict=True))


def _place(part: str) -> int | None:
    return int(part) - 1 if part.isdecimal() and part[0] != "0" else None
