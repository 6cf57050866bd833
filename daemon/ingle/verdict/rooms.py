"""The whole way from readings to what is said of each room."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Final

import numpy as np

from ingle.model.design import Design
from ingle.model.house import House, Zone
from ingle.model.verdicts import Assessment
from ingle.verdict.among import Standing, among
from ingle.verdict.balance import Balance, Read, balances
from ingle.verdict.causes import Case
from ingle.verdict.causes.thermometer import withheld
from ingle.verdict.checks import failed_checks
from ingle.verdict.estimate import estimate, usable
from ingle.verdict.heatup import respond, trial_of
from ingle.verdict.hours import hours_of
from ingle.verdict.judge import Judgement, absent, doubts, judge, nothing_computed
from ingle.verdict.prior import LinkPrior, RoomPrior, design_of, link_priors, room_prior
from ingle.verdict.record import Record
from ingle.verdict.said import said
from ingle.verdict.sunshine import Sunshine
from ingle.verdict.system import Estimate

METHOD: Final = "joint daily heat balance, linear Bayesian"
#: Counts up whenever the same readings may give another figure or another verdict.
METHOD_VERSION: Final = 2
#: The response's error comes from some hundred hours, of which neighbours are alike.
RESPONSE_FREEDOM: Final = 30.0
#: A room's ratio to its design counts for its neighbours' causes once it is known to this [-].
RATIO_SPREAD: Final = 0.15


def assess_rooms(
    house: House,
    design: Design,
    links: Mapping[tuple[str, str], float],
    read: Read,
    start_s: float,
    end_s: float,
    *,
    zones: Collection[str] = (),
    fit: bool = False,
    explained: bool = True,
    records: Mapping[str, Record] | None = None,
) -> Assessment:
    """Return the verdicts of a house over a span.

    Parameters
    ----------
    house, design
        The house and its design.
    links
        Surveyed conductances between rooms [W/K], keyed by the two ids in order.
    read
        Gives a source's readings of the span.
    start_s, end_s
        First and last reading, since 1970 [s].
    zones
        Only these are reported; the whole house is estimated all the same. Empty for all.
    records
        What was noted of each room: orders, programmes, what held it.
    fit
        Whether to give the days that each figure rests on.
    explained
        Whether to look for causes too, which takes longer than all the rest.
    """
    balance = balances(house, read, start_s, end_s)
    sunshine = Sunshine(house, balance)
    priors = {zone.id: prior for zone in house.zones if (prior := room_prior(zone, design)) is not None}
    joined = link_priors(house, links)
    found = estimate(
        balance,
        priors,
        joined,
        {zone.id: sunshine.of(zone) for zone in house.zones},
        outdoor_mean_c=house.site.mean_here_c,
    )
    found = {name: _driven_hard(house, balance, priors[name], each) for name, each in found.items()}
    end = datetime.fromtimestamp(end_s, UTC).astimezone(balance.zone_of_time)
    standings, beside = among({name: each for name, each in found.items() if each.loss_w_per_k > 0}, priors)
    judged = {
        zone.id: _judged(zone, balance, priors.get(zone.id), found.get(zone.id), standings.get(zone.id), end)
        for zone in house.zones
    }
    ratios = {
        name: each.ratio
        for name, each in judged.items()
        if each.ratio is not None and (each.ratio_spread or 1.0) < RATIO_SPREAD
    }
    wanted = [zone for zone in house.zones if not zones or zone.id in zones]
    return Assessment(
        start=datetime.fromtimestamp(start_s, UTC).astimezone(balance.zone_of_time).isoformat(timespec="seconds"),
        end=end.isoformat(timespec="seconds"),
        design_version=design.design_version,
        method=METHOD,
        method_version=METHOD_VERSION,
        zones=tuple(
            said(
                _case(
                    house,
                    design,
                    zone,
                    balance,
                    judged[zone.id],
                    found.get(zone.id),
                    ratios,
                    joined,
                    explained=explained,
                    record=(records or {}).get(zone.id),
                ),
                beside.get(zone.id),
                fit=fit,
                explained=explained,
            )
            for zone in wanted
        ),
    )


def _driven_hard(house: House, balance: Balance, prior: RoomPrior, daily: Estimate) -> Estimate:
    """Return what the response to a few days of strong heating says, where there is such and it knows more."""
    room = balance.rooms[daily.zone_id]
    if _has_heated_neighbour(house, room.zone) or (trial := trial_of(room, balance, prior)) is None:
        return daily
    response = respond(trial, prior, room.zone.floor_area_m2)
    if response is None or response.error_w_per_k >= daily.error_w_per_k:
        return daily
    excess_w = (response.loss_w_per_k - prior.loss_w_per_k) * (room.temp_c - balance.outdoor_c)
    return replace(
        daily,
        loss_w_per_k=response.loss_w_per_k,
        error_w_per_k=response.error_w_per_k,
        lasting_error_w_per_k=response.error_w_per_k,
        freedom=RESPONSE_FREEDOM,
        expected_w=np.where(daily.days, np.maximum(room.power_w - excess_w, 0.0), np.nan),
    )


def _has_heated_neighbour(house: House, zone: Zone) -> bool:
    of_elements = any(
        isinstance(element.beyond, str)
        and element.beyond.startswith("zone:")
        and zone.id in {each.id, element.beyond[5:]}
        for each in house.zones
        for element in each.elements
    )
    return of_elements or bool(zone.neighbours) or any(zone.id in each.neighbours for each in house.zones)


def _judged(
    zone: Zone,
    balance: Balance,
    prior: RoomPrior | None,
    found: Estimate | None,
    standing: Standing | None,
    end: datetime,
) -> Judgement:
    room, last = balance.rooms[zone.id], end.date()
    if prior is None:
        return Judgement(verdict="cannot-say-yet", missing=("The survey gives the room no heat loss to compare with.",))
    if found is None:
        return nothing_computed(room, balance, int(usable(room, balance).sum()) if balance.days else 0, last)
    if standing is None:
        return Judgement(verdict="cannot-say-yet", missing=("The balance of these days makes no sense yet.",))
    # The ratio told is that of the two figures shown; what all rooms share is taken off in the verdict alone.
    shown = found.loss_w_per_k / prior.loss_w_per_k
    judged = replace(judge(found, standing, prior.design_spread, end=last), ratio=shown)
    against = (*absent(room), *doubts(room, balance, found.days), *withheld(room), *failed_checks(room, balance, found))
    if not against:
        return judged
    # The figure stands; what would be said of it does not.
    return replace(judged, verdict="cannot-say-yet", probability=None, missing=against, possible_from=None)


def _case(
    house: House,
    design: Design,
    zone: Zone,
    balance: Balance,
    judged: Judgement,
    found: Estimate | None,
    ratios: Mapping[str, float],
    joined: Sequence[LinkPrior],
    *,
    explained: bool,
    record: Record | None,
) -> Case:
    compared = design_of(zone, design) if explained else None
    return Case(
        house=house,
        design=design,
        balance=balance,
        room=balance.rooms[zone.id],
        found=found,
        judgement=judged,
        ratios=ratios,
        links=joined,
        hours=None if compared is None else hours_of(zone, compared[0], balance, joined),
        record=record,
    )
