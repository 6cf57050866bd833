"""What is always said beside advice on heaters and circuits; no result goes out without it."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = (
    (
        "A competent electrician and the local rules decide about circuits, connections and places; these sums do not. "
        "ingle is never a safety device: a cap protects no fuse, cable or person."
    ),
    (
        "Isolate before work. Do not cover a heater and dry nothing on it. Keep 1 m to cloth, furniture and beds, or "
        "what its maker asks. No heater on an extension lead."
    ),
    (
        "A room sensor belongs 1.2 to 1.5 m up on an inside wall, out of the sun, of draughts and of the heater's own "
        "warm air (common practice)."
    ),
)
