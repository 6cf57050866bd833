"""How cold unheated spaces usually are: the share of a room's temperature difference that is left beyond them.

For a space that nobody surveyed itself. Its heat balance (see ``unheated``) is better wherever its own walls are known.

References
----------
EN 12831-1:2017, Annex B: default temperature factors f1 of unheated spaces. The standard gives no range; 0.15 either
way is own judgement, since the kinds of one sort lie that far apart.
"""

from __future__ import annotations

from typing import Final

from ingle.physics.typical import Typical

_FACTORS: Final = {
    "inner-circulation": 0.0,
    "one-outside-wall": 0.4,
    "two-outside-walls": 0.5,
    "two-outside-walls-and-door": 0.6,
    "three-outside-walls": 0.8,
    "basement": 0.5,
    "basement-with-openings": 0.8,
    "roof-insulated": 0.7,
    "roof-uninsulated": 0.9,
    "roof-ventilated": 1.0,
    "crawl-space": 0.8,
}
#: The kinds that are known.
KINDS: Final = tuple(_FACTORS)
_OFF: Final = 0.15


def unheated_factor(kind: str) -> Typical:
    """Return the factor of a kind of unheated space [-]: 0 as warm as the room, 1 as cold as outdoors.

    Raises
    ------
    ValueError
        For a kind that is not in the table.

    >>> unheated_factor("basement").value, unheated_factor("basement").low, unheated_factor("roof-ventilated").high
    (0.5, 0.35, 1.0)
    """
    value = _FACTORS.get(kind)
    if value is None:
        raise ValueError(f"no unheated space is called {kind}; known are {', '.join(KINDS)}")
    return Typical(value, max(0.0, value - _OFF), min(1.0, value + _OFF), "EN 12831-1:2017, Annex B")
