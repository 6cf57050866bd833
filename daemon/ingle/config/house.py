"""House files: TOML to a House and back.

A bad file is refused whole, with every fault; nothing of it is used. ``load(dump(house)) == house``.
"""

from __future__ import annotations

import re
import tomllib
from datetime import date, datetime, time
from pathlib import Path

import msgspec

from ingle.config import agree, walk
from ingle.errors import BadInput, Fault, Unreachable
from ingle.model.house import House

#: Larger than any survey (the demo's eleven zones are some 30 kB), small enough to read at once on a small board.
LARGEST_FILE = 4 * 1024 * 1024


def parse_house(text: str, source: str) -> House:
    r"""Read a house file.

    Parameters
    ----------
    text
        The file's text, TOML 1.0.
    source
        Its name, for the faults.

    Raises
    ------
    BadInput
        With all faults; or with one, by line and column, where it is not TOML.

    >>> parse_house('[house]\nname = "Quay Chapel"\noutdoor_design_c = -3', "chapel.toml").site.name
    'Quay Chapel'
    >>> parse_house("[house", "chapel.toml")
    Traceback (most recent call last):
    ingle.errors.BadInput: chapel.toml: line 1, column 7: '[house' is not allowed; allowed: TOML 1.0 (expected ']' ...)
    """
    return check_house(parse_toml(text, source), source)


def check_house(document: object, source: str = "") -> House:
    """Return the house that a document of dicts, lists and scalars describes.

    Raises
    ------
    BadInput
        With all faults.
    """
    if not isinstance(document, dict):
        raise BadInput([Fault((), document, "a table with house", source)])
    house, wrong = walk.read(document, House, source)
    wrong += agree.faults(house, source, wrong)
    if wrong:
        raise BadInput(wrong)
    return house


def dump_house(house: House) -> str:
    """Write a house as a house file; what has its default value is left out."""
    import tomli_w  # noqa: PLC0415 - only dumping needs it

    return tomli_w.dumps(msgspec.to_builtins(house))


def read_house_file(path: Path) -> House:
    """Read and check a house file.

    Raises
    ------
    BadInput
        With all faults; or where there is no such file.
    Unreachable
        Where it cannot be read.
    """
    return parse_house(read_text(path), path.name)


def read_text(path: Path) -> str:
    """Return a text file's content, UTF-8.

    Raises
    ------
    BadInput
        Where there is no such file, or what it holds is no text.
    Unreachable
        Where it is there and cannot be read.
    """
    try:
        content = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError) as error:
        raise BadInput([Fault((), path.name, f"the name of a file; there is none at {path}")]) from error
    except OSError as error:
        raise Unreachable(f"{path}: cannot be read: {error.strerror or error}") from error
    if len(content) > LARGEST_FILE:
        raise BadInput([Fault((), len(content), f"a file of at most {LARGEST_FILE} bytes", path.name)])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        wrong = content[error.start : error.start + 1]
        raise BadInput([Fault((f"line {line}",), wrong, "text in UTF-8", path.name)]) from error


def parse_toml(text: str, source: str) -> dict[str, object]:
    """Return a TOML text as dicts, lists and scalars; its dates and times become the text that they stand for.

    Raises
    ------
    BadInput
        With one fault by line and column where it is not TOML.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput([_not_toml(str(error), text, source)]) from error
    except RecursionError:
        # The chain of a thousand frames helps nobody.
        raise BadInput([Fault((), "...", "less deeply nested tables", source)]) from None
    except ValueError as error:
        # tomllib lets Python's own errors through, such as an int of more digits than Python reads.
        raise BadInput([Fault((), text[:40], f"TOML 1.0 ({error})", source)]) from error
    return {key: _textual(value) for key, value in table.items()}


def _not_toml(message: str, text: str, source: str) -> Fault:
    lines = text.split("\n")
    found = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line, column = (int(found[1]), int(found[2])) if found else (len(lines), len(lines[-1]) + 1)
    words = re.sub(r" \(at (line|end).*\)$", "", message)
    allowed = f"TOML 1.0 ({words[:1].lower()}{words[1:]})"
    return Fault((f"line {line}, column {column}",), lines[line - 1].strip(), allowed, source)


def _textual(value: object) -> object:
    if isinstance(value, dict):
        return {key: _textual(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_textual(each) for each in value]
    if isinstance(value, time):
        return value.strftime("%H:%M") if value.second == 0 and value.microsecond == 0 else value.isoformat()
    return value.isoformat() if isinstance(value, date | datetime) else value
