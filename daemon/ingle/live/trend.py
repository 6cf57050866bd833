"""Whether a zone cools: its temperature against what it was some ten to twenty minutes ago."""

from __future__ import annotations

from typing import Final

#: Long enough for a room to move by more than a sensor's noise [s].
LOOK_BACK_S: Final = 600.0
#: Less than this is noise [K].
NOISE_K: Final = 0.05


class Trend:
    """Remembers two past temperatures, each for ten minutes."""

    def __init__(self) -> None:
        self._older: tuple[float, float] | None = None
        self._newer: tuple[float, float] | None = None
        self.falling = False

    def observe(self, temp_c: float | None, monotonic: float) -> None:
        """Look at a temperature; without one nothing is falling, and the past is forgotten."""
        if temp_c is None:
            self._older = self._newer = None
            self.falling = False
            return
        if self._newer is None or monotonic - self._newer[0] >= LOOK_BACK_S:
            self._older, self._newer = self._newer or (monotonic, temp_c), (monotonic, temp_c)
        then_c = self._older[1] if self._older is not None else temp_c
        self.falling = temp_c < then_c - NOISE_K
