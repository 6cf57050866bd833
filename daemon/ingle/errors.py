"""What can go wrong, told apart by whose move it is.

Four errors under one base. Each edge maps them once: the command line to exit codes, HTTP to problem details,
MQTT to an answer on the response topic.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input: where, what came, what is allowed.

    ``path`` holds the keys and list positions that lead to the value, as in ``("zone", 0, "u_w_per_m2k")``.

    >>> print(Fault(("zone", 0, "volume_m3"), -3, "a number above 0", source="house.toml"))
    house.toml: zone[0].volume_m3: -3 is not allowed; allowed: a number above 0
    >>> Fault(("zone", 0, "a/b"), -3, "a number above 0").pointer
    '/zone/0/a~1b'
    """

    path: tuple[str | int, ...]
    value: object
    allowed: str
    source: str = ""

    @property
    def place(self) -> str:
        """The path as a person writes it: ``zone[0].volume_m3``."""
        text = "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in self.path)
        return text.removeprefix(".")

    @property
    def pointer(self) -> str:
        """The path as a JSON Pointer (RFC 6901)."""
        return "".join("/" + str(key).replace("~", "~0").replace("/", "~1") for key in self.path)

    def __str__(self) -> str:
        shown = "nothing" if self.value is None else repr(self.value)
        if len(shown) > 60:
            shown = shown[:57] + "..."
        where = ": ".join(part for part in (self.source, self.place) if part)
        prefix = f"{where}: " if where else ""
        return f"{prefix}{shown} is not allowed; allowed: {self.allowed}"


class IngleError(Exception):
    """Base of all errors that a user may see; never raised itself."""


class BadInput(IngleError):  # noqa: N818 - named for whose fault it is
    """What came in cannot be taken; the sender can mend it. Carries every fault found, not only the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class Unknown(IngleError):  # noqa: N818
    """A thing was named that this house does not have."""


class Refused(IngleError):  # noqa: N818
    """The request is well formed but may not be done now: somebody else changed the thing, or a rule forbids it."""


class Unreachable(IngleError):  # noqa: N818
    """Something outside is needed and does not answer: a database, the broker, the running daemon."""
