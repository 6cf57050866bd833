"""How near a forecast came: what was metered in its days, beside what was said. Only where the record covers them.

The weather's part is told apart: what would have been said had the weather been known. What is left is the house's.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from datetime import datetime
from statistics import median
from typing import Final
from zoneinfo import ZoneInfo

import msgspec

from ingle import money
from ingle.errors import Unreachable
from ingle.model.costs import Costs
from ingle.model.forecasts import Forecast, Forecasts, KeptForecast, Score, ScoreState, ZoneForecast, ZoneScore
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.money.forecast import error_percent
from ingle.reports.cost import costs
from ingle.reports.days import Cold, outdoors
from ingle.reports.use import uses
from ingle.store import events, forecasts
from ingle.store.forecasts import Stored

#: The least share of the span for which every heater's energy must be known.
COVERED: Final = 0.95


def listed(conn: sqlite3.Connection, house: House, now: datetime, limit: int) -> Forecasts:
    """Return the newest forecasts with their scores."""
    kept = tuple(kept_forecast(conn, house, stored, now) for stored in forecasts.newest(conn, limit))
    off = [abs(each.score.kwh_error_percent) for each in kept if each.score.kwh_error_percent is not None]
    return Forecasts(
        forecasts=kept,
        scored=len(off),
        typical_error_percent=round(median(off), 1) if off else None,
    )


def keep(conn: sqlite3.Connection, said: Forecast) -> Stored:
    """Keep a forecast for good, inside the caller's transaction."""
    document = msgspec.json.encode(said)
    span = {"made_ms": to_ms(said.made), "start_ms": to_ms(said.start), "end_ms": to_ms(said.end)}
    number = forecasts.save(conn, **span, document=document, who=said.who)
    return Stored(number, **span, document=document)


def kept_forecast(conn: sqlite3.Connection, house: House, stored: Stored, now: datetime) -> KeptForecast:
    """Return a kept forecast as it was made, with its score as of now.

    Raises
    ------
    Unreachable
        Where its text cannot be read any more.
    """
    try:
        said = msgspec.json.decode(stored.document, type=Forecast)
    except msgspec.DecodeError as error:
        raise Unreachable(f"forecast {stored.number} cannot be read: {error}") from error
    noted = events.newest(conn, "forecast", str(stored.number))
    intact = noted is not None and noted.data.get("digest") == forecasts.digest(stored.document)
    return KeptForecast(number=stored.number, intact=intact, forecast=said, score=score(conn, house, said, now))


def score(conn: sqlite3.Connection, house: House, said: Forecast, now: datetime) -> Score:
    """Return how near a forecast came, as far as its days are over and known."""
    if now < said.end:
        state: ScoreState = "to-come" if now < said.start else "running"
        word = "Its days have not begun." if state == "to-come" else "Its days are not over yet."
        return _empty(state, word)
    covered = _covered(conn, house, said)
    happened = costs(conn, house, said.start, said.end, now=now)
    zones = tuple(_zone(each, happened, whole=covered.get(each.zone, 0.0) >= COVERED) for each in said.zones)
    cold = _cold(conn, house, said)
    lost = [each for each in said.zones if each.kwh is not None and covered.get(each.zone, 0.0) < COVERED]
    if lost or said.kwh is None:
        missing = tuple(_lost(lost, covered)) or ("Nothing was said of any room's energy.",)
        return _empty("cannot-score", "It cannot be scored: the record does not cover its days.", zones, missing, cold)
    known = {each.zone for each in said.zones if each.kwh is not None}
    kwh_was = sum(each.energy_wh or 0.0 for each in happened.zones if each.zone in known) / 1000
    off = error_percent(said.kwh, kwh_was)
    # Rooms of which nothing was said have no part in what the forecast's money is compared with.
    whole = all(each.zone in known for each in happened.zones if each.energy_wh)
    cost_was = happened.total if whole and happened.currency == said.currency else None
    return Score(
        state="scored",
        kwh_was=round(kwh_was, 2),
        kwh_error_percent=None if off is None else round(off, 1),
        within_limits=_within(said, kwh_was, _at_that_weather(said, cold)),
        money_was=cost_was,
        money_error_percent=_money_error(said.money, cost_was),
        outdoor_was_c=None if cold is None else round(cold.mean_c, 1),
        degree_days_were_kd=None if cold is None else round(cold.degree_days, 1),
        kwh_at_that_weather=_at_that_weather(said, cold),
        zones=zones,
        sentence=_sentence(said, kwh_was, off, cold),
        missing=(),
    )


def _empty(
    state: ScoreState,
    sentence: str,
    zones: tuple[ZoneScore, ...] = (),
    missing: tuple[str, ...] = (),
    cold: Cold | None = None,
) -> Score:
    return Score(
        state=state,
        kwh_was=None,
        kwh_error_percent=None,
        within_limits=None,
        money_was=None,
        money_error_percent=None,
        outdoor_was_c=None if cold is None else round(cold.mean_c, 1),
        degree_days_were_kd=None if cold is None else round(cold.degree_days, 1),
        kwh_at_that_weather=None,
        zones=zones,
        sentence=sentence,
        missing=missing,
    )


def _covered(conn: sqlite3.Connection, house: House, said: Forecast) -> dict[str, float]:
    """Return for what share of a forecast's days each zone's worst-known heater is known."""
    whole_s = (said.end - said.start).total_seconds()
    known: dict[tuple[str, str], float] = {}
    for use in uses(conn, house, [to_ms(said.start), to_ms(said.end)]):
        known[use.zone, use.heater] = known.get((use.zone, use.heater), 0.0) + use.covered_s
    shares: dict[str, float] = {}
    for (zone, _), seconds in known.items():
        shares[zone] = min(shares.get(zone, 1.0), seconds / whole_s)
    return shares


def _cold(conn: sqlite3.Connection, house: House, said: Forecast) -> Cold | None:
    """Return how cold the forecast's days were: mean and degree days in all; None where a day is not known."""
    days = money.local_days(to_ms(said.start), to_ms(said.end), ZoneInfo(house.site.timezone))
    known = [each for each in outdoors(conn, house, days) if each is not None]
    if len(known) < len(days):
        return None
    return Cold(sum(each.mean_c for each in known) / len(known), sum(each.degree_days for each in known))


def _zone(said: ZoneForecast, happened: Costs, *, whole: bool) -> ZoneScore:
    was = next((each for each in happened.zones if each.zone == said.zone), None)
    if not whole or was is None or was.energy_wh is None:
        return ZoneScore(zone=said.zone, kwh_was=None, kwh_error_percent=None, money_was=None, money_error_percent=None)
    kwh = was.energy_wh / 1000
    off = None if said.kwh is None else error_percent(said.kwh, kwh)
    return ZoneScore(
        zone=said.zone,
        kwh_was=round(kwh, 2),
        kwh_error_percent=None if off is None else round(off, 1),
        money_was=was.total,
        money_error_percent=_money_error(said.money, was.total),
    )


def _money_error(said: str | None, was: str | None) -> float | None:
    off = None if said is None or was is None else error_percent(float(said), float(was))
    return None if off is None else round(off, 1)


def _at_that_weather(said: Forecast, cold: Cold | None) -> float | None:
    """Return what would have been said had the weather been known: rooms by degree days go with them."""
    if cold is None or not said.degree_days_kd:
        return None
    ratio = cold.degree_days / said.degree_days_kd
    parts = [(each.kwh or 0.0) * (ratio if each.method == "degree-days" else 1.0) for each in said.zones]
    return round(sum(parts), 2)


def _within(said: Forecast, kwh_was: float, informed: float | None) -> bool | None:
    """Return whether what came lies within the limits, moved to the weather that came where that is known."""
    if said.kwh is None or said.kwh_low is None or said.kwh_high is None:
        return None
    moved = 0.0 if informed is None else informed - said.kwh
    return said.kwh_low + moved <= kwh_was <= said.kwh_high + moved


def _sentence(said: Forecast, kwh_was: float, off: float | None, cold: Cold | None) -> str:
    if said.kwh is None or off is None:
        return f"Nothing was used; {said.kwh or 0.0:,.0f} kWh were said."
    near = f"{said.kwh:,.0f} kWh were said and {kwh_was:,.0f} came: {off:+.0f} %."
    informed = _at_that_weather(said, cold)
    if informed is None or cold is None or kwh_was <= 0:
        return near
    rest = (informed / kwh_was - 1) * 100
    return f"{near} With the weather known ({cold.mean_c:.1f} °C on average) it would have been {rest:+.0f} %."


def _lost(zones: Sequence[ZoneForecast], covered: dict[str, float]) -> Iterator[str]:
    for each in zones:
        share = covered.get(each.zone)
        known = "nothing" if not share else f"{100 * share:.0f} % of the time"
        yield f"{each.zone}: {known} is known of its heaters, {100 * COVERED:.0f} % is needed."
