"""Excess loss: a leak, or a survey that is wrong; only the other rooms of the house can tell these two apart.

A survey error such as a wrong wall type or air change is the same in most rooms, a leak is one room's own. Only where
most rooms share the ratio does the survey come first; from one room alone the two look the same, and both are listed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.amounts import Amount, of_power, taking
from ingle.verdict.causes.case import Case
from ingle.verdict.estimate import t_quantile
from ingle.verdict.judge import MARGIN
from ingle.verdict.system import Estimate

SURVEY_NEXT = "Check the survey's U-values, areas and air changes, first those marked assumed."
LEAK_NEXT = "Look for open vents, gaps at windows and loft hatch, missing or wet insulation."


def excess_loss(case: Case, explained: Sequence[Cause]) -> Iterator[Cause]:
    """Yield what a verdict of more or less loss may come from.

    Parameters
    ----------
    case
        The room.
    explained
        Causes already found.
    """
    judged, found = case.judgement, case.found
    if found is None or judged.probability is None or judged.ratio is None or not case.design_w_per_k:
        return
    others = [ratio for name, ratio in case.ratios.items() if name != case.room.zone.id]
    alike = [ratio for ratio in others if abs(np.log(ratio / judged.ratio)) < 0.15]
    of_most = len(others) >= 2 and len(alike) * 2 > len(others)
    # The two figures that stand beside the sentence; the judged ratio is theirs only in its middle.
    evidence = f"The room takes {found.loss_w_per_k / case.design_w_per_k:.2f} times its design"
    codes = {cause.code for cause in explained}
    if judged.verdict == "loses-less" and not codes & {"other-heat"}:
        yield Cause(
            code="survey-wrong",
            probability=round((0.8 if of_most else 0.6) * judged.probability, 3),
            evidence=f"{evidence}{', like most rooms of the house' if of_most else ''}.",
            against=None if of_most else "Heat that nobody meters at all hours would look alike.",
            check_next=SURVEY_NEXT,
        )
    if judged.verdict != "loses-more":
        return
    lone = len(others) >= 2 and float(np.median(others)) < MARGIN
    leak, survey = (0.25, 0.7) if of_most and not lone else (0.7, 0.25) if lone else (0.55, 0.4)
    place = ", like most rooms of the house" if of_most and not lone else "; the other rooms do not" if lone else ""
    # What an opening or a wrong thermometer explains is not a leak as well.
    other = (each.probability for each in explained if each.code in {"opening", "sensor-bias"})
    left = judged.probability * (1 - max(other, default=0))
    amount = extra(found, case.design_w_per_k or 0.0)
    otherwise = None
    if "opening" in codes:
        otherwise = "It comes and goes, which a leak does not."
    elif "sensor-bias" in codes:
        otherwise = "One of the room's thermometers is off, and the loss with it."
    yield taking(
        Cause(
            code="leak",
            probability=round(leak * left, 3),
            evidence=f"{evidence}{place}.",
            against=otherwise
            or ("Most rooms share the ratio, which a leak in one would not explain." if of_most else None),
            check_next=LEAK_NEXT,
        ),
        amount,
    )
    yield taking(
        Cause(
            code="survey-wrong",
            probability=round(survey * left, 3),
            evidence=f"{evidence}{place}; from one room's readings a wrong survey looks the same as a leak.",
            against="The other rooms fit their survey." if lone else otherwise,
            check_next=SURVEY_NEXT,
        ),
        amount,
    )


def extra(found: Estimate, design_w_per_k: float) -> Amount:
    """Return what a room takes in 30 days beyond its design, in weather like that of its record.

    The interval is that of the metered coefficient; the design stands as it is.
    """
    over = found.loss_w_per_k - design_w_per_k
    half = t_quantile(found.freedom) * found.error_w_per_k
    return of_power(over * found.difference_k, half * found.difference_k)
