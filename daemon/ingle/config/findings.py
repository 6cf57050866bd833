"""Faults of agreement between fields, and which of them are worth saying.

A rule between fields is tried even where one of its fields could not be read: the house then holds a stand-in, and
the rule might complain of that. So every finding names the fields it rests on, and those that rest on a field with
a fault of its own are dropped: the person sees the cause once, not its echoes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from ingle.errors import Fault

Path = tuple[str | int, ...]


@dataclass(slots=True)
class Findings:
    """What the rules found so far, in their order."""

    source: str
    _found: list[tuple[Fault, tuple[Path, ...]]] = field(default_factory=list)

    def add(self, path: Path, value: object, allowed: str, *, rests_on: Iterable[Path] = ()) -> None:
        """Note one finding.

        Parameters
        ----------
        path, value, allowed
            As in ``Fault``.
        rests_on
            The fields that were looked at besides ``path``.
        """
        self._found.append((Fault(path, value, allowed, self.source), (path, *rests_on)))

    def besides(self, faults: Iterable[Fault]) -> Iterator[Fault]:
        """Return the findings that do not rest on a field with a fault of its own."""
        wrong = [fault.path for fault in faults]
        for fault, paths in self._found:
            if not any(_touches(path, bad) for path in paths for bad in wrong):
                yield fault


def _touches(path: Path, bad: Path) -> bool:
    """Whether a field is the faulty one, or holds it, or lies in it.

    >>> _touches(("zone", 0), ("zone", 0, "id")), _touches(("zone", 0, "id"), ("zone",)), _touches(("a",), ("b",))
    (True, True, False)
    """
    shared = min(len(path), len(bad))
    return path[:shared] == bad[:shared]


def below(path: Path, keys: Iterable[str]) -> list[Path]:
    """Return the paths of several fields of one table."""
    return [(*path, key) for key in keys]
