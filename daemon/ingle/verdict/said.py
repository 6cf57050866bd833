"""What is said of one room: the figures of estimate and judgement as every face shows them."""

from __future__ import annotations

from math import exp, isfinite

import numpy as np

from ingle.model.verdicts import Against, Change, ZoneVerdict
from ingle.verdict.among import Standing
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.causes import Case, causes
from ingle.verdict.changed import probability as change_probability
from ingle.verdict.estimate import t_quantile
from ingle.verdict.findings import findings
from ingle.verdict.fit import fit_days
from ingle.verdict.judge import leaning
from ingle.verdict.mould import moisture
from ingle.verdict.prior import design_of
from ingle.verdict.system import Estimate


def said(case: Case, beside: Standing | None, *, fit: bool, explained: bool) -> ZoneVerdict:
    """Return a room's verdict for all faces.

    Parameters
    ----------
    case
        All that is known of the room.
    beside
        Its standing against the house's other rooms, where there are enough.
    fit
        Whether to give the days that the figure rests on.
    explained
        Whether to look for causes, findings and mould too.
    """
    room, found, judged = case.room, case.found, case.judgement
    value, low, high = design_of(room.zone, case.design) or (None, None, None)
    half = None if found is None else t_quantile(found.freedom) * found.error_w_per_k
    loss = None if found is None else found.loss_w_per_k
    return ZoneVerdict(
        id=room.zone.id,
        name=room.zone.name,
        design_w_per_k=value,
        design_low_w_per_k=low,
        design_high_w_per_k=high,
        measured_w_per_k=_tidy(loss),
        low_w_per_k=None if loss is None or half is None else _tidy(max(loss - half, 0.0)),
        high_w_per_k=None if loss is None or half is None else _tidy(loss + half),
        probability=_tidy(judged.probability),
        verdict=judged.verdict,
        causes=causes(case) if explained else (),
        findings=findings(case) if explained else (),
        moisture=moisture(case) if explained else None,
        against_house=None if beside is None else _against(beside),
        against_past=None if found is None else _past(found, case.balance),
        fit=fit_days(room, case.balance, found) if fit else (),
        days_used=0 if found is None else int(found.days.sum()),
        missing=judged.missing,
        possible_from=None if judged.possible_from is None else judged.possible_from.isoformat(),
        metered_kwh=_tidy(_metered_kwh(room, found)),
        expected_kwh=None if found is None else _tidy(float(np.nansum(found.expected_w)) * 24 / 1000),
    )


def _against(beside: Standing) -> Against:
    verdict, probability = leaning(beside)
    middle, half = beside.middle, 1.96 * beside.spread
    return Against(
        ratio=round(exp(middle), 4),
        low=round(exp(middle - half), 4),
        high=round(exp(middle + half), 4),
        probability=_tidy(probability),
        verdict=verdict,
    )


def _past(found: Estimate, balance: Balance) -> Change | None:
    step = found.change
    if step is None or step.before_w_per_k <= 0:
        return None
    more, error = step.more_w_per_k / step.before_w_per_k, step.more_error_w_per_k / step.before_w_per_k
    half = t_quantile(found.freedom) * error
    return Change(
        since=balance.dates[step.day].isoformat(),
        before_w_per_k=round(step.before_w_per_k, 4),
        after_w_per_k=round(step.before_w_per_k + step.more_w_per_k, 4),
        low=round(max(1 + more - half, 0.0), 4),
        high=round(1 + more + half, 4),
        probability=round(change_probability(step), 4),
    )


def _metered_kwh(room: RoomDays, found: Estimate | None) -> float | None:
    """Return the energy of the days used, so that metered and expected speak of the same days [kWh]."""
    if found is not None:
        return found.metered_w * 24 / 1000
    known = room.power_w[np.isfinite(room.power_w)]
    return float(known.sum()) * 24 / 1000 if len(known) else None


def _tidy(value: float | None) -> float | None:
    """Return a figure without digits that mean nothing."""
    if value is None or not isfinite(value):
        return None
    return round(value, 4)
