"""Tell the service manager how we are: READY, WATCHDOG, STOPPING (sd_notify(3), a datagram to a socket).

The watchdog is fed only by real progress. A timer of its own would go on feeding while the rest stands still.
"""

from __future__ import annotations

import socket
from collections.abc import Callable, Mapping


class Notifier:
    """Sends states to ``NOTIFY_SOCKET``; silent where there is none.

    Parameters
    ----------
    environ
        The process's environment: ``NOTIFY_SOCKET``, ``WATCHDOG_USEC``, ``WATCHDOG_PID``.
    pid
        This process, to know whether the watchdog is meant for it.
    """

    def __init__(self, environ: Mapping[str, str], pid: int) -> None:
        self._address = environ.get("NOTIFY_SOCKET", "")
        if self._address.startswith("@"):
            self._address = "\0" + self._address[1:]  # abstract name space
        meant_for = environ.get("WATCHDOG_PID", str(pid))
        micros = environ.get("WATCHDOG_USEC", "0")
        mine = meant_for == str(pid) and micros.isdigit()
        #: The longest silence the manager bears [s]; 0 where no watchdog is set.
        self.watchdog_s = int(micros) / 1e6 if mine else 0.0

    def send(self, *states: str) -> None:
        """Send states, such as ``READY=1``. A manager that is gone is no reason to stop heating."""
        if not self._address:
            return
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as sender:
            try:
                sender.connect(self._address)
                sender.sendall("\n".join(states).encode())
            except OSError:
                return


class Watchdog:
    """Feeds the watchdog when every part that must live has moved since it was last fed.

    Parameters
    ----------
    notifier
        Where the feed goes.
    progress
        For each part a function that returns a counter which grows while the part is alive.
    """

    def __init__(self, notifier: Notifier, progress: Mapping[str, Callable[[], int]]) -> None:
        self._notifier = notifier
        self._progress = dict(progress)
        self._seen = dict.fromkeys(self._progress, -1)

    def feed(self) -> tuple[str, ...]:
        """Feed if all parts moved; return the names of those that did not."""
        counts = {name: count() for name, count in self._progress.items()}
        stuck = tuple(name for name, count in counts.items() if count == self._seen[name])
        if not stuck:
            self._seen = counts
            self._notifier.send("WATCHDOG=1")
        return stuck
