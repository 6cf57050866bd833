"""How far the wall clock may be trusted, and whether somebody has just set it.

A board without a battery clock starts with the time of its last shutdown and jumps, by minutes or by years, when it
finds a time server. Until somebody vouches for the time no programme runs. Who vouches, strongest first:

``trusted``       the settings say so: a machine that keeps time by itself
``synchronised``  the kernel says that a time service disciplines the clock
``confirmed``     a person confirmed the time since the start
``assumed``       ten minutes after the start nobody spoke, and the clock is not older than the last stored reading
``untrusted``     none of these

A step is seen by comparing wall time with monotonic time from tick to tick. A slew is none: a kernel slews by at most
0.5 ms a second. After a step the state reads ``stepped`` for a while, so that a page can say why things moved;
whether programmes run does not change by it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Literal

from ingle.clock import Clock
from ingle.model.instants import to_ms

ClockState = Literal["synchronised", "confirmed", "assumed", "trusted", "untrusted", "stepped"]

#: A difference between two ticks above this is a step [s].
STEP_S: Final = 1.0
#: How long after the start an unvouched clock is taken to be right [s].
ASSUMED_AFTER_S: Final = 600.0
#: How long a step is shown [s].
STEP_SHOWN_S: Final = 600.0


class Trust:
    """Watches the clock. ``newest_ms`` is the time of the last stored reading, which the clock must not be before."""

    def __init__(
        self,
        clock: Clock,
        *,
        synchronised: Callable[[], bool],
        trusted: bool = False,
        newest_ms: int | None = None,
    ) -> None:
        self._clock = clock
        self._synchronised = synchronised
        self._trusted = trusted
        self._newest_ms = newest_ms
        self._started = clock.monotonic()
        self._confirmed = False
        self._stepped_at: float | None = None
        self._offset = self._wall_less_monotonic()

    def observe(self) -> float | None:
        """Look at the clock, once a tick; return by how much it was set since the last look, None when it was not [s].

        A clock that was set after a person confirmed it is another clock: the confirmation falls.
        """
        offset = self._wall_less_monotonic()
        step = offset - self._offset
        self._offset = offset
        if abs(step) <= STEP_S:
            return None
        self._stepped_at = self._clock.monotonic()
        self._confirmed = False
        return step

    def confirm(self) -> None:
        """Take a person's word that the time is right."""
        self._confirmed = True

    @property
    def vouched(self) -> ClockState:
        """Who vouches for the time."""
        if self._trusted:
            return "trusted"
        if self._synchronised():
            return "synchronised"
        if self._confirmed:
            return "confirmed"
        waited = self._clock.monotonic() - self._started >= ASSUMED_AFTER_S
        plausible = self._newest_ms is None or to_ms(self._clock.now()) >= self._newest_ms
        return "assumed" if waited and plausible else "untrusted"

    @property
    def state(self) -> ClockState:
        """Who vouches for the time, or that it was just set."""
        vouched = self.vouched
        shown = self._stepped_at is not None and self._clock.monotonic() - self._stepped_at < STEP_SHOWN_S
        return "stepped" if shown and vouched != "untrusted" else vouched

    def _wall_less_monotonic(self) -> float:
        return self._clock.now().timestamp() - self._clock.monotonic()
