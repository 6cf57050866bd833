"""The composition root: every part is made here, started in order, and stopped in reverse.

Order: lock, store, state of now, intake, link, commands, pages, ticker. The pages come up whether or not there is a
broker, and the ticker decides whether or not there is a disk.
"""

from __future__ import annotations

import asyncio
import hashlib
import logging
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from ingle.app.heating_tests import keep_heating_tests
from ingle.app.places import shipped
from ingle.app.strays import say_strays
from ingle.app.ticker import Ticker
from ingle.app.today import keep_today
from ingle.clock import Clock
from ingle.commands.people import People
from ingle.commands.service import Commands
from ingle.config.daemon import Settings
from ingle.config.house import read_house_file
from ingle.config.profile import load_profiles
from ingle.errors import IngleError, Unreachable
from ingle.http.guard import check_listen
from ingle.http.parts import Parts
from ingle.http.serve import serve_http
from ingle.intake import Intake
from ingle.jobs import start_jobs
from ingle.live import Live
from ingle.live.kernel_clock import kernel_synchronised
from ingle.live.senses import Drive
from ingle.live.trust import Trust
from ingle.model.house import House
from ingle.model.profile import PLAIN, Profile
from ingle.mqtt.link import MqttLink
from ingle.mqtt.session import Broker
from ingle.reports.child import Verdicts
from ingle.store import houses
from ingle.store.db import Store
from ingle.store.installation import installation_id
from ingle.store.last import path_beside
from ingle.store.lock import take_lock
from ingle.store.people import is_owned
from ingle.store.readings import newest

log = logging.getLogger(__name__)

_DRIVES = ("setpoint", "limit", "switch")


@dataclass(kw_only=True)
class Running:
    """The parts of a running daemon, and what of it must live."""

    parts: Parts
    link: MqttLink
    ticker: Ticker
    broker: Broker
    page: str = ""
    tasks: list[asyncio.Task[None]] = field(default_factory=list)

    @property
    def progress(self) -> dict[str, Callable[[], int]]:
        """What the watchdog looks at: the tick, the link, the database's writer."""
        return {
            "tick": lambda: self.ticker.progress,
            "link": lambda: self.link.progress,
            "writer": lambda: self.parts.store.health().progress,
        }

    async def broken(self) -> str:
        """Wait until a task ends that should not, and say which; for ever, if all goes well."""
        done, _ = await asyncio.wait(self.tasks, return_when=asyncio.FIRST_COMPLETED)
        task = next(iter(done))
        error = None if task.cancelled() else task.exception()
        return f"{task.get_name()} ended: {type(error).__name__ if error else 'without an error'}: {error}"


@asynccontextmanager
async def running(settings: Settings, clock: Clock) -> AsyncIterator[Running]:
    """Run a daemon while the block lasts.

    Raises
    ------
    BadInput
        With every fault of a firmware profile.
    Refused
        Where others could reach the address to listen on; then nothing is touched.
    Unreachable
        Where the database is in use or must be left alone, or nothing can listen at the address.
    """
    check_listen(settings.listen_at[0], owned=is_owned(settings.db), plain=settings.plain_http)
    asyncio.get_running_loop().set_exception_handler(say_strays)
    async with AsyncExitStack() as stack:
        stack.enter_context(take_lock(settings.db))
        store = await Store.open(settings.db, clock=clock)
        stack.push_async_callback(store.close)
        live = Live(clock)
        stack.callback(live.close)
        profiles = load_profiles(_profile_folders(settings))
        live.set_profiles({profile.id: _drive(profile) for profile in (PLAIN, *profiles.values())})
        trust = await _remember(store, live, clock, trusted=settings.clock_trusted)
        intake = Intake(store, live, clock, trusted=lambda: trust.vouched != "untrusted")
        broker = await _broker(settings, store, stack)
        link = MqttLink(broker, intake, live, clock, root=settings.root, profiles=profiles, hurry=store.close_batch)
        commands = Commands(store, live, clock, link.orders, trust=trust)
        link.obey(commands)
        await _take_house(store, commands, settings.db)
        stack.push_async_callback(commands.flush)
        await link.start()
        stack.push_async_callback(link.stop)
        people = People(store, clock)
        await people.start()
        verdicts = Verdicts(settings.db, clock)
        stack.push_async_callback(verdicts.close)
        parts = Parts(
            store=store,
            live=live,
            commands=commands,
            intake=intake,
            clock=clock,
            settings=settings,
            verdicts=verdicts,
            people=people,
        )
        listener = await serve_http(parts)
        stack.push_async_callback(listener.close)
        ticker = Ticker(lambda: _beat(parts))
        run = Running(parts=parts, link=link, ticker=ticker, broker=broker, page=listener.page)
        _keep(run, "tick", run.ticker.run())
        _keep(run, "today", keep_today(parts))
        _keep(run, "heating tests", keep_heating_tests(parts))
        stack.push_async_callback(_end, run.tasks)
        stack.callback(start_jobs(parts))
        yield run


def _beat(parts: Parts) -> None:
    """Do what every tick does."""
    parts.live.set_history(kept=parts.store.health().ok)
    parts.commands.tick()


def _keep(run: Running, name: str, work: Coroutine[object, object, None]) -> None:
    run.tasks.append(asyncio.create_task(work, name=name))


async def _end(tasks: list[asyncio.Task[None]]) -> None:
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)


def _profile_folders(settings: Settings) -> list[Path]:
    own = [] if settings.profiles is None else [Path(settings.profiles)]
    return [shipped() / "profiles", *own]


def _drive(profile: Profile) -> Drive:
    return Drive(tuple(way for way in _DRIVES if way in profile.can), expires=profile.expires_s is not None)


async def _remember(store: Store, live: Live, clock: Clock, *, trusted: bool) -> Trust:
    """Show what was last known, and never take a clock that is behind it for right."""
    last_ms: int | None = None
    with suppress(Unreachable):
        last = await store.read(newest)
        live.seed(last.values())
        last_ms = max((reading.t_ms for reading in last.values() if not reading.future), default=None)
    return Trust(clock, synchronised=kernel_synchronised, trusted=trusted, newest_ms=last_ms)


async def _take_house(store: Store, commands: Commands, database: Path) -> None:
    """Start from the stored house; from the file beside the database when that cannot be read."""
    fallback: House | None = None
    try:
        await store.read(houses.current)
    except Unreachable as error:
        log.warning("the house is taken from %s: %s", path_beside(database).name, error)
        with suppress(IngleError):
            fallback = read_house_file(path_beside(database))
    await commands.start(fallback)


async def _broker(settings: Settings, store: Store, stack: AsyncExitStack) -> Broker:
    """Return where the broker is; an embedded one is started first."""
    if settings.embedded:
        from ingle.demo.broker import start_broker  # noqa: PLC0415 - costs memory that only its users should pay

        embedded = await start_broker()
        stack.push_async_callback(embedded.stop)
        return Broker(host="127.0.0.1", port=embedded.port, protocol="3.1.1", clean_session=True)
    host, port = settings.broker_at
    return Broker(
        host=host,
        port=port,
        client_id=f"ingle-{await _client_id(store)}",
        username=settings.username,
        password=lambda: _password(settings),
    )


def _password(settings: Settings) -> str | None:
    try:
        return settings.password()
    except IngleError as error:
        log.error("the broker's password cannot be read: %s", error)  # noqa: TRY400 - no tracebacks
        return None


async def _client_id(store: Store) -> str:
    """Return what the broker knows our session by; a database that cannot be read yet is known by its path."""
    try:
        return await store.read(installation_id)
    except Unreachable:
        return hashlib.sha256(str(store.path.absolute()).encode()).hexdigest()[:16]
