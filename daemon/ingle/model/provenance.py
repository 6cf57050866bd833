"""Where an input comes from, and how far it may be off."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Value


class Provenance(Value, frozen=True, kw_only=True):
    """Where an input comes from; ``low`` and ``high`` are its 95 % limits, in the field's own unit."""

    kind: Literal["measured", "observed", "assumed"]
    low: float | None = None
    high: float | None = None
    note: Annotated[str, Meta(max_length=400)] = ""
