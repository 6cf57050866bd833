"""What the HTTP face stands on, handed in by ``app``."""

from __future__ import annotations

from dataclasses import dataclass

from aiohttp import web

from ingle.clock import Clock
from ingle.commands.people import People
from ingle.commands.service import Commands
from ingle.config.daemon import Settings
from ingle.intake.intake import Intake
from ingle.live.state import Live
from ingle.reports.child import Verdicts
from ingle.store.db import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """The rooms below, by name."""

    store: Store
    live: Live
    commands: Commands
    intake: Intake
    clock: Clock
    settings: Settings
    verdicts: Verdicts
    people: People


PARTS = web.AppKey("parts", Parts)
