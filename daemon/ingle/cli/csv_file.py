"""A CSV file on its way in: read in chunks of whole lines, and the file of rejects beside it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO, TYPE_CHECKING, Final, NamedTuple

from ingle.errors import Unreachable

if TYPE_CHECKING:
    from ingle.intake.imports import Reject

#: What is handed over at a time [bytes].
CHUNK_BYTES: Final = 256 * 1024
#: The most that is read of one line; a longer one is cut here, and then refused for its length [bytes].
READ_MAX: Final = 16 * 1024


class Chunk(NamedTuple):
    """Some lines without their ends, the number of the first, and where in the file the last one ends [bytes]."""

    first_line: int
    lines: list[str]
    read: int


def chunks(opened: IO[bytes], most: int = CHUNK_BYTES) -> Iterator[Chunk]:
    """Yield a file's lines in chunks; the first line is a chunk of its own.

    What is not UTF-8 is carried through as it is, so that it can be refused by line and written back unchanged.

    >>> [chunk.lines for chunk in chunks(io.BytesIO(b"time,zone" + bytes([10]) + b"a" + bytes([13, 10]) + b"b"))]
    [['time,zone'], ['a', 'b']]
    """
    number, first, lines, size, read = 0, 1, [], 0, 0
    while raw := opened.readline(READ_MAX):
        read += len(raw) + (0 if raw.endswith(b"\n") else _skip(opened))
        number += 1
        size += len(raw)
        lines.append(raw.rstrip(b"\r\n").decode("utf-8", "surrogateescape"))
        if number == 1 or size >= most:
            yield Chunk(first, lines, read)
            first, lines, size = number + 1, [], 0
    if lines:
        yield Chunk(first, lines, read)


def _skip(opened: IO[bytes]) -> int:
    """Read on to the end of a line that is too long; return how much was skipped."""
    skipped = 0
    while raw := opened.readline(READ_MAX):
        skipped += len(raw)
        if raw.endswith(b"\n"):
            break
    return skipped


class Rejects:
    """FILE.rejects.csv: made when the first row is refused. Mended, it can be imported as it is."""

    def __init__(self, file: Path) -> None:
        self.path = file.with_suffix(".rejects.csv") if file.suffix else file.with_name(file.name + ".rejects.csv")
        self.count = 0
        self._opened: IO[str] | None = None

    def write(self, head: str, chunk: Chunk, rejects: Iterable[Reject]) -> None:
        """Write the refused lines of a chunk with their numbers and reasons.

        Raises
        ------
        Unreachable
            Where the file cannot be written.
        """
        try:
            for reject in rejects:
                out = self._open(head)
                out.write(_cells(str(reject.line), reject.reason) + chunk.lines[reject.line - chunk.first_line] + "\n")
                self.count += 1
        except OSError as error:
            raise Unreachable(f"{self.path}: cannot be written: {error.strerror or error}") from error

    def close(self) -> None:
        """End the file, if there is one."""
        if self._opened is not None:
            self._opened.close()

    def _open(self, head: str) -> IO[str]:
        if self._opened is None:
            self._opened = self.path.open("w", encoding="utf-8", errors="surrogateescape", newline="")
            self._opened.write(f"line,reason,{head}\n")
        return self._opened


def _cells(*cells: str) -> str:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerow(cells)
    return buffer.getvalue().removesuffix("\n") + ","
