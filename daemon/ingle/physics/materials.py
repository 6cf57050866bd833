"""Thermal conductivity of common building materials, for layers that a surveyor names instead of measuring.

Sources, named row by row:

* ``STH``: Scottish Government, Technical Handbook, annex 6.B (values used in its worked examples).
* ``ISO 10456``: ISO 10456:2007, Table 3, design values; quoted from memory, check before a dispute.
* ``practice``: common practice in UK surveys, quoted from memory.

A conductivity on a product's own label is always better than a row of this table.
"""

from __future__ import annotations

from typing import NamedTuple

STH = "Scottish Technical Handbook annex 6.B"
ISO_10456 = "ISO 10456:2007 Table 3, from memory"
PRACTICE = "common practice, from memory"


class Material(NamedTuple):
    """A material: conductivity [W/(m·K)] and where the figure is from."""

    conductivity: float
    source: str


MATERIALS: dict[str, Material] = {
    "aerated-concrete-block": Material(0.18, PRACTICE),
    "aluminium": Material(160.0, ISO_10456),
    "bitumen-felt": Material(0.23, ISO_10456),
    "brick-inner": Material(0.56, PRACTICE),
    "brick-outer": Material(0.77, STH),
    "cellulose": Material(0.042, PRACTICE),
    "cement-render": Material(1.0, ISO_10456),
    "ceramic-tile": Material(1.3, ISO_10456),
    "chipboard": Material(0.14, ISO_10456),
    "concrete-dense": Material(2.0, ISO_10456),
    "concrete-reinforced": Material(2.3, ISO_10456),
    "concrete-block-dense": Material(1.13, PRACTICE),
    "concrete-block-light": Material(0.51, PRACTICE),
    "copper": Material(380.0, ISO_10456),
    "cork-board": Material(0.05, ISO_10456),
    "expanded-polystyrene": Material(0.038, PRACTICE),
    "extruded-polystyrene": Material(0.034, PRACTICE),
    "glass": Material(1.0, ISO_10456),
    "granite": Material(2.8, ISO_10456),
    "gypsum-plaster": Material(0.57, ISO_10456),
    "hardwood": Material(0.18, ISO_10456),
    "lime-plaster": Material(0.8, ISO_10456),
    "limestone": Material(1.7, ISO_10456),
    "mineral-wool": Material(0.04, STH),
    "osb": Material(0.13, ISO_10456),
    "phenolic-foam": Material(0.023, PRACTICE),
    "plasterboard": Material(0.21, STH),
    "plywood": Material(0.13, ISO_10456),
    "polyurethane-foam": Material(0.025, PRACTICE),
    "sandstone": Material(2.3, ISO_10456),
    "screed": Material(1.15, PRACTICE),
    "slate": Material(2.2, ISO_10456),
    "softwood": Material(0.13, ISO_10456),
    "stainless-steel": Material(17.0, ISO_10456),
    "steel": Material(50.0, ISO_10456),
    "straw-bale": Material(0.06, PRACTICE),
    "timber-stud": Material(0.12, STH),
    "wood-fibre-board": Material(0.04, PRACTICE),
}
METALS = frozenset({"aluminium", "copper", "stainless-steel", "steel"})
