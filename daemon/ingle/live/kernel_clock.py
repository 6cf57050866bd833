"""Whether the kernel says that the wall clock is synchronised: asked, never assumed."""

from __future__ import annotations

import ctypes
from pathlib import Path
from typing import Final

#: ``adjtimex(2)`` returns this while nothing disciplines the clock.
_TIME_ERROR: Final = 5
#: ``struct timex`` has 208 bytes on 64-bit Linux; all zero means: ask, change nothing.
_TIMEX_BYTES: Final = 256
_MARK: Final = Path("/run/systemd/timesync/synchronized")


def kernel_synchronised() -> bool:
    """Return whether a time service has set the clock since boot: by ``adjtimex(2)``, or by its mark in ``/run``."""
    return _adjtimex() or _MARK.exists()


def _adjtimex() -> bool:
    try:
        ask = ctypes.CDLL(None).adjtimex
    except (OSError, AttributeError):
        return False
    state: int = ask(ctypes.create_string_buffer(_TIMEX_BYTES))
    return 0 <= state < _TIME_ERROR
