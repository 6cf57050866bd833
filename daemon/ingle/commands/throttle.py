"""Makes guessing slow without ever locking anybody out.

After a few failures each further try has to wait, twice as long each time, up to a bound; the wait is kept for the
account and for the address that tries, whichever is longer. Quiet for a while, and it is forgotten. So a guesser gets
some hundred tries a day, while its owner, from another address, waits at most the bound.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import Final, NamedTuple

#: Failures that cost nothing: fingers slip.
FREE: Final = 3
#: The longest wait, and how long after the last failure all is forgotten [s].
LONGEST_S: Final = 300.0
FORGET_S: Final = 3600.0
#: Names remembered at once; beyond, the one that failed longest ago is forgotten.
REMEMBERED: Final = 4096


class _Failed(NamedTuple):
    times: int
    last: float


class Throttle:
    """Counts failures by name. Times are monotonic seconds."""

    def __init__(self) -> None:
        self._failed: OrderedDict[str, _Failed] = OrderedDict()

    def wait_s(self, names: tuple[str, ...], now: float) -> float:
        """Return how long a try in these names has to wait still [s].

        >>> throttle = Throttle()
        >>> for at in range(5): throttle.failed(("account ada",), float(at))
        >>> throttle.wait_s(("account ada", "from 192.0.2.7"), 5.0)
        3.0
        """
        return max((self._wait(name, now) for name in names), default=0.0)

    def failed(self, names: tuple[str, ...], now: float) -> None:
        """Count a failure."""
        for name in names:
            before = self._failed.pop(name, None)
            times = before.times if before is not None and now - before.last < FORGET_S else 0
            self._failed[name] = _Failed(times + 1, now)
        while len(self._failed) > REMEMBERED:
            self._failed.popitem(last=False)

    def succeeded(self, names: tuple[str, ...]) -> None:
        """Forget the failures."""
        for name in names:
            self._failed.pop(name, None)

    def _wait(self, name: str, now: float) -> float:
        failed = self._failed.get(name)
        if failed is None or failed.times <= FREE or now - failed.last >= FORGET_S:
            return 0.0
        until = failed.last + min(2.0 ** (failed.times - FREE), LONGEST_S)
        return max(until - now, 0.0)
