"""What a zone's heat must agree on besides its fabric: how it warms up, and what air comes in."""

from __future__ import annotations

import msgspec

from ingle.config.findings import Findings, Path, below
from ingle.config.spaces import ONE_OF_SPACE, told_once
from ingle.model.envelope import Space
from ingle.model.house import Zone


def check_warmth(zone: Zone, path: Path, findings: Findings) -> None:
    """Check that reheat is asked for in one way, that a warm-up ends warmer, and that air comes from somewhere."""
    keys = ("reheat_w_per_m2", "warm_up_h", "warm_up_from_c")
    rests_on = below(path, (*keys, "design_c"))
    if zone.warm_up_h is not None and zone.reheat_w_per_m2:
        allowed = "warm_up_h or reheat_w_per_m2, not both: each is the whole of the reheat"
        findings.add((*path, "warm_up_h"), zone.warm_up_h, allowed, rests_on=rests_on)
    if (zone.warm_up_h is None) != (zone.warm_up_from_c is None):
        missing = "warm_up_h" if zone.warm_up_h is None else "warm_up_from_c"
        findings.add((*path, missing), None, "warm_up_h and warm_up_from_c together", rests_on=rests_on)
    if zone.warm_up_from_c is not None and zone.warm_up_from_c >= zone.design_c:
        allowed = f"below design_c, which is {zone.design_c:g}: a warm-up ends warmer than it starts"
        findings.add((*path, "warm_up_from_c"), zone.warm_up_from_c, allowed, rests_on=rests_on)
    if zone.cooler_reason is not None and not zone.vulnerable:
        allowed = "only beside vulnerable = true, whose floor it explains"
        findings.add((*path, "cooler_reason"), zone.cooler_reason, allowed, rests_on=[(*path, "vulnerable")])
    _check_air(zone, path, findings)


def _check_air(zone: Zone, path: Path, findings: Findings) -> None:
    given = [(*path, "given_w_per_k")]
    if zone.given_w_per_k is not None and zone.air:
        allowed = "only without given_w_per_k, which has all of the air in it"
        findings.add((*path, "air"), msgspec.to_builtins(zone.air), allowed, rests_on=given)
    if zone.given_w_per_k is not None and zone.air_gradient_k_per_m is not None:
        allowed = "only without given_w_per_k, which has the room's height in it"
        findings.add((*path, "air_gradient_k_per_m"), zone.air_gradient_k_per_m, allowed, rests_on=given)
    for place, stream in enumerate(zone.air):
        where = (*path, "air", place, "from")
        source = stream.source
        if isinstance(source, str) and source in {"ground", f"zone:{zone.id}"}:
            findings.add(where, source, "outside, another zone, a space, {temperature_c} or {factor}")
        elif isinstance(source, Space) and not told_once(source):
            findings.add(where, msgspec.to_builtins(source), ONE_OF_SPACE)
