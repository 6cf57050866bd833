"""What a zone's heat must agree on besides its fabric: how it warms up."""

from __future__ import annotations

from ingle.config.findings import Findings, Path, below
from ingle.model.house import Zone


def check_warmth(zone: Zone, path: Path, findings: Findings) -> None:
    """Check that reheat is asked for in one way, and that a warm-up ends warmer than it starts."""
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
