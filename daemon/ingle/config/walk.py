"""Read a document into a struct and find every fault on the way.

msgspec itself stops at the first fault, and who fills in a survey wants all of them. So the document (what TOML or
JSON decode to) is walked along the struct's own type description. The rules of this file:

* A fault never ends the walk. What cannot be read is replaced by the field's default or by a harmless stand-in, so
  that rules between fields can still be tried on the rest; a value built that way must not leave ``config``.
* ``true`` is not a number, a whole number is a fine float, a float is not a whole number, NaN and infinity are not
  numbers that anything can have.
* What the struct's ``Meta`` says (range, pattern, length, description) is what the fault says is allowed.
"""

from __future__ import annotations

import difflib
import functools
import math
import re
from collections.abc import Callable, Iterable
from typing import Any, Final, TypeVar, cast

import msgspec
from msgspec import inspect as types

from ingle.errors import Fault

Path = tuple[str | int, ...]
T = TypeVar("T", bound=msgspec.Struct)


def read(document: object, kind: type[T], source: str = "") -> tuple[T, list[Fault]]:
    """Return the struct that a document describes, and all that is wrong with the document.

    Parameters
    ----------
    document
        Dicts, lists and scalars.
    kind
        The struct to read it as.
    source
        The file's name, for the faults.

    Returns
    -------
    tuple
        The value, with stand-ins where there is a fault; the faults in the order of the struct's fields.

    >>> from ingle.model.envelope import Bridge
    >>> read({"share": 0.2, "lambda": 1}, Bridge)
    (Bridge(share=0.2, conductivity=1.0), [])
    >>> for fault in read({"share": True, "lamda": 1}, Bridge)[1]:
    ...     print(fault)
    lamda: 1 is not allowed; allowed: no such key here; did you mean lambda?
    share: True is not allowed; allowed: a number from 0 to 1
    lambda: nothing is not allowed; allowed: a number above 0 and at most 500 (required)
    """
    walk = _Walk(source)
    return cast("T", walk.value(document, _description(kind), ())), walk.faults


def faults_of_field(value: object, kind: type[msgspec.Struct], key: str) -> list[Fault]:
    """Return what is wrong with a value, were it given for one field of a struct."""
    field = next(each for each in _struct(kind).fields if each.encode_name == key)
    walk = _Walk("")
    walk.value(value, field.type, (key,))
    return walk.faults


def numeric_fields(kind: type[msgspec.Struct]) -> dict[str, str]:
    """Return the keys of a struct that hold a number, each with the attribute it is read into."""
    return {field.encode_name: field.name for field in _struct(kind).fields if _is_number(field.type)}


@functools.cache
def _description(kind: type) -> types.Type:
    return types.type_info(kind)


def _struct(kind: type[msgspec.Struct]) -> types.StructType:
    return cast("types.StructType", _description(kind))


def _is_number(kind: types.Type) -> bool:
    return any(isinstance(_bare(each)[0], types.FloatType | types.IntType) for each in _alternatives(kind))


def _alternatives(kind: types.Type) -> list[types.Type]:
    return list(kind.types) if isinstance(kind, types.UnionType) else [kind]


def _bare(kind: types.Type) -> tuple[types.Type, str]:
    """Return a type without its note, and the note."""
    if not isinstance(kind, types.Metadata):
        return kind, ""
    return kind.type, str((kind.extra_json_schema or {}).get("description", ""))


class _Walk:
    """One walk: the source's name and the faults found so far."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.faults: list[Fault] = []

    def value(self, value: object, kind: types.Type, path: Path) -> object:
        """Read one value; on a fault note it and return a stand-in."""
        chosen = _choose(value, kind)
        if chosen is None:
            self._refuse(path, value, allowed(kind))
            return _stand_in(kind, value)
        bare, _ = _bare(chosen)
        reader = _READERS.get(type(bare))
        if reader is not None:
            return reader(self, value, bare, path)
        read_scalar = _SCALARS[type(bare)](value, bare)
        if read_scalar is None and value is not None:
            self._refuse(path, value, allowed(kind))
            return _stand_in(chosen, value)
        return read_scalar

    def struct(self, value: object, kind: types.Type, path: Path) -> object:
        """Read a table into its struct: unknown keys first, then field by field."""
        table, shape = cast("dict[str, object]", value), cast("types.StructType", kind)
        known = [field.encode_name for field in shape.fields]
        for key in table:
            if key not in known:
                self._refuse((*path, str(key)), table[key], _unknown_key(str(key), known))
        read_fields = {field.name: self._field(table, field, path) for field in shape.fields}
        return shape.cls(**{name: got for name, got in read_fields.items() if got is not msgspec.UNSET})

    def _field(self, table: dict[str, object], field: types.Field, path: Path) -> object:
        where = (*path, field.encode_name)
        if field.encode_name in table:
            before = len(self.faults)
            got = self.value(table[field.encode_name], field.type, where)
            # A fault in the value itself (not deeper inside) falls back to the default, where there is one.
            wrong = any(fault.path == where for fault in self.faults[before:])
            return msgspec.UNSET if wrong and not field.required else got
        if not field.required:
            return msgspec.UNSET
        self._refuse(where, None, f"{allowed(field.type)} (required)")
        return _stand_in(field.type, None)

    def items(self, value: object, kind: types.Type, path: Path) -> object:
        """Read a list into a tuple."""
        values, shape = cast("list[object]", value), cast("types.VarTupleType", kind)
        if len(values) < (shape.min_length or 0):
            self._refuse(path, value, allowed(kind))
        return tuple(self.value(each, shape.item_type, (*path, index)) for index, each in enumerate(values))

    def table(self, value: object, kind: types.Type, path: Path) -> object:
        """Read a table of free keys."""
        shape = cast("types.DictType", kind)
        entries = cast("dict[str, object]", value).items()
        return {key: self.value(each, shape.value_type, (*path, key)) for key, each in entries}

    def _refuse(self, path: Path, value: object, what: str) -> None:
        self.faults.append(Fault(path, value, what, self.source))


_READERS: Final[dict[type[types.Type], Callable[[_Walk, object, types.Type, Path], object]]] = {
    types.StructType: _Walk.struct,
    types.VarTupleType: _Walk.items,
    types.DictType: _Walk.table,
}


def _choose(value: object, kind: types.Type) -> types.Type | None:
    """Return the alternative that a value's own shape points at, or None."""
    for each in _alternatives(kind):
        bare, _ = _bare(each)
        if isinstance(value, _SHAPES[type(bare)]) and (not isinstance(value, bool) or _takes_bool(bare)):
            return each
    return None


def _takes_bool(bare: types.Type) -> bool:
    return isinstance(bare, types.BoolType)


def _float(value: object, kind: types.Type) -> float | None:
    bounds = cast("types.FloatType", kind)
    try:
        number = float(cast("float", value))
    except OverflowError:
        return None
    return number if math.isfinite(number) and _within(number, bounds) else None


def _int(value: object, kind: types.Type) -> int | None:
    number = cast("int", value)
    return number if _within(number, cast("types.IntType", kind)) else None


def _within(number: float, bounds: types.FloatType | types.IntType) -> bool:
    return (
        (bounds.ge is None or number >= bounds.ge)
        and (bounds.gt is None or number > bounds.gt)
        and (bounds.le is None or number <= bounds.le)
        and (bounds.lt is None or number < bounds.lt)
    )


def _text(value: object, kind: types.Type) -> str | None:
    text, shape = cast("str", value), cast("types.StrType", kind)
    if len(text) < (shape.min_length or 0) or len(text) > (shape.max_length or len(text)):
        return None
    # `$` also matches before a line break at the end, and an id with one would split a topic or a log line.
    if shape.pattern is not None and (text.endswith("\n") or not re.search(shape.pattern, text)):
        return None
    return text if text.isascii() or _encodes(text) else None


def _encodes(text: str) -> bool:
    """Whether text can be written as UTF-8 at all: half a surrogate pair, which JSON can spell, cannot."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def _choice(value: object, kind: types.Type) -> object:
    values = cast("types.LiteralType", kind).values
    return value if any(value == each and type(value) is type(each) for each in values) else None


_SCALARS: Final[dict[type[types.Type], Callable[[Any, types.Type], object]]] = {
    types.FloatType: _float,
    types.IntType: _int,
    types.StrType: _text,
    types.LiteralType: _choice,
    types.BoolType: lambda value, _: value,
    types.NoneType: lambda value, _: value,
}
_SHAPES: Final[dict[type[types.Type], type | tuple[type, ...]]] = {
    types.FloatType: (int, float),
    types.IntType: int,
    types.StrType: str,
    types.LiteralType: (str, int),
    types.BoolType: bool,
    types.NoneType: type(None),
    types.StructType: dict,
    types.VarTupleType: (list, tuple),
    types.DictType: dict,
}


def _stand_in(kind: types.Type, value: object) -> object:
    """Return something of the right type for a required field that cannot be read; text is kept as it came."""
    bare, _ = _bare(_alternatives(kind)[0])
    if isinstance(bare, types.StructType):
        return bare.cls(**{field.name: _stand_in(field.type, None) for field in bare.fields if field.required})
    if isinstance(bare, types.StrType):
        return value if isinstance(value, str) else ""
    if isinstance(bare, types.LiteralType):
        return bare.values[0]
    plain: dict[type[types.Type], object] = {types.FloatType: 1.0, types.IntType: 1, types.BoolType: False}
    empty: dict[type[types.Type], object] = {types.VarTupleType: (), types.DictType: {}}
    return (plain | empty).get(type(bare))


def _unknown_key(key: str, known: list[str]) -> str:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    return f"no such key here; did you mean {near[0]}?" if near else f"no such key here; known: {', '.join(known)}"


def allowed(kind: types.Type) -> str:
    """Say in words what a field takes."""
    bare, note = _bare(kind)
    if isinstance(bare, types.UnionType):
        return " or ".join(allowed(each) for each in bare.types if not isinstance(each, types.NoneType))
    words = _words(bare, note)
    return f"{words} ({note})" if note and not isinstance(bare, types.StrType) else words


def _words(bare: types.Type, note: str) -> str:
    describe = _DESCRIBE.get(type(bare))
    return "nothing" if describe is None else describe(bare, note)


def _list_words(shape: types.VarTupleType, _: str) -> str:
    least = f" of at least {shape.min_length}" if shape.min_length else ""
    return f"a list{least}, each {allowed(shape.item_type)}"


def _table_words(shape: types.StructType, _: str) -> str:
    needed = [field.encode_name for field in shape.fields if field.required]
    return f"a table with {', '.join(needed or [field.encode_name for field in shape.fields])}"


def _one_of(values: Iterable[object]) -> str:
    return "one of " + ", ".join(str(value) for value in values)


def _text_words(shape: types.StrType, note: str) -> str:
    if shape.pattern is not None:
        return f"text: {note}" if note else f"text that matches {shape.pattern}"
    if shape.min_length and shape.max_length:
        length = f"text of {shape.min_length} to {shape.max_length} characters"
    elif shape.max_length:
        length = f"text of at most {shape.max_length} characters"
    else:
        length = "text"
    return f"{length}: {note}" if note else length


def _range(bounds: types.FloatType | types.IntType) -> str:
    low = "" if bounds.ge is None else f"from {_plain(bounds.ge)}"
    low = low if bounds.gt is None else f"above {_plain(bounds.gt)}"
    high = "" if bounds.le is None else f"{'to' if bounds.ge is not None else 'at most'} {_plain(bounds.le)}"
    high = high if bounds.lt is None else f"below {_plain(bounds.lt)}"
    if low and high:
        joint = " " if high.startswith("to ") else " and "
        return f" {low}{joint}{high}"
    return f" {low or high}" if low or high else ""


def _plain(number: float) -> str:
    """Write a bound as a person would: 5000, not 5e+03."""
    return f"{number:.12g}"


_DESCRIBE: Final[dict[type[types.Type], Callable[[Any, str], str]]] = {
    types.FloatType: lambda bounds, _: "a number" + _range(bounds),
    types.IntType: lambda bounds, _: "a whole number" + _range(bounds),
    types.StrType: _text_words,
    types.LiteralType: lambda choice, _: _one_of(choice.values),
    types.BoolType: lambda _, __: "true or false",
    types.VarTupleType: _list_words,
    types.StructType: _table_words,
    types.DictType: lambda _, __: "a table",
}
