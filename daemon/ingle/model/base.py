"""How values are made: frozen, keyword-only, strict about unknown keys, and silent about defaults when written."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct


class Value(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """Base of values that come from outside (files, API) and travel between rooms."""


class Result(Struct, frozen=True, kw_only=True):
    """Base of values that go out (design, verdicts, decisions): every field is written, null when not known."""


Id = Annotated[
    str,
    Meta(
        pattern=r"^[a-z0-9][a-z0-9-]{0,31}$",
        description="1 to 32 of a-z, 0-9 and -, starting with a letter or digit",
    ),
]
Name = Annotated[str, Meta(min_length=1, max_length=80, description="what people call it")]
ClockTime = Annotated[str, Meta(pattern=r"^([01]\d|2[0-3]):[0-5]\d$|^24:00$", description="HH:MM, 24:00 allowed")]
