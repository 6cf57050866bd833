"""Forecasts and their scores as text for a person."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from ingle.model.forecasts import Forecasts, KeptForecast

Table = Callable[[Sequence[str], Sequence[Sequence[str]]], str]

NONE_YET = "No forecast has been made yet; ingle makes one every Sunday night, and POST /api/forecasts at any time."


def forecasts_text(found: Forecasts, table: Table, timezone: str) -> str:
    """Return forecasts with their scores, the newest first."""
    if not found.forecasts:
        return NONE_YET
    headers = ["days", "kWh said", "95 %", "came", "off", "money said", "came", "off"]
    rows = [_row(each, timezone) for each in found.forecasts]
    lines = [table(headers, rows), "", *_said(found)]
    if found.typical_error_percent is not None:
        lines.append(f"Typically off by {found.typical_error_percent:.0f} % over {found.scored} scored.")
    return "\n".join(lines)


def _row(kept: KeptForecast, timezone: str) -> list[str]:
    said, score = kept.forecast, kept.score
    first, last = _day(said.start, timezone), _day(said.end - timedelta(seconds=1), timezone)
    between = "-" if said.kwh_low is None or said.kwh_high is None else f"{said.kwh_low:,.0f} to {said.kwh_high:,.0f}"
    return [
        f"{first} to {last}",
        _number(said.kwh),
        between,
        _number(score.kwh_was),
        _percent(score.kwh_error_percent),
        said.money or "-",
        score.money_was or "-",
        _percent(score.money_error_percent),
    ]


def _said(found: Forecasts) -> Iterator[str]:
    for kept in found.forecasts:
        yield f"{kept.number}: {kept.score.sentence}"
        yield from (f"   {line}" for line in (*kept.forecast.missing, *kept.score.missing))
        if not kept.intact:
            yield "   Its text is no longer what was noted when it was made: do not rely on it."
    yield from (f"- {line}" for line in found.forecasts[0].forecast.assumptions)


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:,.0f}"


def _percent(value: float | None) -> str:
    return "-" if value is None else f"{value:+.0f} %"


def _day(at: datetime, timezone: str) -> str:
    return at.astimezone(ZoneInfo(timezone)).date().isoformat()
