"""Excess loss: a leak, or a survey that is wrong; only the other rooms of the house can tell these two apart."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case
from ingle.verdict.judge import MARGIN
from ingle.verdict.system import Estimate


def excess_loss(case: Case, explained: AbstractSet[str]) -> Iterator[Cause]:
    """Yield what a verdict of more or less loss may come from."""
    judged, found = case.judgement, case.found
    if found is None or judged.probability is None or judged.ratio is None:
        return
    others = [ratio for name, ratio in case.ratios.items() if name != case.room.zone.id]
    alike = [ratio for ratio in others if abs(np.log(ratio / judged.ratio)) < 0.15]
    of_most = len(others) >= 2 and len(alike) * 2 > len(others)
    evidence = f"The room takes {judged.ratio:.2f} times its design"
    if judged.verdict == "loses-less" and not explained & {"other-heat"}:
        yield Cause(
            code="survey-wrong",
            probability=round((0.8 if of_most else 0.6) * judged.probability, 3),
            evidence=f"{evidence}{', like most rooms of the house' if of_most else ''}.",
            check_next="Check the survey's U-values, areas and air changes, first those marked assumed.",
        )
    if judged.verdict != "loses-more":
        return
    lone = len(others) >= 2 and float(np.median(others)) < MARGIN
    leak, survey = (0.25, 0.7) if of_most and not lone else (0.7, 0.25) if lone else (0.55, 0.4)
    place = ", like most rooms of the house" if of_most else "; the other rooms do not" if lone else ""
    extra = _extra_kwh(found)
    yield Cause(
        code="leak",
        probability=round(leak * judged.probability, 3),
        evidence=f"{evidence}{place}.",
        check_next="Look for open vents, gaps at windows and loft hatch, missing or wet insulation.",
        kwh=extra,
    )
    yield Cause(
        code="survey-wrong",
        probability=round(survey * judged.probability, 3),
        evidence=f"{evidence}{place}; from one room's readings a wrong survey looks the same as a leak.",
        check_next="Check the survey's U-values, areas and air changes, first those marked assumed.",
        kwh=extra,
    )


def _extra_kwh(found: Estimate) -> float | None:
    expected = float(np.nansum(found.expected_w)) * 24 / 1000
    actual = found.metered_w * 24 / 1000
    return round(max(actual - expected, 0.0), 1)
