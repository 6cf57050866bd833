"""Thermal conductivity of common building materials, for layers that a surveyor names instead of measuring.

Sources, named row by row:

* ``STH``: Scottish Government, Technical Handbook, annex 6.B (values used in its worked examples).
* ``ISO 10456``: ISO 10456:2007, Table 3, design values; quoted from memory, check before a dispute.
* ``practice``: common practice in UK surveys, quoted from memory.

A conductivity on a product's own label is always better than a row of this table. How far a material that is only known
by its name may lie from its row goes by its sort: makes of insulation and boards differ by density and moisture less
than stone, brick and render do (own judgement; the figures of the ASHRAE Handbook of Fundamentals, 2021, chapter 26,
lie within).
"""

from __future__ import annotations

from typing import NamedTuple

STH = "Scottish Technical Handbook annex 6.B"
ISO_10456 = "ISO 10456:2007 Table 3, from memory"
PRACTICE = "common practice, from memory"


# How far a material of a sort may lie from its row, as a share of it.
INSULANT, BOARD, MINERAL, METAL = 0.15, 0.20, 0.30, 0.10


class Material(NamedTuple):
    """A material: conductivity [W/(m·K)], where the figure is from, and how far it may be off, as a share of it."""

    conductivity: float
    source: str
    spread: float

    @property
    def low(self) -> float:
        """The least that it is thought to conduct [W/(m·K)]."""
        return self.conductivity * (1 - self.spread)

    @property
    def high(self) -> float:
        """The most [W/(m·K)]."""
        return self.conductivity * (1 + self.spread)


MATERIALS: dict[str, Material] = {
    "aerated-concrete-block": Material(0.18, PRACTICE, MINERAL),
    "aluminium": Material(160.0, ISO_10456, METAL),
    "bitumen-felt": Material(0.23, ISO_10456, BOARD),
    "brick-inner": Material(0.56, PRACTICE, MINERAL),
    "brick-outer": Material(0.77, STH, MINERAL),
    "cellulose": Material(0.042, PRACTICE, INSULANT),
    "cement-render": Material(1.0, ISO_10456, MINERAL),
    "ceramic-tile": Material(1.3, ISO_10456, MINERAL),
    "chipboard": Material(0.14, ISO_10456, BOARD),
    "concrete-dense": Material(2.0, ISO_10456, MINERAL),
    "concrete-reinforced": Material(2.3, ISO_10456, MINERAL),
    "concrete-block-dense": Material(1.13, PRACTICE, MINERAL),
    "concrete-block-light": Material(0.51, PRACTICE, MINERAL),
    "copper": Material(380.0, ISO_10456, METAL),
    "cork-board": Material(0.05, ISO_10456, INSULANT),
    "expanded-polystyrene": Material(0.038, PRACTICE, INSULANT),
    "extruded-polystyrene": Material(0.034, PRACTICE, INSULANT),
    "glass": Material(1.0, ISO_10456, MINERAL),
    "granite": Material(2.8, ISO_10456, MINERAL),
    "gypsum-plaster": Material(0.57, ISO_10456, MINERAL),
    "hardwood": Material(0.18, ISO_10456, BOARD),
    "lime-plaster": Material(0.8, ISO_10456, MINERAL),
    "limestone": Material(1.7, ISO_10456, MINERAL),
    "mineral-wool": Material(0.04, STH, INSULANT),
    "osb": Material(0.13, ISO_10456, BOARD),
    "phenolic-foam": Material(0.023, PRACTICE, INSULANT),
    "plasterboard": Material(0.21, STH, BOARD),
    "plywood": Material(0.13, ISO_10456, BOARD),
    "polyurethane-foam": Material(0.025, PRACTICE, INSULANT),
    "sandstone": Material(2.3, ISO_10456, MINERAL),
    "screed": Material(1.15, PRACTICE, MINERAL),
    "slate": Material(2.2, ISO_10456, MINERAL),
    "softwood": Material(0.13, ISO_10456, BOARD),
    "stainless-steel": Material(17.0, ISO_10456, METAL),
    "steel": Material(50.0, ISO_10456, METAL),
    "straw-bale": Material(0.06, PRACTICE, INSULANT),
    "timber-stud": Material(0.12, STH, BOARD),
    "wood-fibre-board": Material(0.04, PRACTICE, INSULANT),
}
METALS = frozenset({"aluminium", "copper", "stainless-steel", "steel"})


def material(name: str) -> Material | None:
    """Return the row of a material, however its name is written; None where there is none.

    >>> material("Mineral wool").conductivity, material("Mineral wool").low, material("clay tiles")
    (0.04, 0.034, None)
    """
    return MATERIALS.get(name.strip().lower().replace(" ", "-"))
